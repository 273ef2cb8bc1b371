//go:build browser

package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"elbowroom/app/desk"
	"elbowroom/joblog"
)

// runShots are the states of which pictures are taken and that are examined
// for people who see, hear or move otherwise: how to get there from the one
// before, on the phone that has got so far.
var runShots = []struct {
	name string
	to   func(p *phone, s *till)
}{
	{"caution", func(p *phone, s *till) {}},
	{"caution-read", func(p *phone, s *till) { p.tap(`[data-do=ack]`); p.until(`!document.querySelector("[data-do=ack]")`) }},
	{"strip", func(p *phone, s *till) { p.tap(`[data-do=done]`); p.at("2") }},
	{"reading", func(p *phone, s *till) {
		for range 3 {
			p.step()
		}
		p.at("5")
		for _, k := range []string{"3", "8"} {
			p.tap(`[data-k="` + k + `"]`)
		}
		p.tap(`[data-u="kΩ"]`)
	}},
	{"reading-kept", func(p *phone, s *till) {
		p.tap(`[data-do=reading]`)
		p.until(`!!document.querySelector(".taken")`)
	}},
	{"replace", func(p *phone, s *till) { p.step(); p.at("6") }},
	{"refit", func(p *phone, s *till) {
		p.step()
		p.at("7")
		p.tap(`[data-do=ack]`)
		p.tap(`.dots .dot.open`)
		p.until(`document.querySelectorAll(".dot.in").length === 1`)
	}},
	{"done-all-the-same", func(p *phone, s *till) { p.tap(`[data-do=done]`); p.until(`!!document.querySelector("[data-do=yes]")`) }},
	{"plain", func(p *phone, s *till) { p.tap(`[data-do=no]`); p.show("s3") }},
	{"tray", func(p *phone, s *till) { p.show("tray"); p.tap(`[data-do=lay]`) }},
	{"steps", func(p *phone, s *till) { p.show("steps") }},
	{"handover", func(p *phone, s *till) { p.show("handover") }},
	{"end", func(p *phone, s *till) { p.show("end") }},
	{"end-wrong", func(p *phone, s *till) {
		p.tap(`form[data-form=deviation] button`)
		p.until(`!!document.querySelector(".wrong-at")`)
	}},
	{"more", func(p *phone, s *till) { p.show("more") }},
	{"note", func(p *phone, s *till) { p.show("note") }},
	{"pause", func(p *phone, s *till) { p.show("pause") }},
	{"paused", func(p *phone, s *till) {
		p.tap(`[data-do=pause]`)
		p.until(`!!document.querySelector("[data-do=resume]")`)
	}},
	{"sent", func(p *phone, s *till) {
		p.tap(`[data-do=resume]`)
		p.until(`!document.querySelector("[data-do=resume]")`)
		p.sent()
		s.down()
		p.tick()
		p.show("sent")
	}},
	{"disputed", func(p *phone, s *till) {
		s.dispute(p)
		p.show("settle")
		p.until(`!!document.querySelector(".dispute.blocks")`)
	}},
	{"closed", func(p *phone, s *till) {
		p.tap(`[data-do=is-done]`)
		p.until(`!document.querySelector("[data-do=is-done]")`)
		p.show("")
		p.work(5)
		p.show("end")
		p.until(`!!document.querySelector("form[data-form=proof]")`)
		p.js(`(document.querySelector("#f-proof").value = "hill drive, 20 min", document.querySelector("[name=verdict][value=conforming]").checked = true, "")`)
		p.tap(`form[data-form=proof] button`)
		p.tap(`[data-do=close]`)
		p.until(`document.querySelector(".view").innerText.includes("Closed by")`)
	}},
	{"kept-jobs", func(p *phone, s *till) { p.open("/run/"); p.until(`!!document.querySelector(".jobs")`) }},
}

// at waits for a step to be on the view.
func (p *phone) at(step string) {
	p.t.Helper()
	p.until(`document.querySelector("#count-of")?.innerText.startsWith("Step ` + step + ` of")`)
}

func (p *phone) show(hash string) {
	p.t.Helper()
	p.js(`(location.hash = "` + hash + `", "")`)
	time.Sleep(150 * time.Millisecond)
}

// tick ticks one more fastener of what is on the view.
func (p *phone) tick() {
	p.t.Helper()
	p.show("s7")
	p.tap(`.dots .dot.open`)
	p.until(`document.querySelectorAll(".dot.in").length === 2`)
}

// dispute lets Tomasz take a step back that Ines has ticked, neither knowing
// of the other.
func (s *till) dispute(p *phone) {
	s.t.Helper()
	s.up()
	p.sent()
	p.until(`keep.status.waiting === 0`)
	veld := &pocket{job: s.job, by: tomasz.ID, device: "phone-of-tomasz"}
	for _, b := range []joblog.Body{&joblog.StepDone{Plan: s.sheet().Plan, Step: 6}, &joblog.StepUndone{Plan: s.sheet().Plan, Step: 6}} {
		raw := veld.event(s.t, b)
		if _, err := s.desk.Sync(context.Background(), tomasz, s.job, desk.SyncIn{Device: veld.device, Events: []json.RawMessage{raw}}); err != nil {
			s.t.Fatal(err)
		}
	}
	p.until(`!!document.querySelector(".banners") || document.body.innerText.includes("Not agreed")`)
}

// examine looks for what somebody would stumble over: our own checks, and
// axe-core with every rule of WCAG 2.2 A and AA. It returns what is serious.
func (p *phone) examine(checks, axe string) string {
	p.t.Helper()
	// what lies over the page at the edge of the screen would look like small
	// targets under it; it scrolls free
	p.js(`(() => { for (const e of document.querySelectorAll("#dock,.ban,.bar-top")) e.style.position = "static"; return ""; })()`)
	defer p.js(`(() => { for (const e of document.querySelectorAll("#dock,.ban,.bar-top")) e.style.position = ""; return ""; })()`)
	found := p.js(checks)
	p.js("(() => { if (!window.axe) { " + axe + "; } return \"\"; })()")
	text, _ := strings.CutPrefix(p.promise(`window.axe.run(document, {resultTypes: ["violations"], runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}).then((r) =>
		r.violations.filter((v) => v.impact === "serious" || v.impact === "critical" || v.tags.some((t) => t.startsWith("wcag"))).map((v) => v.impact + " " + v.id + ": " + v.nodes.map((n) => n.html.slice(0, 120)).join(" | ")).join("\n"))`), "=")
	return strings.TrimSpace(found + "\n" + text)
}

func TestRunSheetScreens(t *testing.T) {
	dir := keepIn(t)
	checks, err := os.ReadFile("testdata/access.js")
	if err != nil {
		t.Fatal(err)
	}
	axe, err := os.ReadFile("testdata/axe/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	s := newTill(t, "check:T37", "replace:FU01")
	p := newPhone(t, s.base(), t.TempDir())
	p.sheet(s)
	p.ready()
	for _, shot := range runShots {
		shot.to(p, s)
		for _, screen := range screens {
			for _, theme := range []string{"light", "dark"} {
				p.screen(screen.wide, screen.high, theme)
				time.Sleep(60 * time.Millisecond)
				if wide := p.js("document.documentElement.scrollWidth"); wide != fmt.Sprint(screen.wide) {
					t.Errorf("%s: the page is %s wide on a screen of %d", shot.name, wide, screen.wide)
				}
				if screen.name == "phone" {
					if found := p.examine(string(checks), string(axe)); found != "" {
						t.Errorf("%s, %s, hard to use for somebody:\n%s", shot.name, theme, found)
					}
				}
				p.shot(filepath.Join(dir, "run-"+shot.name+"-"+screen.name+"-"+theme+".png"))
			}
		}
		p.screen(screens[0].wide, screens[0].high, "light")
	}
}

// A glove hits what it is meant to hit: 56 px at least on the normal path, and
// digits of the torque that are 6 mm high on a screen of 65 mm.
func TestTargetsAndLetters(t *testing.T) {
	s := newTill(t, "replace:SE13")
	p := newPhone(t, s.base(), t.TempDir())
	p.sheet(s)
	p.work(10)
	p.at("11")
	small := p.js(`[...document.querySelectorAll("#hand .dot, #hand .wide, #hand .chip, #hand .key, #dock .wide, #dock .arrow")].filter((e) => e.checkVisibility()).map((e) => [e.getBoundingClientRect(), e]).filter(([r]) => r.width && (r.width < 56 || r.height < 56)).map(([r, e]) => e.outerHTML.slice(0, 80) + Math.round(r.width) + "x" + Math.round(r.height)).join("\n")`)
	if small != "" {
		t.Errorf("too small for a glove:\n%s", small)
	}
	if near := p.js(`(() => { const l = [...document.querySelectorAll(".dot")].map((e) => e.getBoundingClientRect()); return l.some((a, i) => l.slice(i + 1).some((b) => Math.hypot(a.x - b.x, a.y - b.y) < a.width)); })()`); near != "false" {
		t.Error("dots overlap")
	}
	var px float64
	if _, err := fmt.Sscan(p.js(`(() => { const c = document.createElement("canvas").getContext("2d"), e = document.querySelector(".big"), st = getComputedStyle(e); c.font = st.fontWeight + " " + st.fontSize + " " + st.fontFamily; return c.measureText("20").actualBoundingBoxAscent; })()`), &px); err != nil {
		t.Fatal(err)
	}
	const wide, screen = 65.0, 390.0 // mm and CSS pixels of a usual phone
	if mm := px * wide / screen; mm < 6 {
		t.Errorf("the digits are %.1f mm high, want 6", mm)
	}
}

// Every control is reached by the keyboard in the order of the page, and the
// fasteners can be ticked by it.
func TestRunSheetByKeyboard(t *testing.T) {
	s := newTill(t, "check:X3")
	p := newPhone(t, s.base(), t.TempDir())
	p.sheet(s)
	p.tap(`[data-do=done]`)
	p.at("2")
	p.tap(`[data-do=done]`)
	p.at("3")
	p.js(`(() => { document.activeElement.blur(); window.seen = new Set(); document.addEventListener("focusin", (e) => window.seen.add(e.target)); return ""; })()`)
	want := `[...document.querySelectorAll("a[href],button:not([disabled]),input,summary")].filter((e) => e.tabIndex >= 0 && e.checkVisibility({visibilityProperty: true}))`
	for range 80 {
		p.keys("\t")
		if p.js(want+`.every((e) => window.seen.has(e))`) == "true" {
			break
		}
	}
	if missed := p.js(want + `.filter((e) => !window.seen.has(e)).map((e) => e.outerHTML.slice(0, 100)).join("\n")`); missed != "" {
		t.Errorf("never reached:\n%s", missed)
	}
	p.js(`(document.querySelector(".dot.open").focus(), "")`)
	p.keys("\r")
	p.until(`document.querySelectorAll(".dot.in").length === 1`)
	p.until(`document.querySelector("#live").innerText.includes("1 of 8")`)
}

// What is read aloud begins with what must not be done; the screen is asked to
// stay on, again whenever the page is seen again.
func TestSpeechAndScreen(t *testing.T) {
	s := newTill(t, "replace:SE13")
	p := newPhone(t, s.base(), t.TempDir())
	p.before(`window.said = []; speechSynthesis.speak = (u) => window.said.push(u.text); window.locks = 0;
		Object.defineProperty(navigator, "wakeLock", {value: {request: () => { window.locks++; return Promise.resolve({released: true}); }}});`)
	p.sheet(s)
	p.until(`window.locks > 0`)
	p.work(10)
	p.at("11")
	p.tap(`[data-do=speak]`)
	p.until(`window.said.length > 3`)
	said := p.js(`window.said.join("\n")`)
	if !strings.HasPrefix(said, "Do not start the engine") || !strings.Contains(said, "20 newton metres") {
		t.Errorf("it says\n%s", said)
	}
	before := p.js(`window.locks`)
	p.js(`(document.dispatchEvent(new Event("visibilitychange")), "")`)
	p.until(`window.locks > ` + before)
	p.show("handover")
	p.js(`(window.said = [], "")`)
	p.tap(`[data-what=handover]`)
	p.until(`window.said.join("\n").includes("10 of 19 steps are done")`)
}

// weighed counts what is sent.
type weighed struct {
	http.ResponseWriter
	sum *atomic.Int64
}

func (w weighed) Write(b []byte) (int, error) {
	w.sum.Add(int64(len(b)))
	return w.ResponseWriter.Write(b)
}

// Unwrap lets what is under it be flushed.
func (w weighed) Unwrap() http.ResponseWriter { return w.ResponseWriter }

// firstVisit is what may come over the line before the sheet works offline,
// bytes, and ready how long it may take on a slow phone, for the job of the
// knock sensor. Measured values stand in BENCHMARKS.md.
const (
	firstVisit = 120_000
	readyTime  = 5 * time.Second
)

// A slow phone: a fourth of this processor, 1.6 Mbit/s and 150 ms there and
// back, the profile that Lighthouse calls slow 4G.
// https://github.com/GoogleChrome/lighthouse/blob/main/docs/throttling.md
func TestFirstVisit(t *testing.T) {
	c := newCounter(t, "replace:SE13")
	s := &till{counter: c, addr: "127.0.0.1:0"}
	var all atomic.Int64
	pages := c.site()
	s.handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { pages.ServeHTTP(weighed{w, &all}, r) })
	s.up()
	t.Cleanup(s.down)
	p := newPhone(t, s.base(), t.TempDir())
	for _, set := range []func(context.Context) error{
		func(ctx context.Context) error {
			_, err := chromedp.Call(ctx, network.Enable, network.EnableParams{})
			return err
		},
		func(ctx context.Context) error {
			_, err := chromedp.Call(ctx, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: []*network.Conditions{{Latency: 150, DownloadThroughput: 1.6e6 / 8, UploadThroughput: 750e3 / 8}}})
			return err
		},
		func(ctx context.Context) error {
			_, err := chromedp.Call(ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: 4})
			return err
		},
	} {
		if err := set(p.ctx); err != nil {
			t.Fatal(err)
		}
	}
	p.before(`new MutationObserver(() => { if (!window.readyAt && document.body?.dataset.ready) window.readyAt = performance.now(); }).observe(document, {attributes: true, subtree: true, childList: true});`)
	p.sheet(s)
	p.until(`!!window.readyAt`)
	var ms, paint, bytes float64
	if _, err := fmt.Sscan(p.js(`[window.readyAt, performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? 0, [...performance.getEntriesByType("resource"), ...performance.getEntriesByType("navigation")].reduce((n, e) => n + (e.transferSize || 0), 0)].join(" ")`), &ms, &paint, &bytes); err != nil {
		t.Fatal(err)
	}
	p.ready()
	t.Logf("everything until it works without signal: %d bytes without heads", all.Load())
	if all.Load() > firstVisit {
		t.Errorf("%d bytes until it works without signal, at most %d", all.Load(), firstVisit)
	}
	t.Logf("first visit: %.0f bytes, first paint after %.0f ms, can be worked with after %.0f ms", bytes, paint, ms)
	if bytes == 0 || bytes > firstVisit {
		t.Errorf("%.0f bytes, at most %d", bytes, firstVisit)
	}
	if ms == 0 || time.Duration(ms)*time.Millisecond > readyTime {
		t.Errorf("%.0f ms, at most %v", ms, readyTime)
	}
}
