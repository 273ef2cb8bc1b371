//go:build browser

package web

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/webauthn"
	"github.com/chromedp/chromedp"
)

// holdsPasskeys gives the browser a device of its own that makes passkeys.
func (b *browser) holdsPasskeys() webauthn.AuthenticatorID {
	b.t.Helper()
	if _, err := chromedp.Call(b.ctx, webauthn.Enable, webauthn.EnableParams{}); err != nil {
		b.t.Fatal(err)
	}
	device, err := chromedp.Call(b.ctx, webauthn.AddVirtualAuthenticator, webauthn.AddVirtualAuthenticatorParams{Options: &webauthn.VirtualAuthenticatorOptions{
		Protocol: "ctap2", Transport: "internal", HasResidentKey: true, HasUserVerification: true, IsUserVerified: true, AutomaticPresenceSimulation: true,
	}})
	if err != nil {
		b.t.Fatal(err)
	}
	return device.AuthenticatorID
}

// enter types into a field.
func (b *browser) enter(selector, text string) {
	b.t.Helper()
	b.do(chromedp.SendKeys(chromedp.CSS(selector), text))
}

// TestBrowserPasskey: somebody makes a passkey on a phone, signs out, signs in
// with it without a name, and cannot any more once it is removed.
func TestBrowserPasskey(t *testing.T) {
	b := openBrowser(t)
	f := newFort(t)
	f.byName()
	b.base = f.at.URL
	b.screen(screens[0].wide, screens[0].high, "light")
	device := b.holdsPasskeys()
	shots := keepIn(t)

	b.open("/sign-in")
	b.until(`!document.querySelector("[data-passkey=sign-in]").hidden`)
	b.picture(filepath.Join(shots, "passkey-sign-in.png"))
	b.click("[data-passkey=sign-in] button") // there is none yet
	b.until(`!document.querySelector("[data-passkey] [role=alert]").hidden`)
	if says := b.js(`document.querySelector("[data-passkey] [role=alert]").innerText`); !strings.Contains(says, "No passkey was given") {
		t.Errorf("without a passkey: %q", says)
	}
	b.enter("#person", "stone")
	b.enter("#password", ownersPassword)
	b.click("button.go")
	b.until(`location.pathname === "/"`)

	b.open("/workshop/")
	b.until(`!document.querySelector("[data-passkey=register]").hidden`)
	b.enter("#k-name", "phone")
	b.enter("#k-now", "not the password at all")
	b.click("[data-passkey=register] button")
	b.until(`document.querySelector("[data-passkey] [role=alert]").innerText.includes("resent password")`)
	b.js(`document.querySelector("#k-now").value = ""`)
	b.enter("#k-now", ownersPassword)
	b.click("[data-passkey=register] button")
	b.until(`document.querySelector("[name=passkey]") !== null`)
	if wide := b.js(`document.documentElement.scrollWidth`); wide != "390" {
		t.Errorf("the page is %s px wide on a phone", wide)
	}
	b.picture(filepath.Join(shots, "passkey-workshop.png"))

	b.click(`form[action="/sign-out"] button`)
	b.until(`location.pathname === "/sign-in"`)
	b.open("/sign-in?then=/workshop/")
	b.click("[data-passkey=sign-in] button")
	b.until(`location.pathname === "/workshop/"`)
	if says := b.js(`document.querySelector("[name=passkey]").form.parentElement.innerText`); !strings.Contains(says, "last used") {
		t.Errorf("the list says %q", says)
	}

	b.click("[name=passkey] + button")
	b.until(`document.querySelector("[data-passkey=register]") !== null && document.querySelector("[name=passkey]") === null`)
	b.click(`form[action="/sign-out"] button`)
	b.until(`location.pathname === "/sign-in"`)
	b.until(`!document.querySelector("[data-passkey=sign-in]").hidden`)
	b.click("[data-passkey=sign-in] button")
	b.until(`document.querySelector("[data-passkey] [role=alert]").innerText.includes("opens nothing here")`)
	if at := b.js(`location.pathname`); at != "/sign-in" {
		t.Errorf("a removed passkey leads to %s", at)
	}
	if _, err := chromedp.Call(b.ctx, webauthn.SetUserVerified, webauthn.SetUserVerifiedParams{AuthenticatorID: device}); err != nil {
		t.Fatal(err)
	}
	b.click("[data-passkey=sign-in] button")
	b.until(`document.querySelector("[data-passkey] [role=alert]").innerText.includes("No passkey was given")`)
}
