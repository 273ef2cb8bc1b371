package web

import (
	"errors"
	"net/http"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joblog"
)

// taking is the form by which an open job takes the plan that is shown.
type taking struct {
	Jobs   []offer
	Fields []field
}

// offerJobs offers the open jobs of the machine to take the plan.
func (s *site) offerJobs(r *http.Request, st state, p *planPage) error {
	if s.opts.Desk == nil || p.Answer == nil || st.ask.Machine == "" {
		return nil
	}
	who, err := s.opts.Who(r)
	if err != nil || !who.MayWrite() {
		return err
	}
	jobs, err := s.opts.Desk.JobsOf(r.Context(), who, guide.ID(st.ask.Machine))
	for _, j := range jobs {
		p.Taking.Jobs = append(p.Taking.Jobs, offer{Value: string(j.Job), Text: j.Title})
	}
	for key, list := range map[string][]string{"task": st.ask.Tasks, "before": st.ask.Before, "proof": st.ask.Proof, "order": st.ask.Order, "leave": st.ask.Leave, "missing": st.ask.Missing} {
		for _, v := range list {
			p.Taking.Fields = append(p.Taking.Fields, field{key, v})
		}
	}
	slices.SortStableFunc(p.Taking.Fields, func(a, b field) int { return strings.Compare(a.Name, b.Name) })
	return err
}

// takeShown lets the job that the form names take the plan that was shown.
func (s *site) takeShown(w http.ResponseWriter, r *http.Request) {
	r.SetPathValue("job", r.PostForm.Get("job"))
	s.takePlan(w, r)
}

// takePlan lets the job follow the plan for the tasks that the form names.
func (s *site) takePlan(w http.ResponseWriter, r *http.Request) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	id := joblog.Job(r.PathValue("job"))
	f := r.PostForm
	q := app.Ask{Tasks: f["task"], Before: f["before"], Proof: f["proof"], Order: f["order"], Leave: f["leave"], Missing: f["missing"], Budget: s.opts.Budget}
	_, err := s.opts.Desk.TakePlan(r.Context(), who, id, q)
	switch {
	case s.wrong(err), errors.Is(err, guide.ErrVariant):
		s.showKept(w, r, http.StatusBadRequest, &typedEntry{r.PostForm, err})
	case err != nil:
		s.keptFailed(w, r, err)
	default:
		http.Redirect(w, r, runPath+string(id), http.StatusSeeOther)
	}
}
