"use strict";
/* How things look: every part of the run sheet that can be drawn from a view
   of the job. Nothing here writes anything; what is tapped is named by
   data-do and handled in run.js. */
const show = (() => {
const w = layer.w;

/* h makes an element: h("p.big", {title: "x"}, "text", child …). */
function h(what, ...rest) {
  const [tag, ...classes] = what.split(".");
  const e = document.createElement(tag || "div");
  if (classes.length) e.className = classes.join(" ");
  const props = rest.length && rest[0] && rest[0].constructor === Object ? rest.shift() : {};
  for (const [k, x] of Object.entries(props)) {
    if (x === undefined || x === null || x === false) continue;
    if (k === "data") for (const [d, y] of Object.entries(x)) { if (y !== undefined) e.dataset[d] = y; }
    else if (k in e && typeof x !== "string") e[k] = x;
    else e.setAttribute(k, x === true ? "" : x);
  }
  e.append(...rest.flat(9).filter((x) => x !== null && x !== undefined && x !== false && x !== ""));
  return e;
}
const ns = "http://www.w3.org/2000/svg";
function svg(tag, props, ...children) {
  const e = document.createElementNS(ns, tag);
  for (const [k, x] of Object.entries(props)) e.setAttribute(k, x);
  e.append(...children);
  return e;
}
const button = (kind, act, data, ...text) => h("button." + kind, { type: "button", data: { do: act, key: act + JSON.stringify(data || {}), ...data } }, ...text);

const person = (v, id) => { const p = (v.sheet.people || []).find((x) => x.id === id); return p && p.name || id; };
const clock = (at) => new Date(at).toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });

/* The valley: down with what comes off, up with what goes back; the part that
   is done is drawn thick, the present step is a diamond. */
function valley(v, at) {
  const n = v.steps.length;
  if (!n) return null;
  let depth = 0;
  const deep = [0, ...v.steps.map((s) => (depth = Math.max(0, depth + (s.sheet.off || []).length - (s.sheet.on || []).length)))];
  const most = Math.max(1, ...deep), x = (i) => (4 + i / n * 292).toFixed(1), y = (d) => (6 + d / most * 28).toFixed(1);
  const line = (from, to) => { let d = `M${x(from)} ${y(deep[from])}`; for (let i = from + 1; i <= to; i++) d += `H${x(i)}V${y(deep[i])}`; return d; };
  let done = 0;
  while (done < n && v.steps[done].done) done++;
  const here = svg("svg", { viewBox: "0 0 300 40", class: "mark-valley", role: "img", "aria-label": w("valley.label", v.steps.filter((s) => s.done).length, n) });
  here.append(svg("path", { d: line(0, n), class: "all" }));
  if (done) here.append(svg("path", { d: line(0, done), class: "past" }));
  for (const s of v.steps.slice(done)) if (s.done) here.append(svg("path", { d: `M${x(s.step - 1)} ${y(deep[s.step - 1])}H${x(s.step)}V${y(deep[s.step])}`, class: "past" }));
  const px = Number(x(at - 0.5)), py = Number(y(deep[at - 1] || 0));
  here.append(svg("path", { d: `M${px} ${py - 6}l6 6-6 6-6-6z`, class: "here" }));
  return here;
}

/* What must not be done: on every view, two lines and the rest on a tap. */
function forbidden(v, open) {
  if (!v.must_not.length) return null;
  const rest = v.must_not.length - 2;
  const line = (p) => h("li", h("b", p.says), open && (p.because || []).length ? h("small", p.because.join("; ")) : null);
  return h("section.ban", { "aria-label": w("never.label") },
    h("ul", (open ? v.must_not : v.must_not.slice(0, rest > 0 ? 2 : 3)).map(line)),
    button("ban-more", "never", {}, open ? w("never.less") : rest > 0 ? w("never.more", rest) : w("never.why")));
}

const caution = (c) => h("div.warn", h("p", h("strong", w("caution.label")), " ", c.text), c.authority ? h("small", c.authority) : null);

/* Cautions stand first and must be read before anything can be ticked. */
function cautions(s, read) {
  const list = s.sheet.cautions || [];
  if (!list.length) return null;
  if (read) return h("details.cautions.was-read", { data: { key: "cautions" + s.step } }, h("summary", w("caution.again", list.length)), list.map(caution));
  return h("section.cautions", { "aria-label": w("caution.label") }, list.map(caution), button("wide.ack", "ack", { step: s.step }, w("caution.ack")));
}

const ticksOf = (j, n) => (j && j.ticks && j.ticks[n - 1] || []);

/* A joint: what it takes in digits to be read at arm's length, and a dot for
   each fastener where it sits, numbered in the order of tightening. */
function joint(v, s, j, tick) {
  const line = v.joints.find((x) => x.item === j.item && x.joint === j.joint);
  const box = h("section.joint", { "aria-label": j.name + ": " + j.says });
  if (j.joint === 0) {
    box.append(h("h2", w("joint.connector", j.name)));
    if (j.trick) box.append(h("p.trick", j.trick));
  } else {
    if (j.big) box.append(h("div.torque-line", h("p.big" + (j.unknown ? ".unknown" : ""), j.big), h("p.state", [j.state, j.drive ? j.count + " × " + j.drive : ""].filter(Boolean).join(", "))));
    if ((j.stages || []).length > 1) box.append(h("ol.stages", j.stages.map((x) => h("li", x))));
    if (j.setting) box.append(h("p.setting", j.setting));
  }
  const after = j.joint === 0 ? [] : [h("p.says", j.says), j.reuse ? h("p", h("b.flag", j.reuse)) : null, (j.was || []).map((was) => h("p.was", w("joint.was"), " ", h("s", was))), j.note ? h("p", j.note) : null,
    j.source ? h("details.source", { data: { key: `source ${j.item}/${j.joint}` } }, h("summary", w("joint.source")), h("p", j.source)) : null].flat().filter(Boolean);
  if (!tick || !line) {
    if (tick) box.append(h("p.hint", w("joint.later")));
    box.append(...after);
    return box;
  }
  box.append(h("p.count", h("b", w("joint.count", line.in, line.count)), line.missing.length ? null : " " + w("joint.all-in")));
  box.append(dots(v, j, line));
  if (j.count > 1 && line.missing.length) box.append(button("wide", "tick-all", { item: j.item, joint: j.joint }, w("joint.tick-all", j.count)));
  if (j.count > 1) box.append(dotList(v, j, line));
  box.append(...after);
  return box;
}

function orderOf(j) {
  const list = (j.dots || []).length === j.count ? j.dots : Array.from({ length: j.count }, (_, i) => ({ index: i + 1 }));
  return list.map((d, i) => ({ ...d, order: i + 1 }));
}

const dotWords = (v, j, line, d) => {
  const ticks = ticksOf(line, d.index), by = ticks.map((t) => person(v, t.by)).join(", ");
  const state = ticks.length > 1 && ticks.some((t) => t.done !== ticks[0].done) ? "disputed" : line.missing.includes(d.index) ? "open" : "in";
  return { state, by, text: j.joint === 0 ? w("dot.connector-" + state, by) : w("dot." + state, d.order, j.count, by) };
};

/* target is the least size of what is tapped with a glove, in pixels. */
const target = 58;

function dots(v, j, line) {
  const list = orderOf(j), open = list.find((d) => line.missing.includes(d.index));
  const placed = list.every((d) => d.x !== undefined && d.y !== undefined) && list.length > 1;
  const box = h("div.dots" + (placed ? "" : ".row"));
  const wide = Math.min(document.documentElement.clientWidth, 560) - 32;
  let high = 0;
  if (placed) {
    const apart = (tall) => list.every((a, i) => list.slice(i + 1).every((b) => Math.hypot((a.x - b.x) * (wide - target), (a.y - b.y) * (tall - target)) >= target + 12));
    for (let tall = 130; tall <= 640 && !high; tall += 10) if (apart(tall)) high = tall;
    if (high) { box.style.height = high + "px"; box.style.width = wide + "px"; } else box.classList.add("row");
  }
  for (const d of list) {
    const say = dotWords(v, j, line, d);
    const b = button("dot." + say.state + (open && open.index === d.index ? ".next" : ""), "dot", { item: j.item, joint: j.joint, index: d.index },
      h("span.order", { "aria-hidden": "true" }, j.joint === 0 ? w("dot.connector-" + say.state, say.by) : say.state === "in" ? "✓" : say.state === "disputed" ? "?" : String(d.order)));
    b.setAttribute("aria-label", say.text);
    b.setAttribute("aria-pressed", String(say.state === "in"));
    if (j.joint === 0) b.classList.add("plug");
    if (high) { b.style.left = `${d.x * (wide - target)}px`; b.style.top = `${d.y * (high - target)}px`; }
    box.append(b);
  }
  return box;
}

function dotList(v, j, line) {
  return h("details.as-list", { data: { key: `list ${j.item}/${j.joint}` } }, h("summary", w("joint.list")), h("ol", orderOf(j).map((d) => {
    const say = dotWords(v, j, line, d);
    return h("li", h("span", say.text), button("small", "dot", { item: j.item, joint: j.joint, index: d.index, list: "1" }, say.state === "in" ? w("dot.take-back") : w("dot.tick")));
  })));
}

/* Single-use parts: one tap says that all of them are new. */
function part(v, p) {
  const line = v.parts.find((x) => x.on === p.on && (x.part || "") === (p.part || "") && (p.part || (x.joint || 0) === (p.joint || 0)));
  const have = line ? line.new : 0, need = line ? line.need : p.count;
  return h("section.part", { "aria-label": p.says }, h("p", h("b", w("part.needs", need, p.says)), " ", h("span.flag", w("part.once"))),
    !line ? h("p.hint", w("part.later")) : have >= need ? h("p.in", "✓ " + w("part.done", have)) :
      button("wide", "part", { on: p.on, part: p.part || "", joint: p.joint || 0, count: need - have }, w("part.fitted", need - have)));
}

/* A reading: a pad with keys that a glove hits. The units that the limit
   speaks of stand first. */
const units = ["Ω", "kΩ", "MΩ", "mV", "V", "mA", "A", "bar", "kPa", "°C", "K", "Hz", "%", "nF", "pF", "ms", "mm", "min", "s"];
function unitsFor(limit) {
  const said = units.filter((u) => new RegExp(`(^|[\\s\\d.])${u.replace("%", "%")}($|[\\s,;.)/])`).test(limit || ""));
  const family = said.some((u) => u.endsWith("Ω")) ? ["Ω", "kΩ", "MΩ"] : said.some((u) => /^m?V$/.test(u)) ? ["mV", "V"] : said.some((u) => /^m?A$/.test(u)) ? ["mA", "A"] : [];
  const list = [...new Set([...said, ...family])];
  return list.length ? list : units.slice(0, 6);
}
function pad(s, typed) {
  const keys = ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "⌫"];
  const list = unitsFor(s.sheet.limit), all = typed.more ? units : list;
  return h("section.pad", { "aria-label": w("reading.label") },
    h("output.typed", { "aria-live": "polite" }, typed.text ? typed.text + " " + (typed.unit || "") : w("reading.empty")),
    h("div.keys-grid", keys.map((k) => { const b = button("key", "key", { k }, k); if (k === "⌫") b.setAttribute("aria-label", w("reading.back")); return b; })),
    h("div.chips-row", { role: "group", "aria-label": w("reading.sign") }, [">", "<", "−"].map((k) => button("chip" + (typed.text.startsWith(k) ? ".on" : ""), "sign", { k }, k))),
    h("div.chips-row", { role: "group", "aria-label": w("reading.unit") }, all.map((u) => { const b = button("chip" + (typed.unit === u ? ".on" : ""), "unit", { u }, u); b.setAttribute("aria-pressed", String(typed.unit === u)); return b; }),
      typed.more ? null : button("chip", "units", {}, w("reading.units"))),
    button("wide.strong", "reading", { check: s.sheet.check }, w("reading.keep")),
    button("wide", "words", { check: s.sheet.check }, w("reading.words")));
}

const verdicts = ["conforming", "non-conforming", "too close to call", "not comparable"];
const verdictMark = { conforming: "✓", "non-conforming": "✕", "too close to call": "≈", "not comparable": "?" };
function readings(v, s, typed) {
  if (!s.sheet.check) return null;
  const mine = v.readings.filter((r) => r.check === s.sheet.check);
  const box = h("section.readings", { "aria-label": w("reading.head") }, h("h2", w("reading.head")));
  if (s.sheet.limit) box.append(h("p.limit", w("reading.limit"), " ", h("b", s.sheet.limit)));
  for (const r of mine) {
    const judged = (r.judged || []).map((j) => verdictMark[j.verdict] + " " + w("verdict." + j.verdict)).join(" / ");
    box.append(h("p.taken", h("b.num", r.text), " ", h("span", judged || w("reading.unjudged")), " ", h("small", person(v, r.by) + ", " + clock(r.at))));
  }
  box.append(pad(s, typed));
  if (s.sheet.proof) {
    const made = v.proofs.filter((p) => p.check === s.sheet.check);
    box.append(h("h2", w("proof.head")), ...made.map((p) => h("p.taken", h("b", verdictMark[p.verdict] + " " + w("verdict." + p.verdict)), p.stale ? " " + w("proof.stale") : "", " ", h("small", person(v, p.by)))));
    box.append(h("div.choices", verdicts.map((x) => button("wide", "proof", { check: s.sheet.check, verdict: x }, verdictMark[x] + " " + w("verdict." + x)))));
  }
  return box;
}

const chips = (act, list, on, data) => h("div.chips-row", list.map((x) => { const b = button("chip" + (x === on ? ".on" : ""), act, { ...data, value: x }, x); b.setAttribute("aria-pressed", String(x === on)); return b; }));
const places = (v) => [...new Set([...v.tray.map((l) => l.lies).filter(Boolean), ...[1, 2, 3].flatMap((n) => [w("place.tray", n), w("place.bag", n)])])].slice(0, 9);

/* One step, large. */
function step(v, s, more) {
  const x = s.sheet, refit = x.phase !== "strip" || x.kind === "refit";
  const out = [cautions(s, more.read)];
  const where = [x.place, x.sight, x.hands ? w(x.hands > 1 ? "step.hands" : "step.hand") : ""].filter(Boolean);
  out.push(h("p.count-of", { id: "count-of" }, w("step.of", s.step, v.steps.length), s.done ? h("b.flag.is", "✓ " + w("step.done")) : null, s.disputed ? h("b.flag.is", "? " + w("step.disputed")) : null, !s.done && s.counts ? h("b.flag", w("step.counts")) : null));
  out.push(h("h1", { id: "step-title", tabIndex: -1 }, x.title));
  if (where.length) out.push(h("p.where", where.join(" · ")));
  for (const why of s.refused || []) out.push(h("p.trouble", w("step.refused"), " ", why));
  if (v.present && v.present.step === s.step) for (const why of v.present.why || []) out.push(h("p.trouble", w("step.why"), " ", why));
  if (more.wait) out.push(waiting(more.wait));
  for (const p of v.pictures.filter((p) => p.plan === v.sheet.plan && p.step === s.step)) out.push(h("figure", h("img", { src: more.src(p.hash), alt: p.says || w("picture.alt", x.title), loading: "lazy" })));
  out.push(readings(v, s, more.typed));
  const joints = (x.joints || []).filter((j) => j.joint || refit);
  if (refit) for (const j of x.joints || []) out.push(joint(v, s, j, true)); else for (const j of joints) out.push(h("section.joint", { "aria-label": j.name }, h("p.big.open", j.count + " ×" + (j.drive ? " " + j.drive : "")), h("p.says", j.says)));
  if (!refit) for (const j of (x.joints || []).filter((j) => !j.joint)) out.push(h("section.joint", h("h2", w("joint.unplug", j.name)), j.trick ? h("p.trick", j.trick) : null));
  for (const p of x.parts || []) out.push(part(v, p));
  if (x.where) out.push(h("details.at-length", { data: { key: "where" + s.step } }, h("summary", w("step.where")), h("p", x.where)));
  if (x.tools && x.tools.length) out.push(h("p.tools", h("b", w("step.tools")), " ", x.tools.join(", ")));
  if ((x.off || []).length && !s.done) out.push(h("section.lies", { "aria-label": w("lies.head") }, h("h2", w("lies.head")), chips("lies", places(v), more.lies)));
  if ((x.off || []).length && s.done && s.lies) out.push(h("p", w("lies.is", s.lies)));
  for (const n of x.risks || []) out.push(h("p.note", w("step.risk"), " ", n));
  for (const n of x.notes || []) out.push(h("p.note", n));
  for (const n of v.notes.filter((n) => n.on && n.on === x.item)) out.push(h("p.note", h("b", person(v, n.by) + ": "), n.text));
  for (const t of s.ticks || []) out.push(h("p.by", w(t.done ? "step.by" : "step.back-by", person(v, t.by), clock(t.at)), v.mine.has(t.id) ? " " + w("step.unsent") : ""));
  return out;
}

function waiting(wait) {
  const left = Math.max(0, Math.ceil((wait.until - Date.now()) / 1000));
  return h("p.big.countdown", { role: "timer" }, left ? `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}` : w("step.waited"));
}

/* The tray: what is off, where it lies, out against in. */
function tray(v, editing) {
  const off = v.tray.filter((l) => l.stands), loose = v.tray.filter((l) => !l.stands);
  const line = (l) => h("li", h("p", h("b", layer.upper(l.name)), " ", h("span.flag", l.stands ? w("fold." + l.stands) : w("tray.loose", l.out))),
    l.lies ? h("p.lies-at", l.lies) : null, l.found ? h("p", w("tray.found")) : null, l.unsure ? h("p.trouble", w("tray.unsure")) : null,
    l.stands ? (editing === l.item ? h("div", chips("laid", places(v), l.lies, { item: l.item }), typedForm("laid-form", w("lies.other"), "", { item: l.item })) : button("small", "lay", { item: l.item }, l.lies ? w("tray.move") : w("tray.where"))) : null);
  return [h("h1", w("tray.head")), h("p.tally", h("b.big", `${v.fasteners.in} / ${v.fasteners.out}`), h("span", w("tray.fasteners"))),
    v.connectors.out ? h("p.tally", h("b.big", `${v.connectors.in} / ${v.connectors.out}`), h("span", w("tray.connectors"))) : null,
    off.length + loose.length ? h("ul.tray", off.map(line), loose.map(line)) : h("p.empty", w("tray.empty"))];
}

function typedForm(act, label, value, data, area) {
  const id = "f-" + act + (data && data.item || "");
  return h("form.typed-form", { data: { form: act, ...data } }, h("label", { for: id }, label),
    area ? h("textarea", { id, name: "text", rows: "3", maxlength: "3900" }, value || "") : h("input", { id, name: "text", type: "text", maxlength: "190", value: value || "", autocomplete: "off" }),
    h("button.wide", {}, w("form.keep")));
}

function steps(v, at) {
  const line = (s) => h("li", { value: s.step }, h("a" + (s.step === at ? ".here" : ""), { href: "#s" + s.step, "aria-current": s.step === at ? "step" : undefined },
    h("b.mark-is", { "aria-hidden": "true" }, s.disputed ? "?" : s.done ? "✓" : String(s.step)), h("span", s.sheet.title), h("span.unseen", s.disputed ? w("step.disputed") : s.done ? w("step.done") : w("step.open"))));
  return [h("h1", w("steps.head")), h("p.count-of", w("valley.label", v.steps.filter((s) => s.done).length, v.steps.length)), h("ol.all-steps", v.steps.map(line))];
}

function handover(v, draft) {
  return [h("h1", w("handover.head")), h("ul.sentences", layer.sentences(v).map((s) => h("li", s))),
    button("wide", "speak", { what: "handover" }, w("speak.handover")),
    h("form.typed-form", { data: { form: "handover" } }, h("fieldset", h("legend", w("handover.to")), h("label.pick", h("input", { type: "radio", name: "to", value: "", checked: !draft.to }), w("handover.anybody")),
      (v.sheet.people || []).filter((p) => p.id !== v.sheet.me).map((p) => h("label.pick", h("input", { type: "radio", name: "to", value: p.id, checked: draft.to === p.id }), p.name || p.id))),
    h("label", { for: "f-hand" }, w("handover.says")), h("textarea", { id: "f-hand", name: "text", rows: "3", maxlength: "3900" }, draft.text || ""), h("button.wide.strong", {}, w("handover.give")))];
}

/* The end: what is lacking, and what it takes to close all the same. */
function end(v, picked) {
  const open = v.lacks.filter((l) => !l.signed), signed = v.lacks.filter((l) => l.signed);
  const out = [h("h1", w("end.head"))];
  if (v.closed) {
    out.push(h("p.good-line", "✓ " + w("end.closed", person(v, v.closed.by), clock(v.closed.at))), typedForm("reopen", w("end.reopen"), "", {}));
    return out;
  }
  if (v.mine.size) out.push(h("p.hint", w("end.unsent", v.mine.size)));
  if (!open.length) {
    out.push(h("p.good-line", "✓ " + w("end.nothing")), button("wide.strong", "close", {}, w("end.close")));
  } else {
    out.push(h("p.trouble", h("b", w("end.lacking", open.length)), " ", layer.counts(v)));
    if (open.some((l) => l.key === "proof")) out.push(h("form.typed-form", { data: { form: "proof" } }, h("fieldset", h("legend", w("proof.head")), verdicts.map((x) => h("label.pick", h("input", { type: "radio", name: "verdict", value: x }), verdictMark[x] + " " + w("verdict." + x)))),
    h("label", { for: "f-proof" }, w("proof.what")), h("input", { id: "f-proof", name: "text", type: "text", maxlength: "190", autocomplete: "off" }), h("button.wide", {}, w("proof.keep"))));
    out.push(h("form.typed-form", { data: { form: "deviation" } }, h("fieldset", h("legend", w("end.pick")), open.map((l) => h("label.pick", h("input", { type: "checkbox", name: "lack", value: l.key, checked: picked.has(l.key) }), h("span", layer.upper(l.says))))),
      h("label", { for: "f-dev" }, w("deviation.reason")), h("textarea", { id: "f-dev", name: "text", rows: "3", maxlength: "3900" }), h("p.hint", w("deviation.sign", person(v, v.sheet.me))), h("button.wide", {}, w("deviation.button"))));
  }
  if (signed.length) out.push(h("h2", w("end.signed")), h("ul.plainlist", signed.map((l) => h("li", l.says, " ", h("b", person(v, l.signed.by)), ": ", l.reason))));
  return out;
}

/* What people or phones do not agree on, and what the server did not keep. */
function settle(v, refused) {
  const out = [h("h1", w("settle.head"))];
  for (const r of refused) {
    out.push(h("section.dispute", h("h2", w("settle.refused", w("kind." + r.event.kind))), h("p", aboutOf(v, r.event)), h("p", h("b", r.says)),
      h("div.choices", button("wide", "again", { id: r.id }, w("settle.again")), button("wide", "dismiss", { id: r.id }, w("settle.dismiss")))));
  }
  for (const c of v.conflicts) {
    const st = /^step (\d+)$/.exec(c.key), fa = /^fastener (.+)\/(\d+)\/(\d+)$/.exec(c.key);
    if (st && v.steps[st[1] - 1] && v.steps[st[1] - 1].settled) continue;
    const box = h("section.dispute" + (c.blocking ? ".blocks" : ""), h("h2", c.blocking ? w("settle.blocks") : w("settle.twice")), h("p", layer.upper(c.says)));
    if (c.blocking && st) box.append(h("div.choices", button("wide", "is-done", { step: st[1] }, "✓ " + w("settle.is-done")), button("wide", "is-undone", { step: st[1] }, "✕ " + w("settle.is-undone"))));
    if (c.blocking && fa) box.append(h("div.choices", button("wide", "is-in", { item: fa[1], joint: fa[2], index: fa[3] }, "✓ " + w("settle.is-in")), button("wide", "is-out", { item: fa[1], joint: fa[2], index: fa[3] }, "✕ " + w("settle.is-out"))));
    out.push(box);
  }
  for (const r of v.refused) {
    if (r.why === "not finished") continue;
    out.push(h("section.dispute.blocks", h("h2", w("settle.not-counted")), h("p", layer.upper(r.says)),
      r.step ? h("div.choices", button("wide", "is-undone", { step: r.step }, w("settle.take-back"))) : null,
      typedForm("sign-done", w("settle.sign"), "", { item: r.event, step: r.step || 0 }, true)));
  }
  for (const g of v.gaps) out.push(h("section.dispute", h("h2", w("settle.gap")), h("p", `${g.device}: ${g.first}–${g.last}`)));
  if (out.length === 1) out.push(h("p.empty", w("settle.none")));
  return out;
}

function aboutOf(v, e) {
  const b = e.body || {};
  if (b.step && v.steps[b.step - 1]) return w("about.step", b.step, v.steps[b.step - 1].sheet.title);
  if (b.item) return w("about.fastener", b.item, b.joint || 0, b.index || 0);
  return b.text || b.says || b.reason || b.what || b.on || "";
}

function notePage() { return [h("h1", w("note.head")), typedForm("note", w("note.label"), "", {}, true)]; }
function readingPage(s) { return [h("h1", w("reading.words")), h("p", s.sheet.limit || ""), typedForm("words", w("reading.words-label"), "", { check: s.sheet.check })]; }
function pausePage(v) { return [h("h1", w("pause.head")), h("div.choices", ["telephone", "customer", "part", "other", "break"].map((r) => button("wide", "pause", { reason: w("pause." + r) }, w("pause." + r)))), typedForm("pause", w("pause.label"), "", {})]; }
function pausedPage(v, p) {
  const last = layer.lastDone(v);
  return [h("h1", w("paused.head", clock(p.at))), p.reason ? h("p.where", p.reason) : null, last ? h("p", w("paused.last", last)) : null,
    v.present ? h("p.next-line", h("b", w("paused.next", v.present.step, v.present.says))) : null,
    h("ul.tray", v.tray.filter((l) => l.stands && l.lies).map((l) => h("li", h("b", layer.upper(l.name)), " ", l.lies))), button("wide.strong.tall", "resume", {}, w("paused.go-on"))];
}

function more(v, counts) {
  const item = (href, text, n) => h("a.wide", { href }, text, n ? h("b.n", String(n)) : null);
  return [h("h1", w("more.head")), h("div.choices",
    h("label.wide", { for: "camera" }, w("more.photo")), item("#note", w("more.note")), item("#pause", w("more.pause")), item("#handover", w("more.handover")),
    item("#settle", w("more.settle"), counts.settle), item("#steps", w("more.steps")), item("#end", w("more.end"), v.lacks.filter((l) => !l.signed).length), item("#sent", w("more.sent"), counts.waiting)),
    h("input.unseen", { type: "file", id: "camera", accept: "image/*", capture: "environment", "aria-label": w("more.photo"), tabIndex: -1 }),
    h("p.quiet", v.sheet.revision), h("p.quiet", v.sheet.deference)];
}

function sent(v, status, have) {
  const line = (a, b) => [h("dt", a), h("dd", b)];
  return [h("h1", w("sent.head")), h("dl.facts-of", line(w("sent.waiting"), String(have.queue.length)), line(w("sent.last"), status.last ? clock(status.last) : w("sent.never")),
    line(w("sent.storage"), w("storage." + (status.storage || (status.persisted ? "kept" : "ok")))), line(w("sent.offline"), w("offline." + (status.offline || "wait"))),
    Math.abs(status.skew) > 120000 ? line(w("sent.clock"), w("sent.skew", Math.round(Math.abs(status.skew) / 60000))) : []),
    status.says ? h("p.trouble", status.says) : null, button("wide", "send", {}, w("sent.now")),
    have.queue.length ? h("ol.queue", have.queue.map((e) => h("li", w("kind." + e.kind), " ", h("small", clock(e.at) + " " + aboutOf(v, e)), e.author !== v.sheet.me ? h("b.flag", w("sent.other", person(v, e.author))) : null))) : null];
}

return { h, button, valley, forbidden, step, tray, steps, handover, end, settle, notePage, readingPage, pausePage, pausedPage, more, sent, person, clock, aboutOf };
})();
