//go:build browser

package web

import (
	"strings"
	"testing"
)

// TestBrowserTakesCodes pastes what a reader shows, as a person would, and
// takes the codes into the job: the browser itself says where its form is from.
func TestBrowserTakesCodes(t *testing.T) {
	b := openBrowser(t)
	b.open("/codes?machine=V1&log=repaired+F35")
	b.js(`document.getElementById("text").value = "Stored codes\nP0087 low pressure\nPO420\n"`)
	b.click("form.paste button.go")
	b.until(`document.querySelector("h1")?.innerText == "What the reader says"`)
	if got := b.js(`document.querySelector(".taking").innerText`); !strings.Contains(got, "P0087") || !strings.Contains(got, "P0327") {
		t.Fatalf("the codes offered are %q", got)
	}
	b.click(".taking button.go")
	b.until(`document.querySelector(".chips") && document.querySelector(".chips").innerText.includes("P0087")`)
	if at := b.js("location.search"); !strings.Contains(at, "code=P0327") || !strings.Contains(at, "log=repaired+F35") {
		t.Errorf("the job lost something: %s", at)
	}
}
