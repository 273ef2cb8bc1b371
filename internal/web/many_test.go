package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"elbowroom/app/desk"
	"elbowroom/joblog"
	"elbowroom/store"
)

// crowd fills the first workshop of a fort with more than one list holds.
func crowd(t *testing.T, f *fort) (owner desk.Who) {
	t.Helper()
	owner = desk.Who{Place: "castle", ID: "stone", Name: "Ada Stone", Role: store.Owner}
	for i := range desk.PageOfJobs + 1 {
		id := fmt.Sprintf("A%02d", i)
		machine, err := f.desk.AddMachine(t.Context(), owner, desk.NewMachine{ID: id, Name: "Van " + id})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.desk.OpenJob(t.Context(), owner, desk.NewJob{Machine: machine, Complaint: "knocks"}); err != nil {
			t.Fatal(err)
		}
		if _, err := f.desk.PutCustomer(t.Context(), owner, store.Customer{ID: fmt.Sprintf("c-%02d", i), Name: "Customer " + id}); err != nil {
			t.Fatal(err)
		}
	}
	return owner
}

// What a list has no room for is still reached: the 51st machine, job and
// customer.
func TestMoreThanOneList(t *testing.T) {
	f := newFort(t)
	crowd(t, f)
	c := f.signedIn("stone", ownersPassword)
	has := func(name, path string, wants ...string) {
		t.Helper()
		status, page, _ := f.get(c, path)
		if status != http.StatusOK {
			t.Errorf("%s: %d", name, status)
		}
		for _, want := range wants {
			if !strings.Contains(page, want) {
				t.Errorf("%s: %q is not on %s", name, want, path)
			}
		}
	}
	has("a machine beyond the list", "/jobs/?machine=V1", `<option value="V1" selected>`)
	has("a machine in the list", "/jobs/?machine=A03", `<option value="A03" selected>`)
	has("no machine", "/jobs/?machine=nothing", `<select id="machine"`)
	has("a bad name of a machine", "/jobs/?machine=%00", `<select id="machine"`)
	has("search", "/jobs/?q=van", `/jobs/?machine=A50#arrive`)
	has("a job that was touched long ago", "/plan?"+url.Values{"machine": {"V1"}, "task": {"replace:SE13"}}.Encode(), `value="`+string(f.job)+`"`)
	has("home", "/", `href="/jobs/?after=`)
	has("the first customers", workshopPath, "Customer A00", "?customers=c-49#customers")
	has("the last customer", workshopPath+"?customers=c-49", "Customer A50")
}

// A job is offered only the plans of its own machine.
func TestJobsOfAMachine(t *testing.T) {
	f := newFort(t)
	owner := desk.Who{Place: "castle", ID: "stone", Name: "Ada Stone", Role: store.Owner}
	if _, err := f.desk.AddMachine(t.Context(), owner, desk.NewMachine{ID: "V2", Name: "Other", Guide: "v27p", Variant: "LHD A"}); err != nil {
		t.Fatal(err)
	}
	if lines, err := f.desk.JobsOf(t.Context(), owner, "V2"); err != nil || len(lines) != 0 {
		t.Errorf("%v, %v", lines, err)
	}
	lines, err := f.desk.JobsOf(t.Context(), owner, "V1")
	if err != nil || len(lines) != 1 || lines[0].Job != joblog.Job(f.job) {
		t.Errorf("%v, %v", lines, err)
	}
}

// A customer with a machine that is not there is not kept by half.
func TestCustomerOfNoMachine(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	status, page, _ := f.post(c, workshopPath, url.Values{"does": {"customer"}, "name": {"Oda Brevik"}, "phone": {"0123"}, "machine": {"nothing"}})
	if status != http.StatusBadRequest || !strings.Contains(page, `value="Oda Brevik"`) || !strings.Contains(page, `value="0123"`) {
		t.Errorf("%d", status)
	}
	list, err := f.desk.Customers(t.Context(), desk.Who{Place: "castle", ID: "stone", Role: store.Owner}, "")
	if err != nil || len(list) != 0 {
		t.Errorf("%v, %v", list, err)
	}
}
