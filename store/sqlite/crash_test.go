package sqlite

import (
	"context"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"elbowroom/store"
	"elbowroom/store/folder"
	"elbowroom/store/storetest"
)

var kills = flag.Int("crash.kills", 20, "how often TestCrash kills the programs that write")

const crashDir = "ELBOWROOM_CRASH_DIR"

func TestMain(m *testing.M) {
	storetest.CrashWriter(func() (store.Store, error) { return crashStore(os.Getenv(crashDir)) })
	os.Exit(m.Run())
}

func crashStore(dir string) (store.Store, error) {
	return Open(context.Background(), filepath.Join(dir, "store.db"), folder.New(filepath.Join(dir, "pictures")), Options{})
}

func TestCrash(t *testing.T) {
	dir := t.TempDir()
	t.Setenv(crashDir, dir)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	n := storetest.Crash{
		Kills: *kills, Seed: 1,
		Writer: func() *exec.Cmd { return exec.Command(self, "-test.run", "^$") },
		Open:   func() (store.Store, error) { return crashStore(dir) },
	}.Run(t)
	t.Logf("%d kills, %d acknowledged events, none lost, none twice", *kills, n)
}
