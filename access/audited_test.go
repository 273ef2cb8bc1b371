package access_test

import (
	"testing"

	"elbowroom/guide"
	"elbowroom/plan"
)

func audited(t testing.TB, r *guide.Resolved, req plan.Request, p plan.Plan) {}
