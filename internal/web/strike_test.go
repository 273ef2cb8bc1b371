package web

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"elbowroom/app/desk"
	"elbowroom/store"
)

// A reading that was wrong is struck out with the reason; it counts no more and
// is not lost.
func TestStrikeAReading(t *testing.T) {
	f := newFort(t)
	who := desk.Who{Place: "castle", ID: "stone", Name: "Ada Stone", Role: store.Owner}
	if _, err := f.desk.Read(t.Context(), who, f.job, "T35: right 38 kΩ, left > 10 MΩ, unplugged, ambient 18 °C, dry"); err != nil {
		t.Fatal(err)
	}
	c, path := f.signedIn("stone", ownersPassword), "/jobs/"+string(f.job)
	_, body, _ := f.get(c, path)
	of := regexp.MustCompile(`name="of" value="([0-9a-f-]{36})"`).FindStringSubmatch(body)
	if of == nil {
		t.Fatal("the reading cannot be struck")
	}
	if status, _, _ := f.post(c, path, url.Values{"does": {"strike"}, "of": {of[1]}}); status != http.StatusBadRequest {
		t.Errorf("without a reason: %d", status)
	}
	if status, _, _ := f.post(c, path, url.Values{"does": {"strike"}, "of": {"x"}, "text": {"wrong pin"}}); status != http.StatusBadRequest {
		t.Errorf("of nothing: %d", status)
	}
	if status, _, _ := f.post(c, path, url.Values{"does": {"strike"}, "of": {of[1]}, "text": {"wrong pin"}}); status != http.StatusSeeOther {
		t.Fatalf("%d", status)
	}
	k, err := f.desk.Job(t.Context(), who, f.job)
	if err != nil || len(k.State.Readings) != 0 || len(k.State.Corrected) != 1 || k.State.Corrected[0].Reason != "wrong pin" {
		t.Errorf("readings %v, corrected %v, %v", k.State.Readings, k.State.Corrected, err)
	}
	if q, err := f.desk.Inquiry(t.Context(), who, f.job); err != nil || len(q.Log) != 0 {
		t.Errorf("it still counts: %v, %v", q.Log, err)
	}
	if _, body, _ = f.get(c, path); strings.Contains(body, "38 kΩ") {
		t.Error("it is still shown as a reading")
	}
}
