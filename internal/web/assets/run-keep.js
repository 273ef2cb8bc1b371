"use strict";
/* What the phone keeps and how it gets to the server: every event is kept in
   the browser's database before anything on the page shows it; a loop sends
   what is kept whenever the server can be reached. Several tabs share one
   database: numbers and ids are given out inside its transactions. */
const keep = (() => {
const job = document.body.dataset.job;
const path = "/run/" + job;
const schema = 1;
const chunk = 200;           /* events of one delivery */
const most = 3_000_000;      /* bytes of one delivery; the server takes 4 MB */
const longest = 60_000;      /* ms between two tries */
const earliest = Date.UTC(2025, 0, 1); /* a clock before this was never set */

const listeners = [];
const status = { online: null, sending: false, trouble: "", storage: "", last: 0, waiting: 0, skew: 0, persisted: null };
const tabs = "BroadcastChannel" in window ? new BroadcastChannel("elbowroom-run") : null;
let me = "";
let db = null;
let aside = null; /* where events go when the database does not take them */

const changed = () => { for (const f of listeners) f(); };
const moved = () => { if (tabs) tabs.postMessage(job); changed(); };
if (tabs) tabs.onmessage = (m) => { if (m.data === job || !job) changed(); };

/* ids: UUID version 7, RFC 9562. A device's ids rise, also while its clock
   stands still or has gone back; they are after everything it has received. */
const low = (1n << 62n) - 1n;
function idOf(n) {
  const h = ((n >> 74n) << 80n | 7n << 76n | (n >> 62n & 0xfffn) << 64n | 2n << 62n | n & low).toString(16).padStart(32, "0");
  return `${h.slice(0, 8)}-${h.slice(8, 12)}-${h.slice(12, 16)}-${h.slice(16, 20)}-${h.slice(20)}`;
}
function numberOf(id) {
  const n = BigInt("0x" + id.replaceAll("-", ""));
  return n >> 80n << 74n | (n >> 64n & 0xfffn) << 62n | n & low;
}
function random(bytes) {
  let n = 0n;
  for (const b of crypto.getRandomValues(new Uint8Array(bytes))) n = n << 8n | BigInt(b);
  return n;
}
function nextID(last, now) {
  const fresh = BigInt(now) << 74n | random(10) & (1n << 74n) - 1n;
  const was = last ? numberOf(last) : 0n;
  return idOf(fresh > was ? fresh : was + random(4) + 1n);
}
const later = (a, b) => (a || "") > (b || "") ? a || "" : b || "";
const hex = (n, digits) => n.toString(16).padStart(digits, "0");

/* The database. */
const stores = {
  about: null, heads: null, sheets: null, states: null, counts: null, queue: ["job", "device", "seq"], refused: "id", blobs: "hash",
};
const request = (r) => new Promise((yes, no) => { r.onsuccess = () => yes(r.result); r.onerror = () => no(r.error); });
function openBase() {
  return new Promise((yes, no) => {
    if (!("indexedDB" in window) || !indexedDB) { no(new Error("indexedDB")); return; }
    const r = indexedDB.open("elbowroom-run", 1);
    r.onupgradeneeded = () => { for (const [n, keyPath] of Object.entries(stores)) r.result.createObjectStore(n, keyPath ? { keyPath } : undefined); };
    r.onsuccess = () => { r.result.onversionchange = () => r.result.close(); yes(r.result); };
    r.onerror = () => no(r.error);
    r.onblocked = () => no(new Error("blocked"));
  });
}

/* within runs f in one transaction and resolves when it is on the disk. */
function within(names, mode, f) {
  return new Promise((yes, no) => {
    let out, tx;
    try { tx = db.transaction(names, mode, { durability: "strict" }); } catch (e) { no(e); return; }
    tx.oncomplete = () => yes(out);
    tx.onabort = () => no(tx.error || new Error("aborted"));
    tx.onerror = () => {};
    Promise.resolve(f((n) => tx.objectStore(n))).then((r) => { out = r; }, (e) => { try { tx.abort(); } catch { /* over already */ } no(e); });
  });
}

/* open reads what is kept, and says when the phone keeps nothing. */
async function open() {
  try {
    db = await openBase();
  } catch (e) {
    db = null;
    failed(e);
  }
}
function failed(e) {
  status.storage = e && e.name === "QuotaExceededError" ? "full" : "broken";
  console.warn("not kept in the database", e);
  if (!aside) aside = new Aside();
  changed();
}

/* load returns everything that is kept of the job. */
async function load() {
  const none = { sheet: null, state: null, head: null, queue: [], refused: [], blobs: new Map() };
  let have = none;
  if (db) {
    try {
      have = await within(["sheets", "states", "heads", "queue", "refused", "blobs"], "readonly", async (s) => {
        const [sheet, state, head, queue, refused, blobs] = await Promise.all([
          request(s("sheets").get(job)), request(s("states").get(job)), request(s("heads").get(job)),
          request(s("queue").getAll(IDBKeyRange.bound([job], [job, []]))), request(s("refused").getAll()), request(s("blobs").getAll()),
        ]);
        return { sheet, state, head, queue: queue.map((q) => q.event), refused: refused.filter((r) => r.job === job), blobs: new Map(blobs.filter((b) => b.job === job).map((b) => [b.hash, b.blob])) };
      });
    } catch (e) { failed(e); }
  }
  if (aside) have = aside.over(have);
  status.waiting = have.queue.length;
  have.queue.sort((a, b) => a.id < b.id ? -1 : 1);
  return have;
}

/* compose makes an event out of a body. beside is what else lies on this phone
   and was seen by whoever writes. */
function compose(one, device, count, head, beside) {
  const now = Date.now();
  const at = now >= earliest ? now : Math.max(earliest, head && head.at ? Date.parse(head.at) : 0);
  const seen = { ...head && head.has };
  for (const [d, n] of Object.entries(beside)) seen[d] = Math.max(seen[d] || 0, n);
  const seq = Math.max(count.seq, seen[device] || 0) + 1;
  delete seen[device];
  const e = { schema, id: nextID(later(count.last, head && head.latest), at), job, author: me, device, seq, at: new Date(at).toISOString() };
  if (Object.keys(seen).length) e.seen = seen;
  e.kind = one.kind;
  e.body = one.body;
  return e;
}

/* write keeps events, all or none, and resolves when they are safe: only then
   may anything show them. */
async function write(list, blob) {
  if (!me) throw new Error("nobody");
  if (db) {
    try {
      const events = await within(["about", "heads", "counts", "queue", "blobs"], "readwrite", async (s) => {
        let device = await request(s("about").get("device:" + me));
        if (!device) {
          device = "phone-" + hex(random(5), 10);
          s("about").put(device, "device:" + me);
        }
        const head = await request(s("heads").get(job));
        const count = await request(s("counts").get([job, device])) || { seq: 0, last: "" };
        const beside = highest((await request(s("queue").getAllKeys(IDBKeyRange.bound([job], [job, []])))).map((k) => ({ device: k[1], seq: k[2] })));
        if (aside) Object.assign(beside, highest(Object.values(aside.devices()).flat()));
        const made = list.map((one) => {
          const e = compose(one, device, count, head, beside);
          count.seq = e.seq;
          count.last = e.id;
          s("queue").add({ job, device, seq: e.seq, event: e });
          return e;
        });
        s("counts").put(count, [job, device]);
        if (blob) s("blobs").put({ ...blob, job });
        return made;
      });
      if (status.storage === "full") status.storage = "";
      if (status.persisted === null) persist();
      moved();
      soon(0);
      return events;
    } catch (e) { failed(e); }
  }
  const events = await aside.write(list, blob);
  moved();
  soon(0);
  return events;
}

/* highest returns the highest number of each device. */
function highest(list) {
  const out = {};
  for (const e of list) out[e.device] = Math.max(out[e.device] || 0, e.seq);
  return out;
}

function persist() {
  status.persisted = false;
  if (navigator.storage && navigator.storage.persist) navigator.storage.persist().then((is) => { status.persisted = is; changed(); }, () => {});
}

/* Aside is the second place: what the database does not take goes to
   localStorage, under a device of its own for each tab, so that no two tabs
   can give out the same number. What that does not take either is kept by the
   server or not at all. */
class Aside {
  constructor() {
    this.device = "phone-" + hex(random(5), 10);
    this.count = { seq: 0, last: "" };
    this.head = null; this.sheet = null; this.state = null;
    this.memory = []; this.refused = []; this.blobs = new Map();
    this.beside = {};
  }
  key(device) { return `elbowroom ${job} ${device}`; }
  devices() {
    const out = {};
    try {
      for (let i = 0; i < localStorage.length; i++) {
        const k = localStorage.key(i);
        if (k.startsWith(`elbowroom ${job} phone-`)) out[k.split(" ")[2]] = JSON.parse(localStorage.getItem(k)) || [];
      }
    } catch { /* then there is only what this tab remembers */ }
    if (this.memory.length) out[this.device] = [...out[this.device] || [], ...this.memory];
    return out;
  }
  over(have) {
    if (newer(have.head, this.head)) { this.head = have.head; this.state = have.state; }
    this.beside = highest(have.queue);
    const mine = Object.values(this.devices()).flat();
    return { sheet: have.sheet || this.sheet, state: newer(this.head, have.head) ? this.state : have.state || this.state, head: newer(this.head, have.head) ? this.head : have.head || this.head,
      queue: [...have.queue, ...mine], refused: [...have.refused, ...this.refused], blobs: new Map([...have.blobs, ...this.blobs]) };
  }
  async write(list, blob) {
    const kept = this.devices()[this.device] || [];
    const count = { ...this.count };
    const made = list.map((one) => {
      const e = compose(one, this.device, count, this.head, this.beside);
      count.seq = e.seq;
      count.last = e.id;
      return e;
    });
    if (blob) this.blobs.set(blob.hash, blob.blob);
    try {
      localStorage.setItem(this.key(this.device), JSON.stringify([...kept, ...made]));
      this.count = count;
      return made;
    } catch (e) { console.warn("not kept in localStorage", e); }
    /* Neither takes it: only the server can, and only what it took is shown. */
    status.storage = "none";
    const was = this.count;
    this.memory.push(...made);
    this.count = count;
    const unsent = () => this.memory.filter((m) => made.some((e) => e.id === m.id));
    for (let tries = 0; tries < 2 && unsent().length; tries++) await sync(); /* one may have been under way before */
    const left = unsent();
    if (left.length === 0) return made;
    this.memory = this.memory.filter((m) => !left.includes(m));
    if (left.length === made.length) this.count = was;
    changed();
    throw new Error("unkept");
  }
  drop(ids) {
    this.memory = this.memory.filter((e) => !ids.has(e.id));
    for (const [device, list] of Object.entries(this.devices())) {
      const left = list.filter((e) => !ids.has(e.id) && !this.memory.includes(e));
      try {
        if (left.length) localStorage.setItem(this.key(device), JSON.stringify(left)); else localStorage.removeItem(this.key(device));
      } catch { /* it is sent again, which is always right */ }
    }
  }
}
/* newer tells which of two answers of the server knows more: by how many events
   it has of all devices, and only then by its cursor, which is that of the moment
   when the job was read. */
const known = (head) => Object.values(head.has || {}).reduce((sum, n) => sum + n, 0);
const newer = (a, b) => a && (!b || (known(a) - known(b) || a.cursor - b.cursor) > 0);

/* sync sends what is kept and takes in what others did. Only one tab at a time
   does so where the browser can tell; where two do, sending twice is right. */
let running = null, again = false, timer = 0, wait = 0;
function soon(ms) {
  clearTimeout(timer);
  timer = setTimeout(() => sync(), ms);
}
function sync() {
  if (!job) return Promise.resolve();
  if (running) { again = true; return running; }
  const work = () => rounds().then(() => { wait = 0; status.trouble = ""; if (status.online !== true) { status.online = true; } }, trouble);
  status.sending = true;
  running = (navigator.locks ? navigator.locks.request("elbowroom-sync-" + job, work) : work()).catch(trouble).then(() => {
    running = null;
    status.sending = false;
    changed();
    if (again) { again = false; soon(0); }
  });
  return running;
}

/* trouble notes why it did not go and when to try again. */
function trouble(e) {
  if (e.status === 401) status.trouble = "sign-in";
  else if (e.status === 403 || e.status === 404) status.trouble = "refused";
  else if (e.status && e.status < 500 && e.status !== 429) status.trouble = "broken";
  else status.trouble = "";
  status.says = e.says || "";
  status.online = Boolean(e.status) ? true : false;
  wait = Math.min(longest, Math.max(e.after || 0, wait ? wait * 2 : 1000));
  soon(wait * (0.75 + Math.random() / 2));
}

async function ask(address, init, ms) {
  let res;
  const stop = new AbortController(), late = setTimeout(() => stop.abort(), ms);
  try {
    res = await fetch(address, { ...init, signal: stop.signal, redirect: "error", credentials: "same-origin" });
    if (res.ok) return { res, body: res.status === 204 ? null : await res.json() };
  } finally { clearTimeout(late); }
  const e = new Error("answered " + res.status);
  e.status = res.status;
  e.after = 1000 * (Number(res.headers.get("Retry-After")) || 0);
  try { const said = await res.json(); e.says = said.why || said.what || ""; } catch { /* no words */ }
  throw e;
}

async function rounds() {
  for (let n = 0; ; n++) {
    const have = await load();
    const mine = have.queue.filter((e) => e.author === me);
    const device = mine.length ? mine[0].device : "";
    const batch = [];
    let bytes = 0;
    for (const e of mine) {
      if (e.device !== device) continue;
      const size = JSON.stringify(e).length;
      if (e.kind === "picture" && have.blobs.has(e.body.hash)) {
        if (batch.length) break;
        if (!await upload(e, have.blobs.get(e.body.hash))) return rounds();
      }
      if (batch.length >= chunk || bytes + size > most) break;
      batch.push(e);
      bytes += size;
    }
    if (!batch.length && n > 0) return;
    const from = device || await ownDevice() || "phone-none";
    const init = { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ device: from, cursor: have.head ? have.head.cursor : 0, events: batch.length ? batch : undefined }) };
    const sent = Date.now();
    const { body } = await ask(path + "/sync", init, 30_000);
    status.last = Date.now();
    status.skew = Date.parse(body.at) - (sent + status.last) / 2;
    const settled = await take(body, batch);
    if (batch.length && !settled) throw Object.assign(new Error("nothing was answered for"), { status: 409, says: ((body.waiting || [])[0] || {}).says }); /* later again, not at once */
    if (!have.sheet || body.plan !== (have.sheet.plan || undefined)) await fetchSheet();
    if (!batch.length) return;
  }
}

const ownDevice = () => db ? within(["about"], "readonly", (s) => request(s("about").get("device:" + me))).catch(() => "") : aside.device;

/* upload sends the picture that an event names; false when it is refused. */
async function upload(e, blob) {
  try {
    await ask(`${path}/picture/${e.body.hash}`, { method: "PUT", headers: { "Content-Type": e.body.type }, body: blob }, 120_000);
  } catch (err) {
    if (!err.status || err.status === 401 || err.status === 429 || err.status >= 500) throw err;
    await take({ refused: [{ index: 0, id: e.id, why: "bad form", says: err.says || String(err.status) }] }, [e]);
    return false;
  }
  if (window.caches) await caches.open("elbowroom-pictures").then((c) => c.put(`${path}/picture/${e.body.hash}`, new Response(blob, { headers: { "Content-Type": e.body.type } }))).catch(() => {});
  if (db) await within(["blobs"], "readwrite", (s) => request(s("blobs").delete(e.body.hash))).catch(() => {});
  if (aside) aside.blobs.delete(e.body.hash);
  return true;
}

/* Refusals after which the number of the event is not free for another. */
const numbered = ["id clash", "sequence clash", "wrong author", "wrong job", "unknown person", "newer program"];

/* filler takes the number of an event that was refused, so that no gap stays
   behind it: a note that says what was lost. */
function filler(e, why, at) {
  const text = layer.w("note.filler", e.kind, why).slice(0, 3900);
  return { ...e, at: at && at < e.at ? at : e.at, kind: "note", body: { text } };
}

/* take keeps what the server answered, all at once. */
async function take(out, batch) {
  const gone = new Set(out.accepted || []);
  const refused = [];
  const fill = [];
  for (const r of out.refused || []) {
    const e = batch[r.index];
    if (!e || gone.has(e.id)) continue;
    gone.add(e.id);
    refused.push({ id: e.id, job, event: e, why: r.why, says: r.says, when: Date.now() });
    if (!numbered.includes(r.why) && !e.filler && !(e.kind === "note" && e.body.text.startsWith(layer.w("note.filler-begins")))) fill.push(filler(e, r.says, out.at));
  }
  const head = out.state ? { has: out.has || {}, latest: out.latest || "", cursor: out.cursor || 0, plan: out.plan || "", at: out.at } : null;
  if (aside) {
    aside.drop(gone);
    aside.refused.push(...refused.filter((r) => r.event.device === aside.device));
    if (head && !newer(aside.head, head)) { aside.head = head; aside.state = out.state; }
  }
  if (db) {
    try {
      await within(["queue", "refused", "states", "heads"], "readwrite", async (s) => {
        const was = await request(s("heads").get(job));
        for (const e of batch) if (gone.has(e.id)) s("queue").delete([job, e.device, e.seq]);
        for (const e of fill) s("queue").put({ job, device: e.device, seq: e.seq, event: e });
        for (const r of refused) s("refused").put(r);
        if (head && !newer(was, head)) {
          s("heads").put({ ...head, latest: later(head.latest, was && was.latest) }, job);
          s("states").put(out.state, job);
        }
      });
    } catch (e) {
      failed(e);
      if (head) { aside.head = head; aside.state = out.state; }
      aside.refused.push(...refused);
    }
  }
  moved();
  return gone.size;
}

/* fetchSheet gets the sheet anew: the plan, its words and its state. */
async function fetchSheet() {
  const { res, body } = await ask(path + "/sheet", { headers: { Accept: "application/json" } }, 30_000);
  const old = res.headers.get("X-From") === "phone";
  await takeSheet(body, old);
  return !old;
}
async function takeSheet(sheet, old) {
  me = sheet.me;
  const head = { has: sheet.has || {}, latest: sheet.latest || "", cursor: sheet.cursor || 0, plan: sheet.plan || "", at: sheet.at };
  const state = sheet.state;
  const text = { ...sheet, state: undefined };
  if (aside) Object.assign(aside, { sheet: text, ...newer(aside.head, head) ? {} : { head, state } });
  if (!db) return changed();
  try {
    await within(["sheets", "states", "heads"], "readwrite", async (s) => {
      const was = await request(s("heads").get(job));
      if (old && was) return;
      s("sheets").put(text, job);
      if (!newer(was, head)) {
        s("heads").put({ ...head, latest: later(head.latest, was && was.latest) }, job);
        s("states").put(state, job);
      }
    });
  } catch (e) {
    failed(e);
    Object.assign(aside, { sheet: text, head, state });
  }
  moved();
}

/* start opens what is kept, then asks the server. */
async function start() {
  await open();
  if (!job) return;
  const have = await load();
  if (have.sheet) me = have.sheet.me;
  changed();
  const asked = fetchSheet().then((fresh) => { status.online = fresh; soon(0); }, (e) => { trouble(e); changed(); });
  listen();
  offline();
  addEventListener("online", () => { wait = 0; soon(0); });
  addEventListener("visibilitychange", () => { if (!document.hidden) { wait = 0; soon(0); } });
  if (!have.sheet) await asked;
}

/* listen lets one tab hear when something moved; it tells the others. */
function listen() {
  const hear = () => {
    const source = new EventSource(path + "/live");
    source.addEventListener("moved", () => soon(0));
    source.onopen = () => { if (status.online === false) { wait = 0; soon(0); } };
  };
  if (navigator.locks) navigator.locks.request("elbowroom-live-" + job, () => { hear(); return new Promise(() => {}); }); else hear();
}

/* offline puts the worker in place and this page with its job into its hands. */
async function offline() {
  if (!("serviceWorker" in navigator)) { status.offline = "none"; changed(); return; }
  try {
    await navigator.serviceWorker.register("/run/worker.js", { scope: "/run/" });
    await navigator.serviceWorker.ready;
    const c = await caches.open("elbowroom-jobs");
    const at = location.pathname;
    await c.put(at, await fetch(at, { cache: "force-cache", headers: { Accept: "text/html" } }).then((r) => { if (!r.ok || r.redirected) throw new Error("page"); return r; }));
    status.offline = "ready";
  } catch (e) {
    console.warn("not ready for no signal", e);
    status.offline = status.online === false ? "ready" : "none";
  }
  changed();
}

/* all lists the jobs that this phone has, for the page where it begins. */
async function all() {
  if (!db) return [];
  return within(["sheets", "queue"], "readonly", async (s) => {
    const [sheets, queue] = await Promise.all([request(s("sheets").getAll()), request(s("queue").getAll())]);
    return sheets.map((t) => ({ sheet: t, waiting: queue.filter((q) => q.job === t.job).length }));
  });
}

/* remember and recall keep what belongs to this phone alone: which cautions
   were read, where things were put last. */
const remember = (key, value) => db ? within(["about"], "readwrite", (s) => request(s("about").put(value, `${job} ${key}`))).catch(failed) : Promise.resolve();
const recall = () => db ? within(["about"], "readonly", async (s) => {
  const range = IDBKeyRange.bound(`${job} `, `${job} \uffff`);
  const [keys, values] = await Promise.all([request(s("about").getAllKeys(range)), request(s("about").getAll(range))]);
  return new Map(keys.map((k, i) => [k.slice(job.length + 1), values[i]]));
}).catch(() => new Map()) : Promise.resolve(new Map());

/* dismiss forgets a refusal that was read. */
async function dismiss(id) {
  if (db) await within(["refused"], "readwrite", (s) => request(s("refused").delete(id))).catch(failed);
  if (aside) aside.refused = aside.refused.filter((r) => r.id !== id);
  moved();
}

return { job, start, load, write, sync, all, remember, recall, dismiss, status, nextID, me: () => me, on: (f) => listeners.push(f) };
})();
