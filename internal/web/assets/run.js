"use strict";
/* The run sheet: what is on the screen, and what a tap does. */
(async () => {
const w = layer.w, h = show.h, $ = (s) => document.querySelector(s);
const hand = $("#hand"), dock = $("#dock"), live = $("#live"), alarm = $("#alarm"), sentBox = $("#sent");
let have = null, v = null, own = new Map();
let typed = { text: "", unit: "", more: false }, lies = "", laying = "", draft = {}, picked = new Set(), bans = false;
let ask = null;     /* a question in the dock before something is written */
let undo = null;    /* how to take back what was tapped last */
let onward = false;  /* the page goes on by itself: what can be taken back stays */
let drawn = "";     /* the place that is drawn */
let busy = false, missed = false; /* something moved while something was written */
const urls = new Map();

const tell = (text) => { live.textContent = ""; setTimeout(() => { live.textContent = text; }, 50); };
const shout = (text) => { alarm.textContent = ""; setTimeout(() => { alarm.textContent = text; }, 50); };

/* A mistake of the page itself is said, not hidden: what was ticked is kept. */
for (const kind of ["error", "unhandledrejection"]) {
  addEventListener(kind, (e) => {
    console.error(e.reason || e.message);
    shout(w("wrong.page"));
    if (!hand.querySelector(".page-wrong")) hand.prepend(h("p.trouble.page-wrong", w("wrong.page")));
  });
}

/* Where we are: #s7 a step, #tray and so on a page of its own; nothing: the
   next step. */
const at = () => location.hash.slice(1);
const present = () => v.present ? v.present.step : Math.max(1, v.steps.length);
const stepAt = () => { const m = /^s(\d+)$/.exec(at()); return m && v.steps[m[1] - 1] ? Number(m[1]) : at() ? 0 : present(); };
const go = (to) => { if (at() === to) draw(); else location.hash = to; };
const paused = () => v.pauses.find((p) => p.by === v.sheet.me && !p.until);

/* finished: a step of which nothing is left to do on its own view. */
function finished(s) {
  const tick = s.sheet.phase !== "strip" || s.sheet.kind === "refit";
  return s.done && !(tick && (s.sheet.joints || []).some((j) => (lineOf(j)?.missing || []).length || 0)) && !((s.sheet.parts || []).some((p) => { const l = partOf(p); return l && l.new < l.need; }));
}
const lineOf = (j) => v.joints.find((x) => x.item === j.item && x.joint === j.joint);
const partOf = (p) => v.parts.find((x) => x.on === p.on && (x.part || "") === (p.part || "") && (p.part || (x.joint || 0) === (p.joint || 0)));
const isRead = (s) => !(s.sheet.cautions || []).length || s.done || own.has(ackKey(s.step));
const ackKey = (n) => `ack ${v.sheet.plan} ${n}`;

/* waitOf: of a step that is waited for, until when. It begins when the step
   before it was ticked. */
function waitOf(s) {
  if (s.sheet.kind !== "await" || !s.sheet.wait || s.done) return null;
  const before = v.steps[s.step - 2], tick = before && (before.ticks || []).find((t) => t.done);
  const key = `wait ${v.sheet.plan} ${s.step}`;
  if (!own.has(key)) { own.set(key, tick ? Date.parse(tick.at) : Date.now()); keep.remember(key, own.get(key)); }
  return { until: own.get(key) + s.sheet.wait * 60000 };
}

const src = (hash) => {
  const blob = have.blobs.get(hash);
  if (!blob) return `/run/${keep.job}/picture/${hash}`;
  if (!urls.has(hash)) urls.set(hash, URL.createObjectURL(blob));
  return urls.get(hash);
};

async function refresh() {
  have = await keep.load();
  if (!have.sheet || !have.state) { if (keep.status.online === false && !keep.job) return; else return draw(); }
  v = layer.view(have.sheet, have.state, have.queue);
  heard();
  draw();
}

/* heard tells what somebody else ticked meanwhile. */
let counted = null;
function heard() {
  const now = new Map(v.steps.flatMap((s) => (s.ticks || []).filter((t) => t.done && t.by !== v.sheet.me).map((t) => [t.id, [s, t]])));
  if (counted) for (const [id, [s, t]] of now) if (!counted.has(id)) tell(w("heard.step", show.person(v, t.by), s.step, s.sheet.title));
  counted = now;
}

function draw() {
  if (!keep.job) return home();
  if (!v) { status(); return; }
  $("#paper").hidden = true;
  hand.hidden = dock.hidden = false;
  const focus = document.activeElement && document.activeElement.dataset ? document.activeElement.dataset.key : "";
  const fields = new Map([...hand.querySelectorAll("textarea,input[type=text]")].map((e) => [e.id, e.value]));
  const open = new Set([...hand.querySelectorAll("details[open]")].map((e) => e.dataset.key));
  const here = at() || "now", same = here === drawn, p = paused();
  const n = stepAt(), s = n ? v.steps[n - 1] : null;
  let body;
  if (p && here !== "handover" && here !== "tray" && here !== "sent") body = show.pausedPage(v, p);
  else if (s) body = show.step(v, s, { read: isRead(s), wait: waitOf(s), src, typed, lies });
  else if (!v.steps.length && here === "now") body = [h("h1", v.sheet.title), h("p.empty", w("step.no-plan"))];
  else body = pageOf(here);
  hand.replaceChildren(...[banner(), show.forbidden(v, bans), s && !p ? show.valley(v, n) : null, h("div.view" + (s && !p ? ".one-step" : ""), ...body.flat(9).filter(Boolean))].filter(Boolean));
  for (const e of hand.querySelectorAll("details")) if (open.has(e.dataset.key)) e.open = true;
  if (same) for (const e of hand.querySelectorAll("textarea,input[type=text]")) if (fields.get(e.id)) e.value = fields.get(e.id);
  drawDock(s, p);
  status();
  if (same && focus) { const e = [...document.querySelectorAll("[data-key]")].find((x) => x.dataset.key === focus); if (e) e.focus({ preventScroll: true }); }
  if (!same && drawn) { const title = hand.querySelector("h1"); if (title) { title.tabIndex = -1; title.focus({ preventScroll: true }); } scrollTo(0, 0); }
  drawn = here;
  document.body.dataset.ready = "1";
}

function pageOf(here) {
  switch (here) {
    case "tray": return show.tray(v, laying);
    case "steps": return show.steps(v, present());
    case "handover": return show.handover(v, draft);
    case "end": return show.end(v, picked);
    case "settle": return show.settle(v, have.refused);
    case "note": return show.notePage();
    case "pause": return show.pausePage(v);
    case "more": return show.more(v, { settle: unsettled(), waiting: have.queue.length });
    case "sent": return show.sent(v, keep.status, have);
    case "words": { const s = v.steps[(draft.step || present()) - 1]; return s ? show.readingPage(s) : show.notePage(); }
    default: return show.steps(v, present());
  }
}
const unsettled = () => have.refused.length + v.conflicts.filter((c) => c.blocking && !settledStep(c)).length + v.refused.filter((r) => r.why !== "not finished").length;
const settledStep = (c) => { const m = /^step (\d+)$/.exec(c.key); return m && v.steps[m[1] - 1] && v.steps[m[1] - 1].settled; };

/* banner: what everybody must know before going on. */
function banner() {
  const st = keep.status, list = [];
  if (st.storage) list.push(h("p.trouble.loud", w("storage.loud-" + st.storage)));
  if (st.trouble) list.push(h("p.trouble", w("trouble." + st.trouble), st.trouble === "sign-in" ? h("a.wide", { href: "/sign-in?then=" + encodeURIComponent(location.pathname) }, w("trouble.sign-in-link")) : null));
  const others = have.queue.filter((e) => e.author !== v.sheet.me);
  if (others.length) list.push(h("p.trouble", w("sent.others", others.length, show.person(v, others[0].author))));
  if (unsettled() && at() !== "settle") list.push(h("p.trouble", h("a", { href: "#settle" }, w("settle.some", unsettled()))));
  if (v.closed && at() !== "end") list.push(h("p.good-line", "✓ ", h("a", { href: "#end" }, w("end.is-closed"))));
  if (v.plan && v.sheet.plan && v.plan.id !== v.sheet.plan) list.push(h("p.trouble", w("step.other-plan")));
  for (const n of v.sheet.newer || []) list.push(h("p.hint", n));
  return list.length ? h("div.banners", ...list) : null;
}

function status() {
  const st = keep.status, n = have ? have.queue.length : 0;
  const kind = st.storage ? "bad" : n ? "some" : "all";
  const text = n ? w("sent.n", n) : st.online === false ? w("sent.no-signal") : w("sent.all");
  const mark = st.storage ? "!" : n ? "↑" : st.online === false ? "⌀" : "✓";
  sentBox.replaceChildren(h("a.sent." + kind, { href: "#sent" }, h("b", { "aria-hidden": "true" }, mark), " ", text));
}

/* The dock: the one thing to do now, where the thumb is. */
function drawDock(s, p) {
  const kids = [];
  if (ask) {
    kids.push(h("p.asked", ask.text), h("div.two", show.button("wide", "no", {}, ask.no || w("ask.no")), show.button("wide.strong", "yes", {}, ask.yes)));
  } else if (s && !p) {
    if (undo) kids.push(h("p.undo", h("span", undo.text), show.button("small", "undo", {}, w("dock.undo"))));
    const block = !isRead(s) ? w("dock.read-first") : "";
    let main;
    if (!v.sheet.may_write) main = h("p.asked", w("dock.reader"));
    else if (v.closed) main = h("a.wide.main", { href: "#end" }, w("end.is-closed"));
    else if (s.done && finished(s)) main = v.present ? show.button("wide.strong.main", "next", {}, w("dock.next")) : h("a.wide.strong.main", { href: "#end" }, w("dock.end"));
    else if (s.done) main = show.button("wide.main", "later", {}, w("dock.later"));
    else { main = show.button("wide.strong.main" + (block ? ".held" : ""), "done", { step: s.step }, block || w(doneWords(s))); if (block) main.setAttribute("aria-disabled", "true"); }
    kids.push(h("div.main-row", arrow("back", s.step > 1, "◂"), main, arrow("on", s.step < v.steps.length, "▸")));
  } else if (!p && v.present) {
    kids.push(h("div.main-row", h("a.wide.strong.main", { href: "#" }, w("dock.to-step", present()))));
  }
  const off = v.tray.filter((l) => l.stands).length, tab = (href, text, n, on) => h("a" + (on ? ".on" : ""), { href, "aria-current": on ? "page" : undefined }, text, n ? h("b.n", String(n)) : null);
  kids.push(h("nav.tabs", { "aria-label": w("dock.label") }, tab("#tray", w("dock.tray"), off, at() === "tray"), tab("#steps", w("dock.steps"), 0, at() === "steps"),
    "speechSynthesis" in window ? show.button("tab", "speak", { what: s ? "step" : "page" }, w("dock.speak")) : null,
    s && s.done && !v.closed && v.sheet.may_write ? show.button("tab", "take-back", { step: s.step }, w("dock.take-back")) : null, tab("#more", w("dock.more"), unsettled(), at() === "more")));
  dock.replaceChildren(...kids);
}
const arrow = (act, can, mark) => { const b = show.button("arrow", act, {}, mark); b.setAttribute("aria-label", w("dock." + act)); b.disabled = !can; return b; };
const doneWords = (s) => s.sheet.kind === "await" ? "dock.waited" : s.sheet.phase === "strip" && s.sheet.kind === "clear" ? "dock.is-off" : s.sheet.kind === "refit" ? "dock.is-on" : "dock.done";

/* put writes events and shows them when they are safe, never before. */
async function put(list, says, back, blob) {
  if (busy) return null;
  busy = true;
  try {
    const events = await keep.write(list, blob);
    undo = back ? { text: says, list: back(events) } : null;
    if (says) tell(says);
    if (navigator.vibrate) navigator.vibrate(30);
    await refresh();
    return events;
  } catch (e) {
    console.warn("not written", e);
    shout(w("storage.unkept"));
    await refresh();
    hand.prepend(h("p.trouble.loud", w("storage.unkept")));
    return null;
  } finally {
    busy = false;
    if (missed) { missed = false; refresh(); }
  }
}
const strike = (e) => ({ kind: "correct", body: { of: e.id, strike: true, reason: w("undo.reason") } });
const num = (x) => Number(x || 0);
const fastener = (d, index) => { const f = { item: d.item, joint: num(d.joint) }; if (index) f.index = index; return f; };
const jointOf = (d) => v.steps.flatMap((s) => s.sheet.joints || []).filter((j) => j.item === d.item && j.joint === num(d.joint)).pop() || {};
function tickOf(d, index) {
  const j = jointOf(d), body = fastener(d, index);
  if (j.wrench) body.wrench = j.wrench;
  if (j.big && !j.unknown && j.joint) body.value = j.big;
  return { kind: "tick", body };
}
const stepBody = (s) => ({ plan: v.sheet.plan, step: s.step });
const question = (text, yes, then, no) => { ask = { text, yes, then, no }; draw(); tell(text); };
/* unread: a caution of this step was not read; nothing is ticked before. */
function unread() {
  const s = v.steps[stepAt() - 1];
  if (!s || isRead(s)) return false;
  const c = hand.querySelector(".cautions");
  if (c) c.scrollIntoView({ block: "center" });
  tell(w("dock.read-first"));
  return true;
}
let tapped = { key: "", at: 0 };

const acts = {
  never() { bans = !bans; draw(); },
  ack(d) { const key = ackKey(d.step); own.set(key, Date.now()); keep.remember(key, Date.now()); tell(w("caution.read")); draw(); },
  done(d) {
    const s = v.steps[d.step - 1];
    if (unread()) return;
    const wait = waitOf(s), why = v.present && v.present.step === s.step && v.present.why || [];
    const open = s.sheet.phase !== "strip" && s.sheet.kind === "refit" ? (s.sheet.joints || []).reduce((n, j) => n + (lineOf(j)?.missing || []).length, 0) : 0;
    if (why.length) question(w("ask.why", why.join("; ")), w("ask.why-yes"), () => doStep(s));
    else if (wait && wait.until > Date.now()) question(w("ask.wait"), w("ask.wait-yes"), () => doStep(s));
    else if (open) question(w("ask.open", open), w("ask.open-yes"), () => doStep(s));
    else if (s.step > present()) question(w("ask.early", present()), w("ask.early-yes"), () => doStep(s));
    else doStep(s);
  },
  yes() { const a = ask; ask = null; if (a) a.then(); },
  no() { ask = null; draw(); },
  "take-back"(d) { const s = v.steps[d.step - 1]; question(w("ask.take-back", s.step), w("ask.take-back-yes"), () => put([{ kind: "undone", body: stepBody(s) }], w("undo.step", s.step))); },
  dot(d) {
    const line = lineOf({ item: d.item, joint: num(d.joint) }), n = num(d.index), key = `${d.item}/${d.joint}/${n}`, now = Date.now();
    if (tapped.key === key && now - tapped.at < 900) return; /* a glove taps twice */
    tapped = { key, at: now };
    if (!line || !v.sheet.may_write || v.closed || unread()) return;
    if (line.missing.includes(n)) put([tickOf(d, n)], w("undo.tick", line.in + 1, line.count), () => [{ kind: "untick", body: fastener(d, n) }]);
    else question(w("ask.untick", jointOf(d).name || d.item), w("ask.untick-yes"), () => put([{ kind: "untick", body: fastener(d, n) }], w("undo.untick")));
  },
  "tick-all"(d) {
    if (unread()) return;
    const line = lineOf({ item: d.item, joint: num(d.joint) });
    question(w("ask.all", line.missing.length), w("ask.all-yes"), () => put([tickOf(d, 0)], w("undo.tick", line.count, line.count), () => [{ kind: "untick", body: fastener(d, 0) }]));
  },
  part(d) {
    if (unread()) return;
    const body = { on: d.on, count: num(d.count) };
    if (d.part) body.part = d.part; else if (num(d.joint)) body.joint = num(d.joint);
    put([{ kind: "part", body }], w("undo.part"), (e) => [strike(e[0])]);
  },
  undo() { const u = undo; undo = null; if (u) put(u.list, w("undo.taken-back")); },
  next() { undo = null; go(""); },
  later() { undo = null; const s = v.steps[stepAt()]; go(v.present && v.present.step > stepAt() ? "" : s ? "s" + s.step : "end"); },
  back() { undo = null; ask = null; go("s" + (stepAt() - 1)); },
  on() { undo = null; ask = null; go("s" + (stepAt() + 1)); },
  lies(d) { lies = lies === d.value ? "" : d.value; keep.remember("lies", lies); draw(); },
  lay(d) { laying = laying === d.item ? "" : d.item; draw(); },
  laid(d) { const was = v.tray.find((l) => l.item === d.item); laying = ""; put([{ kind: "laid", body: { item: d.item, lies: d.value } }], w("undo.laid", d.value), (e) => [was && was.lies ? { kind: "laid", body: { item: d.item, lies: was.lies } } : strike(e[0])]); },
  key(d) {
    if (d.k === "⌫") typed.text = typed.text.slice(0, -1);
    else if (typed.text.length < 12 && !(d.k === "." && typed.text.includes("."))) typed.text += d.k;
    draw();
  },
  sign(d) { typed.text = typed.text.startsWith(d.k) ? typed.text.slice(1) : d.k + typed.text.replace(/^[<>−]/, ""); draw(); },
  unit(d) { typed.unit = d.u; draw(); },
  units() { typed.more = true; draw(); },
  reading(d) {
    if (!/\d/.test(typed.text)) { tell(w("reading.no-number")); shout(w("reading.no-number")); return; }
    if (!typed.unit) { shout(w("reading.no-unit")); return; }
    const text = typed.text.replace("−", "-") + " " + typed.unit;
    typed = { text: "", unit: typed.unit, more: false };
    put([{ kind: "reading", body: { text, check: d.check } }], w("undo.reading", text), (e) => [strike(e[0])]);
  },
  words() { draft.step = stepAt(); go("words"); },
  proof(d) {
    const used = v.readings.filter((r) => r.check === d.check && r.by === v.sheet.me).slice(-1).map((r) => r.id);
    const body = { check: d.check, verdict: d.verdict };
    if (used.length) body.readings = used;
    put([{ kind: "proof", body }], w("undo.proof", w("verdict." + d.verdict)), (e) => [strike(e[0])]);
  },
  pause(d) { put([{ kind: "pause", body: d.reason ? { reason: d.reason } : {} }], w("pause.is")).then(() => go("")); },
  resume() { put([{ kind: "resume", body: {} }], w("paused.on")).then(() => go("")); },
  close() { put([{ kind: "close", body: {} }], w("end.is-closed")); },
  speak(d) { speak(d.what); },
  send() { keep.sync(); tell(w("sent.sending")); },
  dismiss(d) { keep.dismiss(d.id); },
  again(d) { const r = have.refused.find((x) => x.id === d.id); if (r) put([{ kind: r.event.kind, body: r.event.body }], w("settle.again-done")).then((e) => { if (e) keep.dismiss(d.id); }); },
  "is-done"(d) { put([{ kind: "done", body: stepBody(v.steps[d.step - 1]) }], w("settle.said")); },
  "is-undone"(d) { put([{ kind: "undone", body: stepBody(v.steps[d.step - 1]) }], w("settle.said")); },
  "is-in"(d) { put([tickOf(d, num(d.index))], w("settle.said")); },
  "is-out"(d) { put([{ kind: "untick", body: fastener(d, num(d.index)) }], w("settle.said")); },
};

async function doStep(s) {
  const body = stepBody(s);
  if ((s.sheet.off || []).length && lies) body.lies = lies;
  const was = s.step;
  const made = await put([{ kind: "done", body }], w("undo.done", s.step, s.sheet.title), () => [{ kind: "undone", body: stepBody(s) }]);
  if (!made) return;
  typed = { text: "", unit: "", more: false };
  const now = v.steps[was - 1];
  const to = finished(now) ? v.present ? "" : "s" + was : "s" + was;
  if (finished(now)) scrollTo(0, 0);
  if (at() !== to && (at() || !finished(now))) { onward = true; go(to); }
}

const forms = {
  note(text) { const s = v.steps[present() - 1]; return put([{ kind: "note", body: s && s.sheet.item ? { text, on: s.sheet.item } : { text } }], w("note.kept"), (e) => [strike(e[0])]).then(() => history.back()); },
  words(text, d) { return put([{ kind: "reading", body: { text, check: d.check } }], w("undo.reading", text), (e) => [strike(e[0])]).then(() => history.back()); },
  pause(text) { acts.pause({ reason: text }); },
  "laid-form"(text, d) { acts.laid({ item: d.item, value: text }); },
  reopen(text) { return put([{ kind: "reopen", body: { reason: text } }], w("end.reopened")); },
  "sign-done"(text, d) {
    const body = { signed: v.sheet.me, reason: text, done: [d.item] };
    return put([{ kind: "deviation", body }], w("deviation.signed"));
  },
};

/* Forms say what is wrong at the field and keep what was typed. */
function submit(form) {
  const name = form.dataset.form, data = new FormData(form), text = String(data.get("text") || "").trim();
  for (const e of form.querySelectorAll(".wrong-at")) e.remove();
  const wrong = (field, says) => { field.insertAdjacentElement("beforebegin", h("p.wrong-at", { id: "wrong-at" }, says)); field.setAttribute("aria-invalid", "true"); field.setAttribute("aria-describedby", "wrong-at"); field.focus(); };
  const area = form.querySelector("[name=text]");
  if (name === "handover") {
    const body = {};
    if (data.get("to")) body.to = data.get("to");
    if (text) body.says = text;
    draft = {};
    area.value = "";
    put([{ kind: "handover", body }], w("handover.given"), (e) => [strike(e[0])]);
    return;
  }
  if (name === "deviation") {
    const lacks = data.getAll("lack");
    if (!lacks.length) return wrong(form.querySelector("fieldset"), w("deviation.none"));
    if (!text) return wrong(area, w("form.empty"));
    picked = new Set();
    area.value = "";
    put([{ kind: "deviation", body: { signed: v.sheet.me, reason: text, lacks } }], w("deviation.signed"), (e) => [strike(e[0])]);
    return;
  }
  if (!text) return wrong(area, w("form.empty"));
  if (name === "proof") {
    if (!data.get("verdict")) return wrong(form.querySelector("fieldset"), w("proof.choose"));
    area.value = "";
    put([{ kind: "proof", body: { what: text, verdict: String(data.get("verdict")) } }], w("undo.proof", w("verdict." + data.get("verdict"))), (e) => [strike(e[0])]);
    return;
  }
  const done = forms[name](text, form.dataset);
  if (done) area.value = "";
}

/* Reading aloud: the step or the handover, in the language of the page. */
function speak(what) {
  if (!("speechSynthesis" in window)) return;
  if (speechSynthesis.speaking) { speechSynthesis.cancel(); return; }
  const s = stepAt() ? v.steps[stepAt() - 1] : null;
  let list;
  if (what === "handover" || !s) list = at() === "tray" || what === "handover" || !s ? layer.sentences(v) : [];
  else {
    const x = s.sheet;
    list = [...v.must_not.map((p) => p.says + "."), ...(x.cautions || []).map((c) => w("caution.label") + ": " + c.text), w("speak.step", s.step), x.title + ".", x.where || "", ...(x.joints || []).map((j) => `${j.big && j.joint ? j.big + ". " : ""}${j.says}.`),
      ...(x.parts || []).map((p) => w("part.needs", p.count, p.says)), x.limit ? w("reading.limit") + " " + x.limit : "", ...(x.notes || [])];
  }
  document.body.dataset.spoken = list.filter(Boolean).join("\n");
  for (const text of list.filter(Boolean)) {
    const u = new SpeechSynthesisUtterance(text.replaceAll("N·m", w("speak.nm")));
    u.lang = document.documentElement.lang;
    speechSynthesis.speak(u);
  }
}

/* A picture is made small on the phone, named by its content, kept, then sent. */
const widest = 1600;
async function picture(file) {
  if (!crypto.subtle) { shout(w("picture.insecure")); return; }
  let blob;
  try {
    const image = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = Math.min(1, widest / Math.max(image.width, image.height));
    const canvas = h("canvas");
    canvas.width = Math.max(1, Math.round(image.width * scale));
    canvas.height = Math.max(1, Math.round(image.height * scale));
    canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
    blob = await new Promise((yes) => { canvas.toBlob(yes, "image/jpeg", 0.8); });
  } catch (e) { console.warn(e); }
  if (!blob) { shout(w("picture.unreadable")); return; }
  const hash = [...new Uint8Array(await crypto.subtle.digest("SHA-256", await blob.arrayBuffer()))].map((b) => b.toString(16).padStart(2, "0")).join("");
  const s = v.steps[present() - 1], body = { hash, type: "image/jpeg", size: blob.size };
  const from = draft.photo ? v.steps[draft.photo - 1] : s;
  if (from) { Object.assign(body, stepBody(from)); if (from.sheet.item) body.on = from.sheet.item; }
  await put([{ kind: "picture", body }], w("picture.kept"), (e) => [strike(e[0])], { hash, blob });
  go(from ? "s" + from.step : "");
}

/* The screen stays on while the sheet is seen. */
let lock = null;
async function awake() {
  if (!("wakeLock" in navigator) || document.hidden || lock && !lock.released) return;
  try { lock = await navigator.wakeLock.request("screen"); } catch { /* the battery decides */ }
}

document.addEventListener("click", (e) => {
  const b = e.target.closest("[data-do]");
  if (b && acts[b.dataset.do]) { e.preventDefault(); acts[b.dataset.do](b.dataset); }
  awake();
});
document.addEventListener("submit", (e) => { if (e.target.dataset.form) { e.preventDefault(); submit(e.target); } });
document.addEventListener("change", (e) => {
  if (e.target.id === "camera" && e.target.files[0]) picture(e.target.files[0]);
  if (e.target.name === "lack") { if (e.target.checked) picked.add(e.target.value); else picked.delete(e.target.value); }
  if (e.target.name === "to") draft.to = e.target.value;
});
addEventListener("hashchange", () => { ask = null; if (!onward) undo = null; onward = false; const m = /^s(\d+)$/.exec(at()); if (m || !at()) draft.photo = m ? Number(m[1]) : 0; if (v) draw(); });
document.addEventListener("visibilitychange", () => { if (!document.hidden) { awake(); refresh(); } });
setInterval(() => { if (v && !document.hidden && stepAt() && v.steps[stepAt() - 1] && v.steps[stepAt() - 1].sheet.kind === "await" && !ask) draw(); }, 1000);

/* home lists the jobs that this phone has. */
async function home() {
  const list = await keep.all();
  const paper = $("#paper");
  if (list.length) paper.replaceChildren(h("h1", w("home.head")), h("ul.jobs", list.map((j) => h("li", h("a.wide", { href: "/run/" + j.sheet.job }, h("b.plate", j.sheet.variant || j.sheet.machine), " ", j.sheet.title, j.waiting ? h("b.n", w("sent.n", j.waiting)) : null)))));
  else paper.replaceChildren(h("h1", w("home.head")), h("p.empty", w("home.none")));
  document.body.dataset.ready = "1";
}

let queued = false;
keep.on(() => { if (queued) return; queued = true; setTimeout(() => { queued = false; if (busy) missed = true; else refresh(); }, 30); });
own = new Map();
await keep.start();
own = await keep.recall();
lies = own.get("lies") || "";
if (keep.job) await refresh(); else home();
awake();
})();
