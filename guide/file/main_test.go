package file

import (
	"flag"
	"os"
	"testing"
)

// fewChecks is how many random guides an ordinary run draws: each exercises
// every type of the vocabulary. More with -rapid.checks=1000.
const fewChecks = "25"

func TestMain(m *testing.M) {
	if err := flag.Set("rapid.checks", fewChecks); err != nil {
		panic(err)
	}
	os.Exit(m.Run())
}
