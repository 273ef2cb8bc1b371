//go:build browser

package web

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	protocol "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// till is a counter with a server that can be taken away and comes back under
// the same address. Taking the network from the browser would not stop its
// worker from reaching the server; taking the server does.
type till struct {
	*counter
	handler http.Handler
	addr    string

	mu     sync.Mutex
	server *http.Server
}

func newTill(t *testing.T, tasks ...string) *till {
	t.Helper()
	return serveCounter(t, newCounter(t, tasks...))
}

func serveCounter(t *testing.T, c *counter) *till {
	t.Helper()
	s := &till{counter: c, handler: c.site(), addr: "127.0.0.1:0"}
	s.up()
	t.Cleanup(s.down)
	return s
}

// up lets the server listen, where it listened before.
func (s *till) up() {
	s.t.Helper()
	var l net.Listener
	for end := time.Now().Add(patience); ; time.Sleep(50 * time.Millisecond) {
		var err error
		if l, err = net.Listen("tcp", s.addr); err == nil {
			break
		}
		if time.Now().After(end) {
			s.t.Fatal(err)
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.addr = l.Addr().String()
	s.server = &http.Server{Handler: s.handler}
	go func(server *http.Server) { _ = server.Serve(l) }(s.server)
}

// down takes the server away, with every line that is open.
func (s *till) down() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.server != nil {
		_ = s.server.Close()
		s.server = nil
	}
}

func (s *till) base() string { return "http://" + s.addr }
func (s *till) at() string   { return "/run/" + string(s.job) }

// phone is a browser with a profile of its own.
type phone struct {
	*browser
	dir string
	end func()
}

func newPhone(t *testing.T, base, dir string) *phone {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatalf("these tests need chromium: %v", err)
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true), chromedp.Flag("hide-scrollbars", true),
		chromedp.UserDataDir(dir))
	all, endAll := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, endTab := chromedp.NewContext(all)
	p := &phone{browser: &browser{t: t, ctx: ctx, base: base}, dir: dir, end: func() { endTab(); endAll() }}
	t.Cleanup(p.end)
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Fatal(err)
	}
	p.screen(screens[0].wide, screens[0].high, "light")
	p.before(`window.wrong = []; addEventListener("error", (e) => window.wrong.push(e.message)); addEventListener("unhandledrejection", (e) => window.wrong.push(String(e.reason?.stack || e.reason)));`)
	return p
}

// before runs a script ahead of those of every page.
func (p *phone) before(script string) {
	p.t.Helper()
	if _, err := chromedp.Call(p.ctx, protocol.AddScriptToEvaluateOnNewDocument, protocol.AddScriptToEvaluateOnNewDocumentParams{Source: script}); err != nil {
		p.t.Fatal(err)
	}
}

// kill ends the browser as a flat battery does, and returns it started again.
func (p *phone) kill() *phone {
	p.t.Helper()
	process := chromedp.FromContext(p.ctx).Browser.Process()
	if err := process.Kill(); err != nil {
		p.t.Fatal(err)
	}
	p.end()
	return newPhone(p.t, p.base, p.dir)
}

// sheet opens the run sheet and waits until it can be worked with.
func (p *phone) sheet(s *till) {
	p.t.Helper()
	p.open(s.at())
	p.until(`document.body.dataset.ready === "1"`)
}

// tap presses what a selector finds, as soon as it is there.
func (p *phone) tap(selector string) {
	p.t.Helper()
	p.until(fmt.Sprintf(`!!document.querySelector(%q)`, selector))
	p.js(fmt.Sprintf(`(() => { document.querySelector(%q).click(); return ""; })()`, selector))
}

func (p *phone) text(selector string) string {
	p.t.Helper()
	return p.js(fmt.Sprintf(`document.querySelector(%q)?.innerText ?? ""`, selector))
}

// ready waits until everything that the phone needs without signal is on it.
func (p *phone) ready() {
	p.t.Helper()
	p.until(`navigator.serviceWorker.controller !== null && keep.status.offline === "ready"`)
}

// sent waits until nothing waits to be sent.
func (p *phone) sent() {
	p.t.Helper()
	defer func() {
		if p.t.Failed() {
			p.t.Log(p.js(`JSON.stringify(keep.status) + window.wrong.join("\n") + document.querySelector("#sent").innerText`))
		}
	}()
	p.until(`keep.status.online === true && !keep.status.sending && document.querySelector("#sent").innerText.endsWith("sent")`)
}

// shot keeps what is on the screen, no more than that.
func (p *phone) shot(file string) {
	p.t.Helper()
	shot, err := chromedp.Call(p.ctx, protocol.CaptureScreenshot, protocol.CaptureScreenshotParams{Format: protocol.CaptureScreenshotFormatPng})
	if err != nil {
		p.t.Fatal(err)
	}
	if len(shot.Data) < 3000 {
		p.t.Errorf("the picture has only %d bytes", len(shot.Data))
	}
	if err := os.WriteFile(file, []byte(shot.Data), 0o644); err != nil {
		p.t.Fatal(err)
	}
}

// promise waits for what an asynchronous expression comes to.
func (p *phone) promise(expression string) string {
	p.t.Helper()
	p.js(`(window.came = undefined, Promise.resolve(` + expression + `).then((x) => { window.came = "=" + x; }, (e) => { window.came = "!" + e; }), "")`)
	p.until(`window.came !== undefined`)
	return p.js(`window.came`)
}

// isTomasz makes the browser one of Tomasz.
func (p *phone) isTomasz() *phone {
	p.t.Helper()
	p.open("/healthz")
	p.js(`(document.cookie = "who=veld; path=/", "")`)
	return p
}

// work ticks steps as somebody does who follows the plan: what is asked is
// answered, every fastener and new part is ticked. It stops when so many steps
// are done or none is left.
func (p *phone) work(steps int) {
	p.t.Helper()
	for range steps {
		if p.js(`document.querySelector("#dock .main")?.getAttribute("href") === "#end"`) == "true" {
			return
		}
		p.step()
	}
}

func (p *phone) step() {
	p.t.Helper()
	n := p.js(`document.querySelector("#count-of").innerText`)
	same := `document.querySelector("#count-of").innerText.split(" of")[0] === ` + strconv.Quote(strings.Split(n, " of")[0])
	if p.js(`!!document.querySelector("[data-do=ack]")`) == "true" {
		p.tap(`[data-do=ack]`)
	}
	p.ticks()
	p.tap(`[data-do=done]`)
	p.settled(`document.querySelector("#count-of").innerText !== ` + fmt.Sprintf("%q", n) + ` || !document.querySelector("[data-do=done]") || !!document.querySelector("[data-do=yes]")`)
	if p.js(`!!document.querySelector("[data-do=yes]")`) == "true" {
		p.tap(`[data-do=yes]`)
		p.settled(`!document.querySelector("[data-do=yes]")`)
	}
	if p.js(same) != "true" {
		return
	}
	p.ticks()
	if p.js(`!!document.querySelector("[data-do=next]")`) == "true" {
		p.tap(`[data-do=next]`)
	}
	p.settled(`document.querySelector("#count-of").innerText !== ` + fmt.Sprintf("%q", n) + ` || document.querySelector("#dock .main")?.getAttribute("href") === "#end"`)
}

// settled waits for an expression while something is being kept.
func (p *phone) settled(expression string) { p.t.Helper(); p.until(expression) }

// ticks ticks every fastener that can be ticked on the view, and every part.
func (p *phone) ticks() {
	p.t.Helper()
	for range 60 {
		before := p.js(`document.querySelectorAll(".dot.in").length + "/" + document.querySelectorAll("[data-do=part]").length`)
		open := p.js(`(() => { const e = document.querySelector(".dots .dot.open, [data-do=part]"); if (!e) return "none"; e.click(); return "some"; })()`)
		if open == "none" {
			return
		}
		p.until(`document.querySelectorAll(".dot.in").length + "/" + document.querySelectorAll("[data-do=part]").length !== "` + before + `"`)
	}
	p.t.Fatal("the fasteners of one step never end")
}
