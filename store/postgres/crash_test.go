//go:build postgres

package postgres

import (
	"context"
	"errors"
	"flag"
	"os"
	"os/exec"
	"testing"

	"elbowroom/store"
	"elbowroom/store/folder"
	"elbowroom/store/storetest"
)

var kills = flag.Int("crash.kills", 20, "how often TestCrash kills the programs that write, or the server")

const (
	crashSource = "ELBOWROOM_CRASH_SOURCE"
	crashDir    = "ELBOWROOM_CRASH_DIR"
)

func crashStore() (store.Store, error) {
	return Open(context.Background(), os.Getenv(crashSource), folder.New(os.Getenv(crashDir)), Options{Connections: 4})
}

// TestCrash kills two servers of ours that write to one database, and now and
// then the database itself, which then has to recover from its log.
func TestCrash(t *testing.T) {
	t.Setenv(crashDir, t.TempDir())
	t.Setenv(crashSource, database(t))
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	struck := 0
	n := storetest.Crash{
		Kills: *kills, Seed: 1,
		Writer: func() *exec.Cmd { return exec.Command(self, "-test.run", "^$") },
		Open:   crashStore,
		Strike: func() error {
			struck++
			return errors.Join(server.Kill(), server.Start())
		},
	}.Run(t)
	if struck == 0 {
		t.Error("the database was never ended")
	}
	t.Logf("%d kills, %d of the database too, %d acknowledged events, none lost, none twice", *kills, struck, n)
}
