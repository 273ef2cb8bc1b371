package desk

import (
	"crypto/rand"
	"errors"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"elbowroom/store/folder"
	"elbowroom/store/sqlite"
)

// servers returns several desks on one store, as several servers have it.
func servers(t testing.TB, n int) []*Desk {
	t.Helper()
	dir := t.TempDir()
	s, err := sqlite.Open(t.Context(), filepath.Join(dir, "store.db"), folder.New(dir), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	list := make([]*Desk, n)
	for i := range list {
		list[i] = New(s, Options{Clock: time.Now, Random: rand.Reader, Device: "desk"})
	}
	return list
}

// A challenge is good for the one thing it was made for, whatever else fits.
func TestChallengeHasOnePurpose(t *testing.T) {
	d := servers(t, 1)[0]
	at := PasskeyAt{Origin: Origin{text: "https://bay.example", host: "bay.example"}, Session: "s"}
	for _, want := range []purpose{toRegister, toSignIn} {
		for _, made := range []purpose{toRegister, toSignIn} {
			_, state, err := d.newChallenge(t.Context(), challenge{For: made, At: at.Origin.String(), Bound: bound("s")})
			if err != nil {
				t.Fatal(err)
			}
			at.State = state
			if _, err := d.useChallenge(t.Context(), want, at); (err == nil) != (want == made) || err != nil && !errors.Is(err, ErrRefused) {
				t.Errorf("made to %s, used to %s: %v", made, want, err)
			}
		}
	}
}

// Servers that start at the same time agree on one key, and a challenge is
// used once among all of them.
func TestServersShareChallenges(t *testing.T) {
	all := servers(t, 4)
	at := Origin{text: "https://bay.example", host: "bay.example"}
	states := make([]string, len(all))
	each(all, func(i int, d *Desk) {
		var err error
		if _, states[i], err = d.newChallenge(t.Context(), challenge{For: toSignIn, At: at.String()}); err != nil {
			t.Error(err)
		}
	})
	for _, state := range states {
		var used sync.Map
		each(all, func(i int, d *Desk) {
			if _, err := d.useChallenge(t.Context(), toSignIn, PasskeyAt{Origin: at, State: state}); err == nil {
				used.Store(i, true)
			} else if !errors.Is(err, ErrRefused) {
				t.Error(err)
			}
		})
		n := 0
		used.Range(func(_, _ any) bool { n++; return true })
		if n != 1 {
			t.Errorf("used %d times", n)
		}
	}
}

// each does something on all servers at once.
func each(all []*Desk, do func(int, *Desk)) {
	var wait sync.WaitGroup
	for i, d := range all {
		wait.Go(func() { do(i, d) })
	}
	wait.Wait()
}
