package circuit

// Style returns the style sheet of the drawings. It takes the custom properties
// of the page around where they exist (--ink, --sheet, --soft, --line, --bad)
// and brings its own for light and dark where they do not. It uses no colour to
// tell anything that shape, pattern and letter do not tell too.
func Style() string { return style }

const style = `svg.wiring{--w-ink:var(--ink,#142522);--w-sheet:var(--sheet,#fbfcfa);--w-soft:var(--soft,#475753);--w-bad:var(--bad,#a3101c);--w-good:#0b6b35;--w-mid:#6a5a0e;--w-doubt:#f2b8c0;display:block;max-width:100%;height:auto;font:13px ui-sans-serif,system-ui,"Noto Sans","DejaVu Sans",sans-serif;color:var(--w-ink)}
@media screen and (prefers-color-scheme:dark){svg.wiring{--w-ink:var(--ink,#e6efeb);--w-sheet:var(--sheet,#16221f);--w-soft:var(--soft,#a9bab4);--w-bad:var(--bad,#ff9a94);--w-good:#7fd6a0;--w-mid:#d9c25c;--w-doubt:#6b2a3a}}
svg.wiring.wide{max-width:none}
.wiring text{fill:var(--w-ink)}
.wiring .wire,.wiring .sym path,.wiring .sym circle{fill:none;stroke:var(--w-ink);stroke-width:2;stroke-linejoin:round}
.wiring .sym .thin{stroke-width:1.5}
.wiring .sym .heavy{stroke-width:6}
.wiring .sym .full{fill:var(--w-ink)}
.wiring .doubt{fill:none;stroke:var(--w-doubt);stroke-width:22;stroke-dasharray:7 4}
.wiring .mid{text-anchor:middle}
.wiring .name{font-weight:700}
.wiring .band{font-size:16px;font-weight:700}
.wiring .small{font-size:12px;fill:var(--w-soft)}
.wiring .reading{font-weight:700;paint-order:stroke;stroke:var(--w-sheet);stroke-width:4px;stroke-linejoin:round}
.wiring .plate{fill:var(--w-sheet);stroke:var(--w-ink);stroke-width:2}
.wiring .inner{stroke:none}
.wiring .hatch{fill:none;stroke:currentColor;stroke-width:1.4}
.wiring .letter{font-weight:700;text-anchor:middle;font-size:14px}
.wiring .ok .plate{stroke:var(--w-good);stroke-width:3}
.wiring .bad{color:var(--w-bad)}.wiring .bad .plate{stroke:var(--w-bad);stroke-width:2.5}.wiring .bad .inner{stroke:none}
.wiring .near{color:var(--w-mid)}.wiring .near .plate{stroke:var(--w-mid)}.wiring .near .inner{stroke:none}
.wiring .odd .plate{stroke:var(--w-soft)}.wiring .odd .inner{stroke:none}
.wiring .open .plate{stroke:var(--w-soft);stroke-width:1.5}
.wiring .hit{fill:transparent;stroke:none}
.wiring a{cursor:pointer;outline:none}
.wiring a:focus-visible .hit{stroke:var(--focus,#b3005e);stroke-width:3}
`
