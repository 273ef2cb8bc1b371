//go:build postgres

package postgres

import (
	"fmt"
	"os"
	"testing"

	"elbowroom/store"
	"elbowroom/store/folder"
	"elbowroom/store/postgres/cluster"
	"elbowroom/store/storetest"
)

var server *cluster.Cluster

func TestMain(m *testing.M) {
	var err error
	if server, err = cluster.New(); err != nil {
		fmt.Fprintln(os.Stderr, "these tests need a PostgreSQL server:", err)
		os.Exit(1)
	}
	code := m.Run()
	if err := server.Stop(); err != nil {
		fmt.Fprintln(os.Stderr, "stopping the server:", err)
		code = 1
	}
	os.Exit(code)
}

// database returns the source of a new database.
func database(t *testing.T) string {
	t.Helper()
	source, err := server.Database(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return source
}

func TestContract(t *testing.T) {
	storetest.Run(t, func(t *testing.T) func() store.Store {
		source, dir := database(t), t.TempDir()
		return func() store.Store {
			s, err := Open(t.Context(), source, folder.New(dir), Options{})
			if err != nil {
				t.Fatal(err)
			}
			return s
		}
	})
}
