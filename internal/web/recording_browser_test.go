//go:build browser

package web

import (
	"fmt"
	"strconv"
	"strings"
	"testing"
)

// choose puts a file into a form as a person does who picks it.
func (b *browser) choose(input, name, text string) {
	b.t.Helper()
	b.js(fmt.Sprintf(`(() => {
		const carry = new DataTransfer();
		carry.items.add(new File([%s], %s, {type: "text/plain"}));
		document.querySelector(%s).files = carry.files;
		return document.querySelector(%s).files.length;
	})()`, strconv.Quote(text), strconv.Quote(name), strconv.Quote(input), strconv.Quote(input)))
}

// TestBrowserUploadsARecording: a recording is brought, its channel settled,
// brought again and taken into the job, on a phone. The browser itself says
// where the form is from.
func TestBrowserUploadsARecording(t *testing.T) {
	b := openBrowser(t)
	b.screen(screens[0].wide, screens[0].high, "dark")
	b.open("/recording?machine=V3&at=T50&log=T49%3A+4.7+bar%2C+speed+750+rpm")
	b.js(`document.getElementById("also").value = "full load"`)
	b.choose("#file", "drive.csv", driven(3.1))
	b.click(".bring form.entry button.go")
	b.until(`document.querySelector("fieldset.settle") !== null`)
	if wide := b.js(`document.documentElement.scrollWidth`); wide != "390" {
		t.Errorf("the page is %s px wide on a phone", wide)
	}
	b.js(`[...document.querySelectorAll("fieldset.settle li")].filter(l => l.innerText.includes("LPFP")).forEach(l => { l.querySelector("select").value = "*"; })`)
	b.js(`document.getElementById("also").value = "full load"`)
	b.choose("#file", "drive.csv", driven(3.1))
	b.click(".bring form.entry button.go")
	b.until(`document.querySelector("ol.stretches a.go") !== null`)
	if got := b.js(`document.querySelector(".recorded").innerText`); !strings.Contains(strings.ToLower(got), "non-conforming in all stretches: 2") {
		t.Fatalf("the page says %q", got)
	}
	b.click("ol.stretches a.go")
	b.until(`document.querySelector("ol.log") !== null`)
	if log := b.js(`document.querySelector("ol.log").innerText`); !strings.Contains(log, "T49") || !strings.Contains(log, "T50") {
		t.Errorf("the log is %q", log)
	}
}

// TestBrowserUploadsACapture: the same file of a bus is read for codes and
// judged as a recording.
func TestBrowserUploadsACapture(t *testing.T) {
	b := openBrowser(t)
	b.open("/codes?machine=V2")
	b.choose(`input[type="file"]`, "bus.log", busCapture())
	b.js(`document.querySelector('input[type="file"]').form.requestSubmit()`)
	b.until(`document.querySelector(".traces") !== null`)
	b.until(`[...document.querySelectorAll("a")].some(a => a.href.includes("/recording"))`)
	b.open("/recording?machine=V2&at=T16")
	b.js(`document.getElementById("also").value = "road speed 50 km/h"`)
	b.choose("#file", "bus.log", busCapture())
	b.click(".bring form.entry button.go")
	b.until(`document.querySelector("ol.stretches a.go") !== null`)
	if got := b.js(`document.querySelector(".recorded").innerText`); !strings.Contains(got, "12.28 min") {
		t.Errorf("the page says %q", got)
	}
}
