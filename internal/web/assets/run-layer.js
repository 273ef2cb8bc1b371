"use strict";
/* How a job stands on this phone: what the server knows, and on top of it what
   was written here and has not come back yet. Pure: no clock, no storage, no
   page. The server's own fold is the truth; this only has to say the same of
   the plain course of a job, and to err towards "still open" elsewhere. */
const layer = (() => {
const words = JSON.parse(document.getElementById("words").textContent);

/* Words by key, with the values put in where %s stands. */
const w = (key, ...values) => {
  if (!(key in words)) throw new Error("no words for " + key);
  let i = 0;
  return words[key].replace(/%s/g, () => String(values[i++]));
};

const copy = (x) => x === undefined ? undefined : JSON.parse(JSON.stringify(x));
const stampOf = (e) => ({ id: e.id, by: e.author, device: e.device, at: e.at });
const lower = (s) => /^.\p{Ll}/u.test(s) ? s[0].toLowerCase() + s.slice(1) : s;
const upper = (s) => s ? s[0].toUpperCase() + s.slice(1) : s;
const upTo = (n) => Array.from({ length: n }, (_, i) => i + 1);

/* Lists that the server leaves out when they are empty. */
const lists = ["arrivals", "signs", "codes", "readings", "proofs", "notes", "pictures", "pauses", "handovers", "deviations",
  "tray", "joints", "parts", "conditions", "must_not", "worked", "conflicts", "refused", "gaps", "lacks"];

/* view lays events that the state does not hold yet over it. */
function view(sheet, state, pending) {
  const v = copy(state) || {};
  for (const l of lists) v[l] = v[l] || [];
  v.fasteners = v.fasteners || { out: 0, in: 0 };
  v.connectors = v.connectors || { out: 0, in: 0 };
  for (const j of v.joints) { j.missing = j.missing || []; j.ticks = j.ticks || []; }
  v.sheet = sheet;
  v.since = [];
  v.mine = new Set(pending.map((e) => e.id));
  const planned = v.plan && v.plan.id === sheet.plan ? v.plan.steps : [];
  v.steps = (sheet.steps || []).map((s, i) => ({ done: false, counts: false, ticks: [], refused: [], ...planned[i], step: s.step, sheet: s }));
  const struck = new Set(pending.filter((e) => e.kind === "correct" && e.body.strike).map((e) => e.body.of));
  const before = v.steps.filter((s) => s.done).length;
  for (const e of pending) if (!struck.has(e.id)) apply(v, e);
  if (pending.length) settle(v, before);
  return v;
}

const same = (a, b) => a.item === b.item && a.joint === b.joint;
const drop = (list, id) => list.filter((x) => x.id !== id);

const effects = {
  done(v, e, b) {
    const st = b.step > 0 && b.plan === v.sheet.plan && v.steps[b.step - 1];
    if (!st) return;
    if (st.disputed) st.settled = true;
    st.disputed = false;
    const had = st.done;
    st.done = st.counts = true;
    st.ticks = [...st.ticks.filter((t) => t.by !== e.author), { ...stampOf(e), done: true }];
    if (b.lies) st.lies = b.lies;
    v.since.push(st.sheet.title);
    if (!had) perform(v, st, e, b.lies);
  },
  undone(v, e, b) {
    const st = b.step > 0 && b.plan === v.sheet.plan && v.steps[b.step - 1];
    if (!st) return;
    if (st.disputed) st.settled = true;
    st.disputed = false;
    const had = st.counts;
    st.done = st.counts = false;
    st.refused = [];
    st.ticks = [{ ...stampOf(e), done: false }];
    if (had) revert(v, st);
  },
  tick(v, e, b) { mark(v, e, b, true); },
  untick(v, e, b) { mark(v, e, b, false); },
  part(v, e, b) {
    const p = v.parts.find((x) => x.on === b.on && (x.part || "") === (b.part || "") && (b.part || (x.joint || 0) === (b.joint || 0)));
    if (!p) return;
    p.new += b.count;
    p.by = [...p.by || [], stampOf(e)];
  },
  laid(v, e, b) { for (const l of v.tray) if (l.item === b.item) l.lies = b.lies; },
  note(v, e, b) { v.notes.push({ ...stampOf(e), ...b }); },
  reading(v, e, b) { v.readings.push({ ...stampOf(e), ...b }); },
  verdict(v, e, b) { for (const r of v.readings) if (r.id === b.of) r.judged = [{ ...stampOf(e), verdict: b.verdict, limit: b.limit, why: b.why }]; },
  proof(v, e, b) { v.proofs.push({ ...stampOf(e), ...b }); },
  picture(v, e, b) { v.pictures.push({ ...stampOf(e), ...b }); },
  handover(v, e, b) { v.handovers.push({ ...stampOf(e), ...b }); },
  deviation(v, e, b) { v.deviations.push({ ...stampOf(e), ...b }); },
  pause(v, e, b) { v.pauses.push({ ...stampOf(e), ...b }); },
  resume() {},
  close(v, e, b) { v.closing = { ...stampOf(e), ...b }; },
  reopen(v) { delete v.closed; delete v.closing; },
  correct(v, e, b) {
    if (!b.strike) return;
    for (const l of ["notes", "readings", "proofs", "pictures", "handovers", "deviations", "signs"]) v[l] = drop(v[l], b.of);
    for (const p of v.parts) if ((p.by || []).some((s) => s.id === b.of)) { p.by = drop(p.by, b.of); if (!p.by.length) p.new = 0; }
  },
};

function apply(v, e) {
  /* Whatever somebody writes ends the pause of that person. */
  if (e.kind !== "pause") for (const p of v.pauses) if (p.by === e.author && !p.until) p.until = e.at;
  if (effects[e.kind]) effects[e.kind](v, e, e.body || {});
}

function lineOf(v, item, names, ids) {
  let l = v.tray.find((x) => x.item === item);
  if (!l) {
    const name = lower(names[ids.indexOf(item)] || item);
    l = { item, name: name.includes("(" + item + ")") || name === item ? name : `${name} (${item})`, out: 0 };
    v.tray.push(l);
  }
  return l;
}

/* perform: what a step that was ticked does to the tray, the joints and the
   single-use parts. */
function perform(v, st, e, lies) {
  const s = st.sheet, off = s.off || [], on = s.on || [], names = s.names || [], ids = [...off, ...on];
  for (const item of off) {
    const l = lineOf(v, item, names, ids);
    l.stands = aside(st) ? "aside" : "off";
    l.removed = stampOf(e);
    if (lies && item === (s.item || off[0])) l.lies = lies;
    if (s.item && item !== s.item) l.with = s.item;
  }
  for (const item of on) lineOf(v, item, names, ids).stands = "";
  if (s.kind !== "refit") open(v, st);
  if (s.kind === "do" && s.proof) return;
  if (s.kind !== "do" || (s.joints || []).length) for (const p of v.proofs) p.stale = true;
}

/* joblog says so of a step that moves something aside; the sheet does not. */
const aside = (st) => (st.says || st.sheet.title).startsWith("Move aside");

/* open: what comes apart in a step, and what its mirror has to put back. */
function open(v, st) {
  const s = st.sheet, mirrors = v.sheet.steps.filter((x) => x.undoes === s.step);
  for (const from of [s, ...mirrors]) {
    for (const j of from.joints || []) {
      if (from !== s && !(s.off || []).includes(j.item)) continue;
      const was = v.joints.find((x) => same(x, j));
      if (was && was.missing && was.missing.length === was.count) continue;
      if (was && from !== s) continue;
      const l = was || {};
      Object.assign(l, { item: j.item, name: name(v, j), joint: j.joint, says: j.joint ? j.says : w("fold.connector"), count: j.count, in: 0, missing: upTo(j.count), ticks: upTo(j.count).map(() => []) });
      if (!was) v.joints.push(l);
    }
    for (const p of from.parts || []) {
      if (from !== s && !(s.off || []).includes(p.on)) continue;
      const was = v.parts.find((x) => x.on === p.on && (x.part || "") === (p.part || "") && (x.joint || 0) === (p.joint || 0));
      if (was && from !== s) continue;
      const l = was || {};
      Object.assign(l, { on: p.on, part: p.part, joint: p.joint, says: p.says, need: p.count, new: 0, by: [] });
      if (!was) v.parts.push(l);
    }
  }
}

const name = (v, j) => { const n = lower(j.name || j.item); return n.includes("(" + j.item + ")") ? n : `${n} (${j.item})`; };

/* revert takes back what perform did. */
function revert(v, st) {
  const s = st.sheet, off = s.off || [], on = s.on || [];
  v.tray = v.tray.filter((l) => !off.includes(l.item));
  for (const item of on) lineOf(v, item, s.names || [], [...off, ...on]).stands = "off";
  if (s.kind === "clear") {
    v.joints = v.joints.filter((j) => !off.includes(j.item));
    v.parts = v.parts.filter((p) => !off.includes(p.on));
  }
  v.since = v.since.filter((t) => t !== s.title);
}

function mark(v, e, b, is) {
  const j = v.joints.find((x) => x.item === b.item && x.joint === (b.joint || 0));
  if (!j) return;
  j.ticks = j.ticks && j.ticks.length === j.count ? j.ticks : upTo(j.count).map(() => []);
  for (const n of upTo(j.count)) {
    if (b.index && b.index !== n) continue;
    j.ticks[n - 1] = [{ ...stampOf(e), done: is, wrench: b.wrench, value: b.value }];
    j.missing = (j.missing || []).filter((m) => m !== n);
    if (!is) j.missing = [...j.missing, n].sort((a, z) => a - z);
  }
  j.in = j.count - j.missing.length;
}

/* settle works out what follows from all of it. */
function settle(v, before) {
  const stands = (id) => (v.tray.find((l) => l.item === id) || {}).stands;
  for (const j of v.joints) if ((j.missing || []).length && stands(j.item) === undefined) v.tray.push({ item: j.item, name: j.name, stands: "", out: 0 });
  v.fasteners = { out: 0, in: 0 };
  v.connectors = { out: 0, in: 0 };
  for (const j of v.joints) {
    const c = j.joint ? v.fasteners : v.connectors;
    c.out += j.count;
    c.in += j.in;
  }
  for (const l of v.tray) l.out = v.joints.filter((j) => j.item === l.item).reduce((n, j) => n + (j.missing || []).length, 0);
  v.tray = v.tray.filter((l) => l.stands || l.out > 0 || l.unsure);
  const next = v.steps.find((s) => !s.done);
  const was = v.present;
  v.present = next ? { plan: v.sheet.plan, step: next.step, says: next.says || next.sheet.title, why: was && was.step === next.step && !v.since.length ? was.why : [] } : undefined;
  if (v.since.length || v.steps.filter((s) => s.done).length !== before) v.must_not = forbidden(v);
  v.lacks = lacking(v);
  if (v.closing && !v.lacks.some((l) => !l.signed)) v.closed = v.closing;
}

/* forbidden: by the number of steps done in the order of the plan. Where steps
   were done out of it, also what the server last knew. */
function forbidden(v) {
  const table = v.sheet.must_not || [];
  let n = 0;
  while (n < v.steps.length && v.steps[n].counts) n++;
  const list = [...table[n] || []];
  const early = v.steps.slice(n).some((s) => s.counts);
  if (early || !table.length) for (const p of v.must_not) if (!list.some((x) => x.says === p.says)) list.push(p);
  return list;
}

/* lacking says what keeps the job from being closed, under the keys by which a
   deviation signs for it. */
function lacking(v) {
  const list = [], add = (key, says) => list.push({ key, says });
  for (const l of v.tray) if (l.stands && !l.left) add("item " + l.item, w("fold.lack-item", l.name, w("fold." + l.stands), l.lies ? ` (${l.lies})` : ""));
  for (const j of v.joints) {
    if (!(j.missing || []).length || v.tray.some((l) => l.item === j.item && l.left && l.stands)) continue;
    add(`joint ${j.item}/${j.joint}: ${j.missing.join(", ")}`, w("fold.lack-joint", j.name, j.says, j.in, j.count, j.missing.join(", ")));
  }
  for (const p of v.parts) if (p.new < p.need) add(`part ${p.on} ${p.part || ""}/${p.joint || 0}: ${p.need - p.new}`, w("fold.lack-part", p.says, p.new, p.need));
  for (const c of v.conditions) {
    const steps = v.steps.filter((s) => s.act && s.act.condition === c.condition);
    const open = steps.some((s) => !s.done), begun = steps.some((s) => s.done);
    if (c.end && (steps.length ? open && (begun || c.value !== c.end) : c.value !== c.end)) add("condition " + c.condition, w("fold.lack-condition", c.says));
  }
  for (const s of v.steps) if (s.sheet.kind === "do" && !s.done && !s.sheet.proof && s.act) add(`task ${s.act.verb}:${s.act.item}`, w("fold.lack-task", lower(s.says || s.sheet.title)));
  for (const s of v.steps) {
    if (!s.sheet.proof || !s.sheet.check || list.some((l) => l.key === "proof " + s.sheet.check)) continue;
    const made = v.proofs.filter((p) => p.check === s.sheet.check);
    if (!made.some((p) => p.verdict === "conforming" && !p.stale)) add("proof " + s.sheet.check, w("fold.lack-proof", s.sheet.title));
  }
  const own = ["item ", "joint ", "part ", "condition ", "task ", "proof"];
  for (const l of (v.lacks || [])) if (!own.some((k) => l.key.startsWith(k)) && !settledHere(v, l)) list.push({ key: l.key, says: l.says });
  const worked = v.steps.some((s) => s.done && s.act && s.act.kind === "do" && s.act.verb !== "check") || (v.lacks || []).some((l) => l.key === "proof");
  if (worked && !v.steps.some((s) => s.sheet.proof) && !v.proofs.some((p) => p.verdict === "conforming" && !p.stale)) add("proof", w("fold.lack-worked"));
  for (const l of list) for (const d of v.deviations) if ((d.lacks || []).includes(l.key)) { l.signed = stampIn(d); l.reason = d.reason; }
  return list;
}

const stampIn = (d) => ({ id: d.id, by: d.by, device: d.device, at: d.at });
const settledHere = (v, l) => { const m = /^step (\d+)$/.exec(l.key); return m && v.steps[m[1] - 1] && v.steps[m[1] - 1].settled; };

/* sentences says the handover in plain words, prohibitions first: what is read
   aloud and written down. The same words as joblog.Handover. */
function sentences(v) {
  const list = [];
  for (const p of v.must_not) list.push((p.because || []).length ? `${p.says}: ${p.because.join("; ")}.` : p.says + ".");
  for (const l of v.tray) if (l.stands) list.push(upper(trayWords(l)));
  for (const j of v.joints) {
    if ((j.missing || []).length && !v.tray.some((l) => l.item === j.item && l.stands)) list.push(w("fold.loose", j.name, j.says, j.in, j.count, j.missing.join(", ")));
  }
  if (v.fasteners.out + v.connectors.out > 0) list.push(counts(v) + ".");
  for (const c of v.conditions) if (c.end && c.value !== c.end) list.push(upper(c.says) + ".");
  list.push(...progress(v));
  for (const c of v.conflicts) if (c.blocking) list.push(w("fold.unsettled", c.says));
  for (const r of v.refused) if (r.why !== "not finished") list.push(w("fold.unsettled", r.says));
  for (const g of v.gaps) list.push(w("fold.unsettled", gapWords(g)));
  const h = v.handovers[v.handovers.length - 1];
  if (h && h.says) list.push(w("fold.said", h.by, h.says));
  return list;
}

const gapWords = (g) => g.first === g.last ? w("fold.gap-one", g.device, g.first) : w("fold.gap", g.device, g.first, g.last);

function trayWords(l) {
  let s = w("fold.tray", l.name, w("fold." + l.stands));
  if (l.with) s += w("fold.tray-with", l.with);
  if (l.lies) s += w("fold.tray-lies", l.lies);
  if (l.found) s += w("fold.tray-found");
  if (l.unsure) s += w("fold.tray-unsure");
  return s + ".";
}

const counts = (v) => w("fold.counts", v.fasteners.out, v.fasteners.in) + (v.connectors.out ? w("fold.counts-connectors", v.connectors.out, v.connectors.in) : "");

function progress(v) {
  if (!v.steps.length) return [w("fold.no-plan")];
  const list = [w("fold.done", v.steps.filter((s) => s.done).length, v.steps.length)];
  const last = lastDone(v);
  if (last) list.push(w("fold.last", last));
  if (!v.present) return [...list, w("fold.none-left")];
  let next = w("fold.next", v.present.step, v.present.says);
  if ((v.present.why || []).length) next += w("fold.next-why", v.present.why.join("; "));
  return [...list, next];
}

/* lastDone names the step that was ticked last. */
function lastDone(v) {
  if (v.since.length) { const t = v.since[v.since.length - 1], st = v.steps.find((s) => s.sheet.title === t && s.done); return st ? st.says || t : t; }
  const k = v.worked[v.worked.length - 1];
  if (!k) return "";
  const st = k.plan === v.sheet.plan && k.step > 0 ? v.steps[k.step - 1] : null;
  return st ? st.says || st.sheet.title : "";
}

return { view, sentences, counts, lastDone, w, lower, upper };
})();
