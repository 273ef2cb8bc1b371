//go:build browser

package web

import (
	"context"
	"flag"
	"fmt"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	protocol "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// These tests drive a real browser: go test -tags browser ./internal/web.
// Without a chromium on the path they fail.

var shotsDir = flag.String("shots", "", "keep screenshots in this folder instead of a temporary one")

// patience is how long one thing in the browser may take on a busy machine.
const patience = 30 * time.Second

// sizes are a phone and a desk, in pixels.
var screens = []struct {
	name       string
	wide, high int64
}{{"phone", 390, 844}, {"desk", 1440, 900}}

// browser is one tab on the pages of the demonstration.
type browser struct {
	t    *testing.T
	ctx  context.Context
	base string
}

func openBrowser(t *testing.T) *browser {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatalf("these tests need chromium: %v", err)
	}
	server := httptest.NewServer(demoSite(t))
	t.Cleanup(server.Close)
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true), chromedp.Flag("hide-scrollbars", true),
		chromedp.UserDataDir(t.TempDir()))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	b := &browser{t: t, ctx: ctx, base: server.URL}
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil { // starts the browser, which lives as long as this context
		t.Fatal(err)
	}
	b.screen(screens[1].wide, screens[1].high, "light")
	return b
}

func (b *browser) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// screen sets size and theme.
func (b *browser) screen(wide, high int64, theme string) {
	b.t.Helper()
	size := emulation.SetDeviceMetricsOverrideParams{Width: wide, Height: high, DeviceScaleFactor: 1, Mobile: wide < 600}
	if _, err := chromedp.Call(b.ctx, emulation.SetDeviceMetricsOverride, size); err != nil {
		b.t.Fatal(err)
	}
	if _, err := chromedp.Call(b.ctx, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true}); err != nil {
		b.t.Fatal(err)
	}
	features := []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: theme}, {Name: "prefers-reduced-motion", Value: "reduce"}}
	if _, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features}); err != nil {
		b.t.Fatal(err)
	}
}

func (b *browser) open(address string) {
	b.t.Helper()
	b.do(chromedp.Navigate(b.base + address))
}

// js evaluates an expression that gives text.
func (b *browser) js(expression string) string {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string]("String("+expression+")"))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return text
}

// until waits for an expression to become true.
func (b *browser) until(expression string) {
	b.t.Helper()
	for end := time.Now().Add(patience); ; {
		if b.js(expression) == "true" {
			return
		}
		if time.Now().After(end) {
			b.t.Fatalf("never true: %s\n%s", expression, b.js("location.href"))
		}
		time.Sleep(50 * time.Millisecond)
	}
}

func (b *browser) click(selector string) {
	b.t.Helper()
	b.do(chromedp.Click(chromedp.CSS(selector)))
}

func (b *browser) keys(keys string) {
	b.t.Helper()
	b.do(chromedp.KeyEvent(keys))
}

func TestStrangerPlansTwoSensors(t *testing.T) {
	b := openBrowser(t)
	for _, s := range screens {
		t.Run(s.name, func(t *testing.T) {
			b.t = t
			b.screen(s.wide, s.high, "light")
			b.open("/")
			b.do(chromedp.SendKeys(chromedp.CSS("#q"), "knock"))
			b.until(`document.querySelectorAll(".hits [data-task^=replace]").length >= 2`)
			b.click(`[data-task="replace:SE13"]`)
			b.until(`location.pathname === "/plan" && !!document.querySelector("[data-total]")`)
			b.click(`[data-task="replace:SE14"]`)
			b.until(`document.querySelectorAll(".wanted li").length === 2`)
			if got := b.js(`document.querySelector("[data-total]").textContent`); got != "2 h 40 min" {
				t.Errorf("total %q, want the 160 minutes of the table of check values", got)
			}
			if got := b.js(`document.querySelector(".delta").textContent`); got != "4 min more" {
				t.Errorf("the difference reads %q", got)
			}
			b.js("history.back()")
			b.until(`document.querySelectorAll(".wanted li").length === 1`)
		})
	}
}

func TestTickingARowRedrawsTheValley(t *testing.T) {
	b := openBrowser(t)
	b.open("/plan?machine=V1&task=check:X3")
	b.until(`!!document.querySelector("form[data-reach]")`)
	b.js(`document.querySelector("main").dataset.same = "same page"`) // lost when the page is loaded anew
	b.do(chromedp.SendKeys(chromedp.CSS("#filter"), "coolant temperature"))
	b.until(`[...document.querySelectorAll(".ticks li")].filter(e => e.offsetParent).length < 6`)
	bars := b.js(`document.querySelectorAll("svg.w .bar").length`)
	task := b.js(`(() => { const box = [...document.querySelectorAll(".ticks li")].find(e => e.offsetParent).querySelector("input"); box.click(); return box.value; })()`)
	b.until(`document.querySelectorAll(".wanted li").length === 2`)
	if after := b.js(`document.querySelectorAll("svg.w .bar").length`); after == bars {
		t.Errorf("still %s bars", after)
	}
	if b.js(`document.querySelector("main").dataset.same`) != "same page" {
		t.Error("the page was loaded anew")
	}
	if b.js(`new URL(location).searchParams.getAll("task").join(" ")`) != "check:X3 "+task {
		t.Errorf("the address is %s", b.js("location.href"))
	}
	b.until(`document.querySelector("#live").textContent.includes("min")`)
}

func TestValleyAndListMarkEachOther(t *testing.T) {
	b := openBrowser(t)
	b.open(twoSensors)
	b.js(`document.querySelector('svg.w [data-step="2"]').focus()`)
	b.until(`document.querySelector('.step[data-step="2"]').classList.contains("lit")`)
	mirror := b.js(`document.querySelector('svg.w [data-step="2"]').dataset.mirror`)
	b.until(fmt.Sprintf(`document.querySelector('.step[data-step="%s"]').classList.contains("mirror")`, mirror))
	b.until(fmt.Sprintf(`document.querySelector('svg.w [data-step="%s"]').classList.contains("lit")`, mirror))
	b.keys("m")
	b.until(fmt.Sprintf(`document.activeElement.dataset.step === "%s"`, mirror))
	b.keys("\u2190") // no such key on the page
	b.js(`document.querySelector('svg.w [data-step="1"]').focus()`)
	b.js(`document.activeElement.dispatchEvent(new KeyboardEvent("keydown", {key: "ArrowRight", bubbles: true}))`)
	b.until(`document.activeElement.dataset.step === "2"`)
	b.js(`document.querySelector('svg.w [data-step="20"]').focus()`)
	b.until(`document.querySelector("[data-steps]").scrollTop > 200`)
}

func TestDrawingMoves(t *testing.T) {
	b := openBrowser(t)
	b.open("/bay?machine=V1")
	box := `document.querySelectorAll("[data-paper] > svg")[1].getAttribute("viewBox")`
	home := b.js(box)
	changed := func(what string) {
		t.Helper()
		was := home
		home = b.js(box)
		if home == was {
			t.Errorf("%s changes nothing", what)
		}
	}
	for _, key := range []string{"+", "+", "-"} {
		b.keys(key)
		changed("the key " + key)
	}
	b.js(`document.dispatchEvent(new KeyboardEvent("keydown", {key: "ArrowLeft", bubbles: true}))`)
	b.js(`document.body.dispatchEvent(new KeyboardEvent("keydown", {key: "ArrowLeft", bubbles: true}))`)
	changed("an arrow key")
	b.do(chromedp.DragAndDropXY(700, 500, 620, 430))
	changed("dragging")
	if b.js("location.search") != "?machine=V1" {
		t.Errorf("dragging opened %s", b.js("location.href"))
	}
	wheel := input.DispatchMouseEventParams{Type: "mouseWheel", X: 700, Y: 500, DeltaX: 0.001, DeltaY: -240} // a zero would be left out, and the browser asks for both
	if _, err := chromedp.Call(b.ctx, input.DispatchMouseEvent, wheel); err != nil {
		t.Fatal(err)
	}
	time.Sleep(300 * time.Millisecond)
	changed("the wheel")
	b.click(`[data-zoom] [data-by="0"]`)
	changed("the button that fits")
}

func TestTapOpensTheSheet(t *testing.T) {
	b := openBrowser(t)
	b.open("/bay?machine=V1")
	b.js(`document.querySelectorAll('[data-paper] > svg')[1].querySelector('[data-item="AR01"]').dispatchEvent(new MouseEvent("click", {bubbles: true, cancelable: true}))`)
	b.until(`document.querySelector("#sheet-name")?.textContent.includes("Air filter box")`)
	if !strings.Contains(b.js("location.search"), "item=AR01") {
		t.Errorf("the address is %s", b.js("location.href"))
	}
	b.until(`document.activeElement.id === "sheet-name"`)
	b.js(`document.activeElement.dispatchEvent(new KeyboardEvent("keydown", {key: "Escape", bubbles: true}))`)
	b.until(`!document.querySelector("#sheet")`)
	b.js("history.back()")
	b.until(`!!document.querySelector("#sheet")`)
	b.do(chromedp.SendKeys(chromedp.CSS("#q"), "coolant temp"))
	b.until(`!!document.querySelector('.hits [data-item="SE03"]')`)
	b.click(`.hits [data-item="SE03"]`)
	b.until(`document.querySelector("#sheet-name")?.textContent.includes("coolant temperature")`)
}

func TestWithoutScript(t *testing.T) {
	b := openBrowser(t)
	if _, err := chromedp.Call(b.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	b.screen(390, 844, "light")
	b.open("/")
	b.do(chromedp.SendKeys(chromedp.CSS("#q"), "knock\r"), chromedp.WaitVisible(chromedp.CSS(`[data-task="replace:SE13"]`)))
	b.click(`[data-task="replace:SE13"]`)
	b.do(chromedp.WaitVisible(chromedp.CSS(`[data-task="replace:SE13"].in`)))
	b.click(`[data-task="replace:SE14"]`)
	b.do(chromedp.WaitVisible(chromedp.CSS(`[data-task="replace:SE14"].in`)))
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	total, err := chromedp.Run(ctx, chromedp.Text(chromedp.CSS("[data-total]")))
	if err != nil || total != "2 h 40 min" {
		t.Errorf("total %q, %v", total, err)
	}
	b.click("section.reach a.doing")
	b.do(chromedp.WaitVisible(chromedp.CSS("section.reach form button.go")))
}

// shots are the pages of which pictures are taken, in every size and theme.
var shots = []struct{ name, at string }{
	{"home", "/"},
	{"empty", "/plan?machine=V1"},
	{"search", "/plan?machine=V1&q=knock"},
	{"plan", twoSensors},
	{"conditions", "/plan?machine=V4&task=replace:IG03&task=replace:SE02&task=replace:AC15"},
	{"bay", "/bay?machine=V1"},
	{"sheet", "/bay?machine=V1&item=SE03"},
	{"choose", "/bay?guide=v27p"},
	{"no-guide", "/plan?machine=V5"},
	{"error", "/plan?machine=V1&task=replace:knok"},
	{"patterns", "/pattern-sheet"},
	{"job", "/job?machine=V2"},
	{"job-log", "/job?machine=V1&log=T35%3A+right+38+k%CE%A9%2C+left+%3E+10+M%CE%A9%2C+unplugged%2C+meter+50+V%2C+ambient+18+%C2%B0C%2C+dry&log=repaired+F10"},
	{"torque", visitSheet},
	{"torque-item", "/torque?machine=V1&item=FU02&reach=60&bend=45&unit=lbf%C2%B7ft&value=35+Nm" + demoDay},
	{"torque-wrong", "/torque?machine=V1&item=SE13&value=22&reach=long&day=soon"},
	{"job-wrong", "/job/enter?machine=V1&at=T35&v0=38+kX"},
}

func TestEveryScreen(t *testing.T) {
	b := openBrowser(t)
	dir := keepIn(t)
	checks, err := os.ReadFile("testdata/access.js")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range screens {
		for _, theme := range []string{"light", "dark"} {
			for _, shot := range shots {
				t.Run(strings.Join([]string{shot.name, s.name, theme}, " "), func(t *testing.T) {
					b.t = t
					b.screen(s.wide, s.high, theme)
					b.open(shot.at)
					b.until(`document.readyState === "complete" && !document.querySelector("[data-load]")`)
					if wide := b.js("document.documentElement.scrollWidth"); wide != fmt.Sprint(s.wide) {
						t.Errorf("the page is %s wide on a screen of %d", wide, s.wide)
					}
					if found := b.js(string(checks)); found != "" && shot.name != "patterns" {
						t.Errorf("hard to use for somebody:\n%s", found)
					}
					b.picture(filepath.Join(dir, shot.name+"-"+s.name+"-"+theme+".png"))
				})
			}
		}
	}
}

// keepIn returns the folder for what the tests leave to look at.
func keepIn(t *testing.T) string {
	t.Helper()
	if *shotsDir == "" {
		return t.TempDir()
	}
	if err := os.MkdirAll(*shotsDir, 0o755); err != nil {
		t.Fatal(err)
	}
	return *shotsDir
}

// highest is how much of a long page a picture shows, in pixels.
const highest = 5000

// picture keeps the page as an image and fails when there is none.
func (b *browser) picture(file string) {
	b.t.Helper()
	var wide, high float64
	if _, err := fmt.Sscan(b.js("innerWidth+' '+document.documentElement.scrollHeight"), &wide, &high); err != nil {
		b.t.Fatal(err)
	}
	yes := true
	shot, err := chromedp.Call(b.ctx, protocol.CaptureScreenshot, protocol.CaptureScreenshotParams{
		Format: protocol.CaptureScreenshotFormatPng, CaptureBeyondViewport: &yes,
		Clip: &protocol.Viewport{Width: wide, Height: min(high, highest), Scale: 1},
	})
	if err != nil {
		b.t.Fatal(err)
	}
	if len(shot.Data) < 5000 {
		b.t.Errorf("the picture has only %d bytes", len(shot.Data))
	}
	if err := os.WriteFile(file, []byte(shot.Data), 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// The Tab key must reach every control of a page, in the order of the page.
func TestTabReachesEverything(t *testing.T) {
	b := openBrowser(t)
	for _, at := range []string{"/", twoSensors, "/bay?machine=V1&item=SE13", "/plan?machine=V1&task=replace:knok"} {
		t.Run(at, func(t *testing.T) {
			b.t = t
			b.open(at)
			b.until(`document.readyState === "complete" && !document.querySelector("[data-load]")`)
			b.js(`(() => { document.activeElement.blur(); window.seen = new Set(); window.order = [];
				document.addEventListener("focusin", (e) => { if (!window.seen.has(e.target)) { window.seen.add(e.target); window.order.push(e.target); } }); return ""; })()`)
			want := `[...document.querySelectorAll("a[href],button,input:not([type=hidden]),select,summary,[tabindex='0']")]
				.filter(e => e.tabIndex >= 0 && e.checkVisibility({visibilityProperty: true}) && !e.closest("dialog") && !(e.type === "radio" && e.getRootNode().querySelectorAll('[name="' + e.name + '"]').length > 1))`
			for range 600 {
				b.keys("\t")
				if b.js(want+`.every(e => window.seen.has(e))`) == "true" {
					break
				}
			}
			missed := b.js(want + `.filter(e => !window.seen.has(e)).map(e => e.outerHTML.slice(0, 120)).join("\n")`)
			if missed != "" {
				t.Errorf("never reached:\n%s", missed)
			}
			back := b.js(`window.order.filter((e, i) => i && (e.compareDocumentPosition(window.order[i - 1]) & Node.DOCUMENT_POSITION_FOLLOWING)).map(e => e.outerHTML.slice(0, 120)).join("\n")`)
			if back != "" {
				t.Errorf("the order jumps back at:\n%s", back)
			}
		})
	}
}

func TestPrintedSheet(t *testing.T) {
	b := openBrowser(t)
	b.open(twoSensors)
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF())
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(string(pdf), "%PDF-") || len(pdf) < 10_000 {
		t.Errorf("%d bytes of print", len(pdf))
	}
	if err := os.WriteFile(filepath.Join(keepIn(t), "plan.pdf"), pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"}); err != nil {
		t.Fatal(err)
	}
	for selector, want := range map[string]string{
		".running": "table-header-group", ".search": "none", ".top": "none", "section.reach": "none", "svg.valley.n": "none", "svg.valley.w": "block",
	} {
		if got := b.js(`getComputedStyle(document.querySelector("` + selector + `")).display`); got != want {
			t.Errorf("on paper %s is %s, want %s", selector, got, want)
		}
	}
	running := b.js(`document.querySelector(".running").textContent`)
	for _, want := range []string{"V1", "LHD A", "Varnock V27P", "revision 3", "2026-03-02"} {
		if !strings.Contains(running, want) {
			t.Errorf("the head of every printed page does not say %q: %q", want, running)
		}
	}
}

// First plan of a new visitor: everything that comes over the line.
const mostBytes = 100_000

func TestPageWeight(t *testing.T) {
	b := openBrowser(t)
	for _, at := range []string{"/", twoSensors, "/bay?machine=V1&item=SE13"} {
		b.open(at)
		b.until(`document.readyState === "complete"`)
		sum := b.js(`Math.round([...performance.getEntriesByType("resource"), ...performance.getEntriesByType("navigation")].reduce((n, e) => n + (e.encodedBodySize || 0), 0))`)
		var bytes int
		if _, err := fmt.Sscan(sum, &bytes); err != nil || bytes == 0 || bytes > mostBytes {
			t.Errorf("%s weighs %s bytes, at most %d (%v)", at, sum, mostBytes, err)
		}
		t.Logf("%s: %d bytes with everything", at, bytes)
	}
}

// A stranger with a phone, at the car: the complaint is on the page, the
// reading goes in with a number and a tick, and the fault comes out.
func TestStrangerFindsTheFault(t *testing.T) {
	b := openBrowser(t)
	for _, s := range screens {
		t.Run(s.name, func(t *testing.T) {
			b.t = t
			b.screen(s.wide, s.high, "light")
			b.open("/")
			b.click(`a.go[href="/job?machine=V2"]`)
			b.until(`location.pathname === "/job" && document.querySelector("section.todo.check input[name=at]")?.value === "T14"`)
			b.do(chromedp.SendKeys(chromedp.CSS("#v0"), "8,2"))
			b.click("[name=all-held]")
			b.click(".entry button.go")
			b.until(`document.querySelector("ol.log")?.textContent.includes("non-conforming")`)
			b.until(`document.querySelector("section.todo")?.classList.contains("repair")`)
			if got := b.js(`document.querySelector(".shares-list summary").textContent`); !strings.Contains(got, "F13") {
				t.Errorf("first suspect %q, want the connector (F13)", got)
			}
			b.click("section.todo a.go")
			b.until(`document.querySelector("section.todo")?.classList.contains("proof")`)
			b.js("history.back()")
			b.until(`document.querySelector("section.todo")?.classList.contains("repair")`)
		})
	}
}
