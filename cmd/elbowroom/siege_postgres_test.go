//go:build postgres

package main

import (
	"fmt"
	"net/http"
	"net/url"
	"path/filepath"
	"testing"

	"elbowroom/store/postgres/cluster"
)

// database starts a private PostgreSQL and returns the source of an empty
// database in it.
func database(t *testing.T) string {
	t.Helper()
	c, err := cluster.New()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := c.Stop(); err != nil {
			t.Error(err)
		}
	})
	source, err := c.Database(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return source
}

func TestKilledServerPostgres(t *testing.T) {
	s := newServer(t, "--data", filepath.Join(t.TempDir(), "kept"), "--postgres", database(t))
	killed(t, s, setUp(t, s))
}

// Fifty phones write at once to four servers over one database.
func TestServersLoadPostgres(t *testing.T) {
	source, dir := database(t), t.TempDir()
	var servers []*server
	for i := range 4 {
		servers = append(servers, newServer(t, "--data", filepath.Join(dir, "kept"), "--postgres", source, "--name", fmt.Sprintf("desk-%d", i)))
	}
	c := setUp(t, servers[0])
	first, err := url.Parse(servers[0].at)
	if err != nil {
		t.Fatal(err)
	}
	cookies := c.Jar.Cookies(first)
	for _, s := range servers[1:] { // all are one site behind a proxy
		at, err := url.Parse(s.at)
		if err != nil {
			t.Fatal(err)
		}
		c.Jar.SetCookies(at, []*http.Cookie{{Name: cookies[0].Name, Value: cookies[0].Value, Path: "/"}})
	}
	loaded(t, c, servers, 10, 5)
}
