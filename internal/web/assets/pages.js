"use strict";
(() => {
const $ = (s, root = document) => root.querySelector(s);
const $$ = (s, root = document) => [...root.querySelectorAll(s)];
const main = $("#main");
const live = $("#live");
const tell = (text) => { live.textContent = ""; setTimeout(() => { live.textContent = text; }, 60); };
const fill = (pattern, value) => pattern.replace("%s", value).replace("%d", value);

/* Turning to another state of the same page without loading it anew. */
const minutes = (text) => {
  const h = /(\d+)\s*h/.exec(text), m = /([\d.]+)\s*min/.exec(text);
  return (h ? 60 * h[1] : 0) + (m ? Number(m[1]) : 0);
};
const words = (n) => n < 100 ? Math.round(n * 10) / 10 + " min" : Math.floor(n / 60) + " h " + String(Math.round(n % 60)).padStart(2, "0") + " min";
const total = () => { const t = $("[data-total]"); return t ? minutes(t.textContent) : null; };
const keysOf = (sel) => new Set($$(sel).map((e) => e.dataset.key));
let turning = 0;

const handle = (el) => {
  if (!el || el === document.body) return null;
  if (el.id) return "#" + CSS.escape(el.id);
  if (el.name && el.value) return `[name="${CSS.escape(el.name)}"][value="${CSS.escape(el.value)}"]`;
  if (el.dataset.task) return `[data-task="${CSS.escape(el.dataset.task)}"]`;
  return null;
};

async function turn(href, opts = {}) {
  const mine = ++turning;
  const before = total(), old = keysOf("li.step");
  const focus = handle(document.activeElement), y = scrollY;
  main.setAttribute("aria-busy", "true");
  let page;
  try {
    const res = await fetch(href, { headers: { Accept: "text/html" } });
    page = new DOMParser().parseFromString(await res.text(), "text/html");
  } catch {
    tell(main.dataset.broken);
    location.assign(href);
    return;
  }
  if (mine !== turning) return;
  const next = page.getElementById("main");
  if (!next) { location.assign(href); return; }
  if (!opts.back) history.pushState({ soft: true }, "", href);
  document.title = page.title;
  main.replaceChildren(...next.childNodes);
  const nav = $(".top nav"), newNav = $(".top nav", page);
  if (nav && newNav) nav.replaceWith(newNav);
  main.removeAttribute("aria-busy");
  begin(main);
  const back = focus && $(focus);
  if (back) back.focus({ preventScroll: true }); else main.focus({ preventScroll: true });
  scrollTo(0, y);
  difference(before, old);
}

function difference(before, old) {
  const now = total();
  if (before === null || now === null) return;
  const d = now - before;
  const text = d > 0.04 ? fill(main.dataset.more, words(d)) : d < -0.04 ? fill(main.dataset.less, words(-d)) : main.dataset.same;
  const mark = document.createElement("span");
  mark.className = "delta";
  mark.textContent = text;
  $(".grand").append(" ", mark);
  const dock = $("[data-dock]");
  if (dock) dock.append(mark.cloneNode(true));
  if (old.size) for (const e of $$("[data-key]")) if (!old.has(e.dataset.key)) e.classList.add("fresh");
  tell($("[data-total]").textContent + ", " + text);
}

addEventListener("popstate", () => { if (!document.body.classList.contains("wide")) turn(location.href, { back: true }); });
addEventListener("click", (e) => {
  const a = e.target.closest("a[data-soft]");
  if (!a || e.defaultPrevented || e.button || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey) return;
  if (new URL(a.href).pathname !== location.pathname) return;
  e.preventDefault();
  turn(a.href);
});
const addressOf = (form) => {
  const q = new URLSearchParams();
  for (const [k, v] of new FormData(form)) q.append(k, v);
  return form.getAttribute("action") + "?" + q;
};

/* What is found while typing. */
function search(root) {
  for (const input of $$("[data-search]", root)) {
    const form = input.form, hits = $("[data-hits]", form);
    let wait, last = input.value.trim();
    input.addEventListener("input", () => {
      clearTimeout(wait);
      wait = setTimeout(async () => {
        const q = input.value.trim();
        if (q === last) return;
        last = q;
        if (q.length < 2) { hits.hidden = true; hits.replaceChildren(); return; }
        const at = new URL(form.dataset.find, location.origin);
        at.searchParams.set("q", q);
        const pick = $("select[name=for]", form);
        if (pick) at.searchParams.set("for", pick.value);
        try {
          const res = await fetch(at);
          const part = new DOMParser().parseFromString(await res.text(), "text/html").body;
          if (input.value.trim() !== q) return;
          hits.replaceChildren(...part.childNodes);
          hits.hidden = false;
          tell(fill(main.dataset.found, $$("li", hits).length));
        } catch { /* the button still works */ }
      }, 160);
    });
    input.addEventListener("keydown", (e) => {
      if (e.key === "Escape" && !hits.hidden) { hits.hidden = true; e.stopPropagation(); }
      if (e.key === "ArrowDown") { const a = $("a", hits); if (a && !hits.hidden) { e.preventDefault(); a.focus(); } }
    });
    const pick = $("select[name=for]", form);
    if (pick) pick.addEventListener("change", () => { last = null; input.dispatchEvent(new Event("input")); });
  }
}

/* The valley and the list of steps mark each other. */
function valley(root) {
  const plan = $("[data-plan]", root) || (root.matches && root.matches("[data-plan]") ? root : null);
  if (!plan) return;
  const list = $("[data-steps]", plan);
  const light = (n, mirror, scroll) => {
    for (const e of $$(".lit,.mirror", plan)) e.classList.remove("lit", "mirror");
    if (!n) return;
    for (const e of $$(`[data-step="${n}"]`, plan)) e.classList.add("lit");
    if (mirror && mirror !== "0") {
      for (const e of $$(`.bar[data-step="${mirror}"]`, plan)) e.classList.add("lit");
      for (const e of $$(`.step[data-step="${mirror}"]`, plan)) e.classList.add("mirror");
      for (const e of $$(`[data-strip="${n}"],[data-refit="${n}"]`, plan)) e.classList.add("lit");
    }
    const li = $(`.step[data-step="${n}"]`, plan);
    if (scroll && li && list.scrollHeight > list.clientHeight + 4) {
      const top = li.offsetTop - list.offsetTop - list.clientHeight / 3;
      const still = matchMedia("(prefers-reduced-motion:reduce)").matches;
      list.scrollTo({ top, behavior: still ? "auto" : "smooth" });
    }
  };
  for (const bar of $$(".bar", plan)) {
    const show = () => light(bar.dataset.step, bar.dataset.mirror, true);
    bar.addEventListener("pointerenter", show);
    bar.addEventListener("focus", show);
    bar.addEventListener("keydown", (e) => {
      const own = $$(".bar", bar.ownerSVGElement), at = own.indexOf(bar);
      let to;
      if (e.key === "ArrowRight" || e.key === "ArrowDown") to = own[at + 1];
      else if (e.key === "ArrowLeft" || e.key === "ArrowUp") to = own[at - 1];
      else if (e.key === "m") to = own.find((b) => b.dataset.step === bar.dataset.mirror);
      else return;
      e.preventDefault();
      if (to) to.focus();
    });
  }
  for (const li of $$(".step", plan)) {
    li.addEventListener("pointerenter", () => light(li.dataset.step, li.dataset.mirror, false));
    li.addEventListener("focusin", () => light(li.dataset.step, li.dataset.mirror, false));
  }
}

/* Also in reach: fetched after the page, filtered and ticked in place. */
function reach(root) {
  const box = $("section.reach", root);
  if (!box) return;
  if (box.dataset.load) {
    fetch(box.dataset.load).then((res) => res.text()).then((text) => {
      const part = new DOMParser().parseFromString(text, "text/html").body.firstElementChild;
      if (!box.isConnected || !part) return;
      box.replaceWith(part);
      reach(part.parentNode);
    }).catch(() => { /* the link still works */ });
    return;
  }
  const form = $("form[data-reach]", box);
  if (!form) return;
  form.addEventListener("change", (e) => {
    if (e.target.name === "task") turn(addressOf(form));
  });
  $("[data-submit]", form).hidden = true;
  const field = $("[data-filter]", form), more = $("details", form);
  $("[data-filter-box]", form).hidden = false;
  field.addEventListener("input", () => {
    const want = field.value.trim().toLowerCase().split(/\s+/).filter(Boolean);
    if (more && want.length) more.open = true;
    for (const li of $$(".ticks li", form)) {
      const have = li.textContent.toLowerCase();
      li.hidden = !want.every((w) => have.includes(w));
    }
  });
  form.addEventListener("submit", (e) => { e.preventDefault(); if (document.activeElement !== field) turn(addressOf(form)); });
}

/* Keys. */
const dialog = $("#keys");
let g = 0;
addEventListener("keydown", (e) => {
  if (e.defaultPrevented || e.ctrlKey || e.metaKey || e.altKey) return;
  const typing = e.target.closest("input,select,textarea");
  if (e.key === "Escape" && !dialog.open) { const shut = $("[data-shut]"); if (shut && !typing) shut.click(); return; }
  if (typing) return;
  if (e.key === "?") { e.preventDefault(); if (!dialog.open) dialog.showModal(); return; }
  if (dialog.open) return;
  if (e.key === "/") { const q = $("[data-search]"); if (q) { e.preventDefault(); q.focus(); q.select(); } return; }
  if (e.key === "g") { g = Date.now(); return; }
  if (Date.now() - g < 1200) {
    const at = { h: 0, p: 1, b: 2 }[e.key];
    const a = at !== undefined && $$(".top nav a")[at];
    if (a) a.click();
  }
  g = 0;
});
for (const b of $$("[data-keys]")) { b.hidden = false; b.addEventListener("click", () => dialog.showModal()); }

function begin(root) { search(root); valley(root); reach(root); }
begin(document);
window.elbowroom = { search, tell };
})();
