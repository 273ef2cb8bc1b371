"use strict";
/* Answers for the server while there is no signal. "kept" and "edition" stand
   before this text. Files under /assets/ bear a hash of their content and
   never change; pages and sheets are asked for, and answered from what was
   kept when no answer comes in time. Nothing that is sent passes through here. */
const files = "elbowroom-files-" + edition;
const jobs = "elbowroom-jobs";
const pictures = "elbowroom-pictures";
const patience = 3000; /* ms for a page or a sheet that is kept */

self.addEventListener("install", (e) => {
  e.waitUntil(caches.open(files).then((c) => Promise.all(kept.map(async (at) => {
    const res = await fetch(at, { cache: at.startsWith("/assets/") ? "force-cache" : "no-cache", credentials: "same-origin" });
    if (!res.ok) throw new Error(at + " answered " + res.status);
    if (!res.redirected) await c.put(at, res); /* else nobody is signed in */
  }))).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (e) => {
  e.waitUntil(caches.keys().then((names) => Promise.all(names.filter((n) => n.startsWith("elbowroom-files-") && n !== files).map((n) => caches.delete(n)))).then(() => self.clients.claim()));
});

self.addEventListener("fetch", (e) => {
  const at = new URL(e.request.url);
  if (e.request.method !== "GET" || at.origin !== location.origin) return;
  if (at.pathname.startsWith("/assets/")) { e.respondWith(first(e.request, files, false)); return; }
  if (/^\/run\/[^/]+\/picture\/[0-9a-f]{64}$/.test(at.pathname)) { e.respondWith(first(e.request, pictures, true)); return; }
  if (/^\/run\/[^/]+\/sheet$/.test(at.pathname) || /^\/run\/[^/]+$/.test(at.pathname) && e.request.mode === "navigate") { e.respondWith(asked(e.request, at.pathname, jobs)); return; }
  if (at.pathname === "/run/" || at.pathname === "/run/app.webmanifest") e.respondWith(asked(e.request, at.pathname, files));
});

/* first: what never changes comes from what is kept. */
async function first(request, into, keepIt) {
  const have = await caches.match(request.url);
  if (have) return have;
  const res = await fetch(request);
  if (keepIt && res.ok) {
    const twin = res.clone();
    caches.open(into).then((c) => c.put(request.url, twin)).catch(() => {});
  }
  return res;
}

/* asked: what changes comes from the server, and from what is kept when no
   answer comes. An answer that is no success goes through as it is; only a
   server that cannot answer at all is answered for. */
async function asked(request, at, into) {
  const have = await (await caches.open(into)).match(at);
  let late;
  const answer = fetch(request).then((res) => {
    clearTimeout(late);
    if (res.ok && !res.redirected && res.type === "basic") {
      const keepIt = res.clone();
      caches.open(into).then((c) => c.put(at, keepIt)).catch(() => {});
    }
    return res.status >= 500 && have ? own(have) : res;
  });
  if (!have) return answer;
  const waited = new Promise((yes) => { late = setTimeout(() => yes(own(have)), patience); });
  return Promise.race([answer.catch(() => own(have)), waited]);
}

/* own marks an answer that the phone gave itself. */
function own(res) {
  const headers = new Headers(res.headers);
  headers.set("X-From", "phone");
  return new Response(res.clone().body, { status: res.status, statusText: res.statusText, headers });
}
