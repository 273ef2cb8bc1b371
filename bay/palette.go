package bay

import (
	"strings"

	"elbowroom/guide"
)

// paintwork is the look of one class: its fill in light and dark, how solid the fill is, and
// the lines of its pattern in a square tile of 10 pixels.
type paintwork struct {
	class       guide.Class
	light, dark string
	solid       string
	lines       string
}

// paintworks holds the looks of every class. Patterns alone tell the classes
// apart; colour only helps. What is large or a cover is translucent, so that
// one sees that there is something behind it.
var paintworks = []paintwork{
	{guide.Structure, "#dfe3e4", "#273138", ".5", "M-2 2L2-2M0 10L10 0M8 12L12 8"},
	{guide.Panel, "#ece4cf", "#38331f", ".68", "M-2 8L2 12M0 0L10 10M8-2L12 2"},
	{guide.Air, "#d8eaf5", "#1c3646", ".93", "M0 3H10M0 8H10"},
	{guide.Fuel, "#f6dcbb", "#4c3318", "1", "M0 2.5H6M5 7.5H11M-5 7.5H1"},
	{guide.Ignition, "#f4e59b", "#4b4312", "1", "M0 7L2.5 3L5 7L7.5 3L10 7"},
	{guide.Sensor, "#c2e9c9", "#1a4a28", "1", "M5 3.4V6.6M3.4 5H6.6"},
	{guide.Actuator, "#d9d4f3", "#34305c", "1", "M2.5 0V10M7.5 0V10"},
	{guide.Electric, "#f1d5e6", "#4d2942", "1", "M0 5H10M5 0V10"},
	{guide.Connect, "#e2c3dd", "#5a2b52", "1", "M2 2H4V4H2ZM7 7H9V9H7ZM7 2H9V4H7ZM2 7H4V9H2Z"},
	{guide.Ground, "#dad5c0", "#403c29", "1", "M1 3H9M2.5 5.5H7.5M4 8H6"},
	{guide.Cooling, "#c0e5e8", "#12434a", ".95", "M0 5Q2.5 1 5 5T10 5"},
	{guide.Oil, "#ead9a8", "#4a3c12", "1", "M5 3.5a1.5 1.5 0 1 0 .01 0M0 8.5a1.5 1.5 0 1 0 .01 0M10 8.5a1.5 1.5 0 1 0 .01 0"},
	{guide.Exhaust, "#e2cdc3", "#4a322a", ".95", "M0 0L10 10M10 0L0 10"},
	{guide.Drive, "#d2d9c1", "#343d22", ".95", "M0 2.5L5 7.5L10 2.5"},
	{guide.Body, "#d3dbe2", "#2d3944", ".8", "M0 10L4 0M5 10L9 0"},
	{guide.Hose, "#cfdccf", "#2a3d30", "1", "M0 0L5 5L10 0M0 10L5 5L10 10"},
}

// hues are the colours that are not of a class, with their custom properties.
var hues = []struct{ name, light, dark string }{
	{"paper", "#fcfbf7", "#10161a"},
	{"grid", "#ebe8df", "#1b242a"},
	{"ink", "#22303a", "#d6e0e5"},
	{"mute", "#56646d", "#94a4ae"},
	{"line", "#22303a59", "#d6e0e552"},
	{"target", "#b8121b", "#ff8272"},
	{"out", "#0a55a8", "#78b9ff"},
	{"on-out", "#ffffff", "#0b1a2a"},
}

func properties(dark bool) string {
	var b strings.Builder
	set := func(name, light, other string) {
		if dark {
			light = other
		}
		b.WriteString("--bay-" + name + ":" + light + ";")
	}
	for _, h := range hues {
		set(h.name, h.light, h.dark)
	}
	for _, p := range paintworks {
		set(string(p.class), p.light, p.dark)
	}
	return b.String()
}

// rules is the part of the style sheet that does not depend on a class.
const rules = `
svg.bay{display:block;max-width:100%;height:auto;background:var(--bay-paper);font-family:ui-sans-serif,system-ui,"Noto Sans","DejaVu Sans",sans-serif;color:var(--bay-ink)}
.bay text{fill:var(--bay-ink)}
.bay .paper{fill:var(--bay-paper)}
.bay .grid{stroke:var(--bay-grid);fill:none}
.bay .axis{stroke:var(--bay-mute);stroke-width:.8;stroke-dasharray:14 3 3 3;opacity:.55}
.bay .edge{fill:none;stroke:var(--bay-mute);stroke-width:1}
.bay .s,.bay .f{stroke:var(--bay-ink);stroke-width:1;stroke-linejoin:round}
.bay .f{fill:#000;stroke-width:.6}
.bay .f1{fill-opacity:.04}.bay .f2{fill-opacity:.13}.bay .f3{fill-opacity:.24}
.bay .rim{fill:none;stroke:var(--bay-ink);stroke-width:.6}
.bay .ln{fill:none;stroke:var(--bay-line);stroke-width:.8}
.bay .tc,.bay .tf,.bay .tl{fill:none;stroke-linecap:round;stroke-linejoin:round}
.bay .tc{stroke:var(--bay-ink)}
.bay .tl{stroke:var(--bay-line);stroke-dasharray:6 3}
.bay .k-structure .s{stroke:var(--bay-mute);stroke-width:1.5}
.bay .k-structure .ln{opacity:.55}
.bay .k-panel .s{stroke-width:1.5}
.bay .hit{fill:transparent;stroke:none}
.bay .aside .s,.bay .aside .tc{stroke-dasharray:7 4;stroke-width:1.6}
.bay .moved{fill:none;stroke:var(--bay-ink);stroke-width:1.6;stroke-dasharray:7 4}
.bay .aside .s{fill-opacity:.75}
.bay .out .s{fill-opacity:.22;stroke:var(--bay-out);stroke-width:2.2}
.bay .out .tc{stroke:var(--bay-out)}.bay .out .tf{stroke-opacity:.5}
.bay .oe{fill:none;stroke:var(--bay-out);stroke-width:1.6}
.bay .ghost{fill:none;stroke:var(--bay-mute);stroke-width:1.2;stroke-dasharray:1 4;stroke-linecap:round}
.bay .go{fill:none;stroke:var(--bay-mute);stroke-width:1.2}
.bay .head{fill:var(--bay-mute)}
.bay .he{fill:var(--bay-target);fill-opacity:.28;stroke:var(--bay-target);stroke-width:2}
.bay .he.far{stroke-dasharray:5 3}
.bay .halo{fill:none;stroke:var(--bay-paper);stroke-width:7;opacity:.9}
.bay .ring{fill:none;stroke:var(--bay-target);stroke-width:3.2}
.bay .lead{fill:none;stroke:var(--bay-ink);stroke-width:1}
.bay .lead.t{stroke:var(--bay-target);stroke-width:2}
.bay .lead.n{stroke:var(--bay-out);stroke-width:1.4}
.bay .dot{fill:var(--bay-ink)}
.bay .card{fill:var(--bay-paper);stroke:var(--bay-target);stroke-width:1.6}
.bay .num{fill:var(--bay-out);stroke:var(--bay-paper);stroke-width:1.5}
.bay text.no{fill:var(--bay-on-out);font-size:11.5px;font-weight:700;text-anchor:middle}
.bay .big{font-size:13px;font-weight:700}
.bay .id{font-size:12px;fill:var(--bay-mute)}
.bay .lb{font-size:11px;text-anchor:middle;paint-order:stroke;stroke:var(--bay-paper);stroke-width:3px;stroke-linejoin:round}
.bay .side{font-size:12px;fill:var(--bay-mute);text-anchor:middle;letter-spacing:.03em}
.bay .cap{font-size:13px;font-weight:600}
.bay .note{font-size:12px}
.bay .halt{paint-order:stroke;stroke:var(--bay-paper);stroke-width:4px;stroke-linejoin:round}
.bay .bar{fill:var(--bay-ink)}.bay .bar.b{fill:var(--bay-paper);stroke:var(--bay-ink);stroke-width:1}
.bay a{cursor:pointer;text-decoration:none;outline:none}
.bay a:hover .s{stroke-width:2.6}
.bay a:focus-visible .s,.bay a:focus-visible .tc{stroke:var(--bay-out);stroke-width:4}
.bay a:focus-visible .hit{fill:var(--bay-out);fill-opacity:.3;stroke:var(--bay-out);stroke-width:2}
@media (forced-colors:active){.bay{forced-color-adjust:none}}
`

// Style returns the style sheet of every drawing: it works inside a still file
// and in a page. Colours are custom properties (--bay-ink, --bay-sensor …) that
// follow the reader's preference for light or dark; data-theme="light" or
// "dark" on any element around the drawing settles it. Prints are light.
func Style() string { return style }

var style = buildStyle()

func buildStyle() string {
	light, dark := properties(false), properties(true)
	var b strings.Builder
	b.WriteString("svg.bay{" + light + "}\n")
	b.WriteString("@media screen and (prefers-color-scheme:dark){svg.bay{" + dark + "}}\n")
	b.WriteString("@media screen{[data-theme=light] svg.bay{" + light + "}\n[data-theme=dark] svg.bay{" + dark + "}}")
	b.WriteString(rules)
	for _, p := range paintworks {
		k, v := ".bay .k-"+string(p.class), "var(--bay-"+string(p.class)+")"
		b.WriteString(k + " .bg{fill:" + v + "}" + k + " .tf{stroke:" + v + "}")
		if p.solid != "1" {
			b.WriteString(k + " .s{fill-opacity:" + p.solid + "}")
		}
		b.WriteString("\n")
	}
	return b.String()
}
