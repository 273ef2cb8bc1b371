package access_test

import (
	"testing"

	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// audited replays a plan with the independent checker; every plan of every
// test goes through it.
func audited(t testing.TB, r *guide.Resolved, req plan.Request, p plan.Plan) {
	t.Helper()
	if err := audit.Check(r, req, p).Err(); err != nil {
		t.Errorf("%v", err)
	}
}
