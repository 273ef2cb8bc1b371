(() => {
/* Looks at the page as it stands and says what somebody would stumble over:
   controls without a name, targets that are too small, letters that are too
   small or too faint, headings that skip. Empty when there is nothing. */
const wrong = [];
const short = (e) => e.outerHTML.replace(/\s+/g, " ").slice(0, 110);
const visible = (e) => e.checkVisibility({ visibilityProperty: true, opacityProperty: true }) && e.getClientRects().length > 0;
const unseen = (e) => e.closest(".unseen,.live,.skip,dialog");

const name = (e) => (e.getAttribute("aria-label") || (e.getAttribute("aria-labelledby") || "").split(/\s+/).filter(Boolean)
  .map((id) => document.getElementById(id)?.textContent || "").join(" ") || [...(e.labels || [])].map((l) => l.textContent).join(" ")
  || e.textContent || e.querySelector("title")?.textContent || e.title || "").trim();

const controls = [...document.querySelectorAll("a[href],button,input:not([type=hidden]),select,summary,[role=region]")].filter((e) => visible(e) && !unseen(e));
for (const e of controls) if (!name(e)) wrong.push("no name: " + short(e));

/* 44 px, but for links in running text and the drawing, which zooms. */
for (const e of controls) {
  if (e.closest(".paper") || e.matches("[role=region]")) continue;
  const inText = e.tagName.toLowerCase() === "a" && !e.matches(".doing,.go,.small,.bar,.shut,.out,.place,.mark") &&
    getComputedStyle(e).display === "inline";
  let box = (e.closest("label") || e).getBoundingClientRect();
  if (e.matches(".bar")) {
    const boxes = [...e.querySelectorAll(".hit,.line")].map((h) => h.getBoundingClientRect());
    box = boxes.reduce((a, b) => a.width * a.height > b.width * b.height ? a : b);
    const scale = e.ownerSVGElement.getBoundingClientRect().width / e.ownerSVGElement.viewBox.baseVal.width;
    if (box.height < 44 * Math.min(scale, 1) - 0.5) wrong.push("low bar " + Math.round(box.height) + ": " + short(e));
    continue;
  }
  const least = inText || e.closest(".at") ? 24 : 44;
  if (inText && box.height >= 18) continue; /* WCAG 2.5.8: the line decides */
  if (box.height < least - 0.5 || box.width < Math.min(least, 24) - 0.5) wrong.push(`small ${Math.round(box.width)}x${Math.round(box.height)}: ` + short(e));
}

/* Contrast of text against the nearest painted ground. */
const canvas = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
const rgb = (css) => {
  canvas.clearRect(0, 0, 1, 1);
  canvas.fillStyle = css;
  canvas.fillRect(0, 0, 1, 1);
  return [...canvas.getImageData(0, 0, 1, 1).data];
};
const light = ([r, g, b]) => {
  const f = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; };
  return 0.2126 * f(r) + 0.7152 * f(g) + 0.0722 * f(b);
};
const ground = (e) => {
  for (let at = e; at; at = at.parentElement) {
    const c = rgb(getComputedStyle(at).backgroundColor);
    if (c[3] === 255) return c;
  }
  return [255, 255, 255, 255];
};
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
const seen = new Set();
for (let n = walker.nextNode(); n; n = walker.nextNode()) {
  const e = n.parentElement;
  if (!n.data.trim() || seen.has(e) || !visible(e) || unseen(e) || e.closest(".paper,option,script,defs")) continue;
  seen.add(e);
  const style = getComputedStyle(e), svg = e.closest("svg");
  const size = parseFloat(style.fontSize);
  if (size < 16) wrong.push(`letters of ${size} px: ` + short(e));
  const ink = rgb(svg ? style.fill : style.color), back = ground(e);
  const a = light(ink), b = light(back), ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  if (ratio < 4.5) wrong.push(`contrast ${ratio.toFixed(2)}: ` + short(e));
}

let level = 0;
for (const h of document.querySelectorAll("main h1,main h2,main h3,main h4,main h5,main h6")) {
  const l = Number(h.tagName[1]);
  if (l > level + 1) wrong.push(`heading ${h.tagName} after level ${level}: ` + h.textContent);
  level = l;
}
for (const mark of ["header", "nav", "main"]) if (!document.querySelector(mark)) wrong.push("no " + mark);
if (!document.querySelector(".skip[href='#main']")) wrong.push("no skip link");
return [...new Set(wrong)].join("\n");
})()
