package sqlite

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"elbowroom/joblog"
	"elbowroom/store"
	"elbowroom/store/copies"
	"elbowroom/store/folder"
	"elbowroom/store/storetest"
)

// diskVariable tells the test program that it runs in a name space of its own,
// where it may mount a small disk at this folder.
const diskVariable = "ELBOWROOM_SMALL_DISK"

// TestSmallDisk runs TestOnSmallDisk where a disk of 12 MB can be mounted
// without touching the machine: in its own user and mount name space.
func TestSmallDisk(t *testing.T) {
	if os.Getenv(diskVariable) != "" {
		onSmallDisk(t, os.Getenv(diskVariable))
		return
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, "-test.run", "^TestSmallDisk$", "-test.v")
	cmd.Env = append(os.Environ(), diskVariable+"="+t.TempDir())
	cmd.SysProcAttr = &syscall.SysProcAttr{
		Cloneflags:  syscall.CLONE_NEWNS | syscall.CLONE_NEWUSER,
		UidMappings: []syscall.SysProcIDMap{{HostID: os.Geteuid(), Size: 1}},
		GidMappings: []syscall.SysProcIDMap{{HostID: os.Getegid(), Size: 1}},
	}
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("on the small disk (it needs user name spaces): %v\n%s", err, out)
	}
	if !strings.Contains(string(out), "small disk: done") {
		t.Errorf("the small disk was not tried:\n%s", out)
	}
}

func onSmallDisk(t *testing.T, dir string) {
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=12m"); err != nil {
		t.Fatalf("mounting: %v", err)
	}
	ballast := filepath.Join(dir, "ballast")
	if err := os.WriteFile(ballast, make([]byte, 3<<20), 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := Open(t.Context(), filepath.Join(dir, "store.db"), folder.New(filepath.Join(dir, "pictures")), Options{})
	if err != nil {
		t.Fatal(err)
	}
	full := storetest.FillUp(t, s)
	if _, err := copies.Backup(t.Context(), s, filepath.Join(dir, "copy")); !errors.Is(err, store.Full) {
		t.Errorf("a copy on the full disk: %v", err)
	}
	if left, err := filepath.Glob(filepath.Join(dir, "*copy*")); err != nil || len(left) > 0 {
		t.Errorf("of the copy is left %v, %v", left, err)
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	full.Goes(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	readOnly(t, dir)
	full.Whole(t, reopened(t, dir))
	fmt.Println("small disk: done")
}

func reopened(t *testing.T, dir string) store.Store {
	t.Helper()
	s, err := Open(context.Background(), filepath.Join(dir, "store.db"), folder.New(filepath.Join(dir, "pictures")), Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// readOnly mounts the disk read-only for a while.
func readOnly(t *testing.T, dir string) {
	t.Helper()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, "size=12m"); err != nil {
		t.Fatalf("mounting read-only: %v", err)
	}
	pictures := folder.New(filepath.Join(dir, "pictures"))
	for _, name := range []string{"store.db", "new.db"} {
		_, err := Open(t.Context(), filepath.Join(dir, name), pictures, Options{})
		if !errors.Is(err, store.ReadOnly) || !strings.Contains(err.Error(), name) {
			t.Errorf("opening %s on a read-only disk: %v", name, err)
		}
	}
	y := store.Sum([]byte("y"))
	if err := pictures.Put(t.Context(), "north/"+y.String(), y, 1, strings.NewReader("y")); !errors.Is(err, store.ReadOnly) {
		t.Errorf("a picture on a read-only disk: %v", err)
	}
	if err := syscall.Mount("tmpfs", dir, "tmpfs", syscall.MS_REMOUNT, "size=12m"); err != nil {
		t.Fatalf("mounting: %v", err)
	}
}

// TestDamaged opens what is no store, or a torn one.
func TestDamaged(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "store.db")
	open := func() error {
		s, err := Open(t.Context(), path, folder.New(dir), Options{})
		if err == nil {
			_, err = s.PutPlace(t.Context(), store.Place{ID: "north", Name: "N", Opened: joblog.Moment(1)})
			err = errors.Join(err, s.Close())
		}
		return err
	}
	if err := os.WriteFile(path, []byte(strings.Repeat("this is a letter and no store ", 1000)), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := open(); !errors.Is(err, store.Damaged) {
		t.Errorf("a letter opens as a store: %v", err)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if err := open(); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i := 4096; i < len(whole); i += 7 {
		whole[i] ^= 0x5a
	}
	if err := os.WriteFile(path, whole, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := open(); !errors.Is(err, store.Damaged) {
		t.Errorf("a torn store: %v", err)
	}
}

// TestMostPages stops at a bound of its own, without a small disk.
func TestMostPages(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "store.db")
	s, err := Open(t.Context(), path, folder.New(dir), Options{MostPages: 300})
	if err != nil {
		t.Fatal(err)
	}
	full := storetest.FillUp(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s, err = Open(t.Context(), path, folder.New(dir), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}()
	full.Goes(t, s)
}
