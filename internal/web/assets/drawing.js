"use strict";
(() => {
const $ = (s, root = document) => root.querySelector(s);
const $$ = (s, root = document) => [...root.querySelectorAll(s)];
const frame = $("[data-drawing]");
if (!frame) return;

/* The part of the drawing that is looked at is its viewBox. */
let svg, home, at;
const take = () => {
  svg = $$("[data-paper] > svg", frame).find((e) => getComputedStyle(e).display !== "none");
  const b = svg.viewBox.baseVal;
  home = { x: b.x, y: b.y, w: b.width, h: b.height };
  at = at || { ...home };
  show();
};
const show = () => svg.setAttribute("viewBox", `${at.x} ${at.y} ${at.w} ${at.h}`);
const most = 14, least = 0.8;
const scale = () => { const r = frame.getBoundingClientRect(); return Math.max(at.w / r.width, at.h / r.height); };
const spot = (cx, cy) => {
  const r = frame.getBoundingClientRect(), s = scale();
  return { x: at.x + at.w / 2 + (cx - r.left - r.width / 2) * s, y: at.y + at.h / 2 + (cy - r.top - r.height / 2) * s };
};
const keep = () => {
  at.x = Math.min(Math.max(at.x, home.x - at.w / 2), home.x + home.w - at.w / 2);
  at.y = Math.min(Math.max(at.y, home.y - at.h / 2), home.y + home.h - at.h / 2);
};
const zoom = (by, cx, cy) => {
  const r = frame.getBoundingClientRect();
  const p = spot(cx ?? r.left + r.width / 2, cy ?? r.top + r.height / 2);
  const w = Math.min(Math.max(at.w / by, home.w / most), home.w / least), f = w / at.w;
  at = { x: p.x - (p.x - at.x) * f, y: p.y - (p.y - at.y) * f, w, h: at.h * f };
  keep(); show();
};
const pan = (dx, dy) => { const s = scale(); at.x -= dx * s; at.y -= dy * s; keep(); show(); };
const fit = () => { at = { ...home }; show(); };
/* Bring the item that is asked about into sight; on a small frame also nearer. */
const target = () => {
  const ring = $(".ring", svg);
  if (!ring) return;
  const b = ring.getBBox(), x = b.x + b.width / 2, y = b.y + b.height / 2;
  const small = frame.clientHeight < 420;
  const inside = x > at.x && x < at.x + at.w && y > at.y && y < at.y + at.h;
  if (inside && !small) return;
  if (small && at.w > home.w / 1.8) at = { x: 0, y: 0, w: home.w / 2, h: home.h / 2 };
  at.x = x - at.w / 2; at.y = y - at.h / 2;
  keep(); show();
};
take();
target();

frame.addEventListener("wheel", (e) => { e.preventDefault(); zoom(Math.exp(-e.deltaY * (e.ctrlKey ? 0.01 : 0.0016)), e.clientX, e.clientY); }, { passive: false });

/* One pointer moves, two pinch. A press that moved is no tap. */
const held = new Map();
let moved = 0;
frame.addEventListener("pointerdown", (e) => {
  if (e.button) return;
  if (held.size === 0) moved = 0;
  held.set(e.pointerId, { x: e.clientX, y: e.clientY });
});
addEventListener("pointermove", (e) => {
  const was = held.get(e.pointerId);
  if (!was) return;
  const dx = e.clientX - was.x, dy = e.clientY - was.y;
  moved += Math.abs(dx) + Math.abs(dy);
  if (held.size === 1) {
    if (moved > 6) { frame.classList.add("held"); pan(dx, dy); }
  } else {
    const [a, b] = [...held.values()];
    const far = Math.hypot(a.x - b.x, a.y - b.y);
    was.x = e.clientX; was.y = e.clientY;
    const [c, d] = [...held.values()];
    const now = Math.hypot(c.x - d.x, c.y - d.y);
    if (far > 0) zoom(now / far, (c.x + d.x) / 2, (c.y + d.y) / 2);
    pan(dx / 2, dy / 2);
  }
  was.x = e.clientX; was.y = e.clientY;
});
const drop = (e) => { held.delete(e.pointerId); if (!held.size) frame.classList.remove("held"); };
addEventListener("pointerup", drop);
addEventListener("pointercancel", drop);
frame.addEventListener("dragstart", (e) => e.preventDefault());
frame.addEventListener("click", (e) => {
  if (moved > 6) { e.preventDefault(); e.stopPropagation(); }
  moved = 0;
}, true);

const zoomBox = $("[data-zoom]");
zoomBox.hidden = false;
for (const b of $$("button", zoomBox)) b.addEventListener("click", () => { const by = Number(b.dataset.by); by ? zoom(by) : fit(); });
addEventListener("keydown", (e) => {
  if (e.ctrlKey || e.metaKey || e.altKey || e.target.closest("input,select,textarea,dialog,.sheet")) return;
  const step = 70, keys = {
    "+": () => zoom(1.4), "=": () => zoom(1.4), "-": () => zoom(1 / 1.4), "0": fit,
    ArrowLeft: () => pan(step, 0), ArrowRight: () => pan(-step, 0), ArrowUp: () => pan(0, step), ArrowDown: () => pan(0, -step),
  };
  if (keys[e.key]) { e.preventDefault(); keys[e.key](); }
});

/* An item's sheet slides in; the drawing keeps its place. */
const pageBox = $(".bay-page");
async function go(href, back) {
  let page;
  try {
    page = new DOMParser().parseFromString(await (await fetch(href)).text(), "text/html");
  } catch { location.assign(href); return; }
  const next = $(".bay-page", page);
  if (!next) { location.assign(href); return; }
  const sameView = $(".views [aria-current]")?.textContent === $(".views [aria-current]", page)?.textContent;
  if (!back) history.pushState({}, "", href);
  document.title = page.title;
  pageBox.className = next.className;
  $("[data-sheet]").replaceChildren(...$("[data-sheet]", page).childNodes);
  $("[data-paper]").replaceChildren(...$("[data-paper]", page).childNodes);
  $(".views").replaceWith($(".views", page));
  const form = $(".over form"), newForm = $(".over form", page);
  const typed = $("[data-search]").value;
  form.replaceWith(newForm);
  if (!$("[data-search]").value) $("[data-search]").value = typed;
  window.elbowroom.search($(".over"));
  if (!sameView) at = null;
  take();
  if (!back) target();
  const name = $("#sheet-name");
  if (name) { name.focus({ preventScroll: true }); window.elbowroom.tell(name.textContent); } else frame.focus({ preventScroll: true });
}
document.addEventListener("click", (e) => {
  if (e.defaultPrevented || e.button || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey) return;
  const a = e.target.closest("a");
  if (!a || !a.closest(".bay-page")) return;
  const href = a.href.baseVal ?? a.href, to = new URL(href, location.href);
  if (to.pathname !== "/bay") return;
  e.preventDefault();
  const hits = $("[data-hits]"); if (hits) hits.hidden = true;
  go(to.href);
});
addEventListener("popstate", () => go(location.href, true));
})();
