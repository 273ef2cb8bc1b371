package web

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/plan"
	"elbowroom/store"
)

// carryOut does everything that the sheet of the fort's job asks for, and
// closes it.
func (f *fort) carryOut(owner desk.Who, tasks ...string) {
	f.t.Helper()
	ctx := f.t.Context()
	if _, err := f.desk.TakePlan(ctx, owner, f.job, app.Ask{Tasks: tasks}); err != nil {
		f.t.Fatal(err)
	}
	sheet, err := f.desk.Sheet(ctx, owner, f.job)
	if err != nil {
		f.t.Fatal(err)
	}
	var said []joblog.Body
	for _, s := range sheet.Steps {
		said = append(said, &joblog.StepDone{Step: s.Step})
		if s.Phase == string(plan.StripPhase) {
			continue
		}
		for _, j := range s.Joints {
			said = append(said, &joblog.Ticked{Fastener: joblog.Fastener{Item: j.Item, Joint: j.Joint}, Wrench: j.Wrench, Value: j.Big})
		}
		for _, n := range s.Parts {
			said = append(said, &joblog.PartNew{On: n.On, Part: n.Part, Joint: n.Joint, Count: n.Count})
		}
	}
	said = append(said, &joblog.ProofMade{What: "road test", Verdict: joblog.Conforming}, &joblog.Closed{})
	state, err := f.desk.Say(ctx, owner, f.job, said...)
	if err != nil || state.Closed == nil {
		f.t.Fatalf("not closed: %v, %+v", err, state)
	}
}

// The workshop's page and the page of a closed job show a value that was
// superseded since: struck through, with the reason, the present one and who
// tightened to it when.
func TestSupersededValuesAreShown(t *testing.T) {
	f := newFort(t)
	places, err := f.desk.Places(t.Context())
	if err != nil || len(places) != 1 {
		t.Fatal(places, err)
	}
	owner := desk.Who{Place: places[0].ID, ID: "stone", Name: "Ada Stone", Role: store.Owner}
	f.carryOut(owner, "replace:SE13")
	c := f.signedIn("stone", ownersPassword)
	seen := func(path string) string {
		status, body, _ := f.get(c, path)
		if status != http.StatusOK {
			t.Fatalf("%s: %d", path, status)
		}
		_, after, _ := strings.Cut(body, `id="old"`)
		part, _, _ := strings.Cut(after, "</section>")
		return strings.Join(strings.Fields(part), " ")
	}
	if now := seen("/workshop/"); !strings.Contains(now, "Jobs looked at, the last touched first: 1") || strings.Contains(now, "<s>") {
		t.Errorf("nothing is superseded yet: %s", now)
	}
	if now := seen("/jobs/" + string(f.job)); now != "" {
		t.Errorf("nothing is superseded yet: %s", now)
	}
	f.revise(owner.Place)
	for path, own := range map[string]bool{"/workshop/": false, "/jobs/" + string(f.job): true} {
		now := seen(path)
		for _, want := range []string{"(SE13)", "M8x30", "</span>20 N·m</s>", "until revision 4", "washers creep &amp; &lt;loosen&gt;", `<b class="num">18 N·m dry</b>`, `Tightened by Ada Stone, <span class="num">20`} {
			if !strings.Contains(now, want) {
				t.Errorf("%s does not say %q: %s", path, want, now)
			}
		}
		if strings.Contains(now, `href="/jobs/`+string(f.job)+`"`) == own || strings.Count(now, "<s>") != 1 {
			t.Errorf("%s: %s", path, now)
		}
	}
	if status, _, _ := f.get(c, "/workshop/?old=j-nowhere"); status != http.StatusNotFound {
		t.Errorf("on from a job that is not there: %d", status)
	}
}

// revise gives the place a revision of its guide with another torque for the
// screw of the knock sensors.
func (f *fort) revise(place store.PlaceID) {
	f.t.Helper()
	g, err := demo.Guide()
	if err != nil {
		f.t.Fatal(err)
	}
	stage, err := guide.Parse[guide.Stage]("18 N·m")
	i := slices.IndexFunc(g.Kinds, func(k guide.Kind) bool { return k.ID == "knock-sensor" })
	if i < 0 || err != nil {
		f.t.Fatal(i, err)
	}
	j := &g.Kinds[i].Joints[0]
	j.Stages, j.Was = []guide.Stage{stage}, append(j.Was, guide.Was{Value: "20 N·m", Until: "revision 4", Reason: "washers creep & <loosen>"})
	if err := f.desk.Furnish(f.t.Context(), store.Place{ID: place, Name: "Castle"}, nil, []*guide.Guide{g}); err != nil {
		f.t.Fatal(err)
	}
}
