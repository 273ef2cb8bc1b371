package policy

import (
	"os"
	"strings"
	"testing"
)

// allowed names every direct dependency with what it is for, why it and not
// our own code, and what was looked at when it was taken. Looked at in
// November 2026: newest version, licence, open issues, modules it brings.
var allowed = map[string]string{
	"github.com/alecthomas/kong":               "command line: typed flags and help from one struct; MIT, one module",
	"github.com/goccy/go-yaml":                 "YAML to a syntax tree with positions, so that our own errors carry line and column; MIT, no further modules",
	"github.com/rogpeppe/go-internal":          "testscript: command-line stories as text; BSD-3-Clause; tests only",
	"pgregory.net/rapid":                       "property tests with shrinking; MPL-2.0, no further modules; tests only",
	"github.com/google/go-cmp":                 "readable differences in tests; BSD-3-Clause; tests only",
	"github.com/santhosh-tekuri/jsonschema/v6": "validates samples against our generated schema; Apache-2.0; tests only",
	"github.com/chromedp/chromedp":             "drives a real browser in tests; MIT; tests only",
	"github.com/chromedp/cdproto":              "the browser's protocol types that chromedp speaks; MIT; tests only",
	"golang.org/x/crypto":                      "Argon2id for passwords (RFC 9106); by the Go project; BSD-3-Clause, brings x/sys",
	"github.com/go-webauthn/webauthn":          "passkeys (W3C WebAuthn Level 3): reads and checks what devices sign; BSD-3-Clause, the most used one, with the specification's own vectors among its tests; eight further modules, see `shipped`, 2.5 MB of 33.6 in the program; our own would be CBOR, COSE and seven forms of keys that only attackers test",
	"gonum.org/v1/gonum":                       "reference distributions beside our own; BSD-3-Clause, one module; tests only",
	"modernc.org/sqlite":                       "SQLite without cgo, through database/sql, with full-text search; BSD-3-Clause, seven further modules; measured against ncruces/go-sqlite3, see BENCHMARKS.md: as fast in writing, two to four times as fast in full-text search, 2 MB less in the program",
	"github.com/jackc/pgx/v5":                  "PostgreSQL for chains, through database/sql, with LISTEN; MIT; the usual choice, four further modules",
	"golang.org/x/text":                        "Unicode normal forms, so that search finds é by e; BSD-3-Clause; pgx brings it anyway",
	"honnef.co/go/tools":                       "staticcheck; MIT; a tool",
	"mvdan.cc/gofumpt":                         "formatting; BSD-3-Clause; a tool",
}

// shipped are the only modules that may be linked into the program.
var shipped = []string{
	"github.com/alecthomas/kong", "github.com/goccy/go-yaml", "golang.org/x/crypto", "golang.org/x/sys", "golang.org/x/text",
	// SQLite and what it brings.
	"modernc.org/sqlite", "modernc.org/libc", "modernc.org/mathutil", "modernc.org/memory", "github.com/dustin/go-humanize", "github.com/google/uuid", "github.com/mattn/go-isatty", "github.com/ncruces/go-strftime", "github.com/remyoudompheng/bigfft",
	// PostgreSQL and what it brings.
	"github.com/jackc/pgx/v5", "github.com/jackc/pgpassfile", "github.com/jackc/pgservicefile", "github.com/jackc/puddle/v2", "golang.org/x/sync",
	// Passkeys and what they bring.
	"github.com/go-webauthn/webauthn", "github.com/go-webauthn/x", "github.com/fxamacker/cbor/v2", "github.com/x448/float16", "github.com/go-viper/mapstructure/v2", "github.com/golang-jwt/jwt/v5", "github.com/google/go-tpm", "github.com/tinylib/msgp", "github.com/philhofer/fwd",
}

func TestEveryDependencyHasAReason(t *testing.T) {
	mod, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	direct := 0
	for _, line := range strings.Split(string(mod), "\n") {
		fields := strings.Fields(line)
		if len(fields) < 2 || strings.Contains(line, "// indirect") || !strings.HasPrefix(fields[1], "v") || strings.HasPrefix(line, "module") {
			continue
		}
		direct++
		if allowed[fields[0]] == "" {
			t.Errorf("go.mod requires %s, and the allow-list gives no reason for it", fields[0])
		}
	}
	if direct == 0 {
		t.Fatal("no direct dependency found in go.mod; this test would check nothing")
	}
}

func TestProgramLinksOnlyWhatIsNamed(t *testing.T) {
	for _, p := range packages(t) {
		if p.ImportPath != module+"/cmd/elbowroom" {
			continue
		}
		for _, dep := range p.Deps {
			first, _, _ := strings.Cut(dep, "/")
			if !strings.Contains(first, ".") || strings.HasPrefix(dep, module) {
				continue
			}
			ok := false
			for _, s := range shipped {
				ok = ok || dep == s || strings.HasPrefix(dep, s+"/")
			}
			if !ok {
				t.Errorf("the program links %s, which is not among the shipped modules", dep)
			}
		}
		return
	}
	t.Fatal("no package cmd/elbowroom")
}
