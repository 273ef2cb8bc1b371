package sqlite

import (
	"path/filepath"
	"testing"

	"elbowroom/store"
	"elbowroom/store/folder"
	"elbowroom/store/storetest"
)

func TestContract(t *testing.T) {
	storetest.Run(t, func(t *testing.T) func() store.Store {
		dir := t.TempDir()
		return func() store.Store {
			s, err := Open(t.Context(), filepath.Join(dir, "store.db"), folder.New(filepath.Join(dir, "pictures")), Options{})
			if err != nil {
				t.Fatal(err)
			}
			return s
		}
	})
}
