// Package internal_test holds the architecture: which package may import which.
package internal_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// The value libraries that pure packages may use: no I/O, clock or randomness is taken from them.
const (
	uuidLib = "github.com/google/uuid"
	jcsLib  = "github.com/gowebpki/jcs"
	yamlLib = "github.com/goccy/go-yaml..."
	tlogLib = "golang.org/x/mod/sumdb/tlog"
	noteLib = "golang.org/x/mod/sumdb/note"
)

// allowed is the architecture: for each package what it may import besides the standard library. A name ending in "..."
// stands for the module and everything below it. Imports only go down.
var allowed = map[string][]string{
	// Pure.
	"fault":       {},
	"quantity":    {},
	"formula":     {"quantity"},
	"trade":       {"quantity", "formula"},
	"uncertainty": {"quantity", "formula"},
	"insight":     {},
	"table":       {},
	"account":     {"fault", uuidLib},
	"brief":       {"fault", "quantity", "formula", yamlLib},
	"marking":     {"fault", "quantity", "formula", "trade", "uncertainty", "brief", yamlLib},
	"sampling":    {"fault", uuidLib},
	"decision":    {"fault", "account", "brief", "marking", uuidLib, jcsLib},
	"ledger":      {uuidLib, jcsLib, tlogLib, noteLib},
	"portfolio":   {"fault", "quantity", "formula", "brief", "marking", "decision", uuidLib, jcsLib},
	"pdfread":     {},
	"pdfcheck":    {"pdfread"},
	"pades":       {"github.com/digitorus/pkcs7", "github.com/digitorus/timestamp"},
	"bag":         {},
	"verify":      {"fault", "ledger", "portfolio", "decision", "pdfread", "pdfcheck", "pades", "bag", uuidLib, noteLib},

	// Adapters: none imports another.
	"store": {
		"fault", "account", "brief", "marking", "sampling", "decision", "ledger", "witnessmark/migrations", uuidLib, "github.com/jackc/pgx/v5...",
		"github.com/golang-migrate/migrate/v4...", "github.com/riverqueue/river...", "github.com/alexedwards/scs/v2",
	},
	"localpg":  {},
	"keyring":  {"ledger", "pades", noteLib},
	"backup":   {},
	"post":     {},
	"blob":     {"fault"},
	"codecard": {uuidLib, "golang.org/x/image...", "github.com/skip2/go-qrcode", "github.com/makiuchi-d/gozxing..."},
	"photo":    {"fault", "golang.org/x/image..."},
	"heif":     {},
	"pdf":      {"portfolio", "brief", "marking", "decision", "quantity", "formula", "golang.org/x/image...", "golang.org/x/text...", "github.com/go-fonts/dejavu...", "github.com/skip2/go-qrcode", uuidLib},

	// Application, then the ways in.
	"app": {
		"fault", "quantity", "formula", "trade", "account", "brief", "marking", "insight", "sampling", "decision", "portfolio", "table",
		"ledger", "keyring", "store", "blob", "codecard", "photo", "heif", "post", "pdf", "pades", "bag", "verify", uuidLib, noteLib, "github.com/alexedwards/argon2id",
	},
	"api": {
		"fault", "account", "brief", "marking", "sampling", "decision", "table", "app", "httpd", uuidLib,
		"github.com/labstack/echo/v4...", "github.com/go-playground/validator/v10",
	},
	"ui": {
		"fault", "quantity", "formula", "account", "brief", "marking", "sampling", "decision", "table", "app", "httpd", "witnessmark/web", uuidLib,
		"github.com/labstack/echo/v4...", "github.com/go-playground/validator/v10", "github.com/evanw/esbuild/pkg/api",
	},
	"upload":  {"fault", "account", "app", "store", "httpd", uuidLib, "github.com/labstack/echo/v4...", "github.com/tus/tusd/v2/pkg/handler", "golang.org/x/exp/slog"},
	"httpd":   {"fault", "account", "app", "store", uuidLib, "github.com/labstack/echo/v4...", "github.com/alexedwards/scs/v2", "github.com/go-playground/validator/v10"},
	"metrics": {"app", "httpd", "github.com/labstack/echo/v4...", "github.com/prometheus/client_golang/prometheus..."},
	"jobs":    {"fault", "app", "store", uuidLib, "github.com/riverqueue/river...", "github.com/jackc/pgx/v5..."},

	// Not part of the program: tests alone, that kill it under load.
	"faults": {},

	// Not part of the program: tests alone, against programs of others.
	"oracle": {},

	// Not part of the program: it measures all of it against the database's own tools.
	"bench": {
		"account", "quantity", "formula", "trade", "brief", "marking", "sampling", "decision", "app", "api", "ui", "httpd", "store", "blob", "localpg", uuidLib,
		"portfolio", "pdf", "pades", "keyring", "photo", "github.com/jackc/pgx/v5...", "github.com/labstack/echo/v4...", "github.com/alexedwards/scs/v2",
	},
}

// impureStd may not be imported by pure packages.
var impureStd = []string{"os", "net", "net/http", "io/fs", "math/rand", "crypto/rand", "context", "log", "log/slog", "os/exec", "database/sql"}

// pure names the packages that impureStd is forbidden to.
var pure = []string{"fault", "quantity", "formula", "trade", "uncertainty", "account", "brief", "marking", "decision", "portfolio", "insight", "table", "sampling", "ledger", "pdfread", "pdfcheck"}

type pkg struct {
	ImportPath string
	Imports    []string
	Standard   bool
}

func TestImportsOnlyGoDown(t *testing.T) {
	for _, p := range list(t) {
		name, ok := strings.CutPrefix(p.ImportPath, "witnessmark/internal/")
		if !ok || strings.Contains(name, "test") || name == "golden" {
			continue
		}
		top, _, _ := strings.Cut(name, "/")
		may, known := allowed[top]
		if !known {
			t.Errorf("%s is not in the map of the architecture: add it with what it may import", p.ImportPath)
			continue
		}
		for _, imp := range p.Imports {
			if !strings.Contains(strings.Split(imp, "/")[0], ".") && !strings.HasPrefix(imp, "witnessmark") {
				if slices.Contains(pure, top) && slices.Contains(impureStd, imp) {
					t.Errorf("%s is pure and must not import %s", p.ImportPath, imp)
				}
				continue
			}
			if !permitted(top, imp, may) {
				t.Errorf("%s imports %s, which the architecture does not allow", p.ImportPath, imp)
			}
		}
	}
}

// permitted says whether a package below top may import imp.
func permitted(top, imp string, may []string) bool {
	if rest, ok := strings.CutPrefix(imp, "witnessmark/internal/"); ok {
		if rest == top || strings.HasPrefix(rest, top+"/") {
			return true
		}
		imp = rest
	}
	return slices.ContainsFunc(may, func(m string) bool {
		if base, ok := strings.CutSuffix(m, "..."); ok {
			return imp == base || strings.HasPrefix(imp, base+"/")
		}
		return imp == m
	})
}

func list(t *testing.T) []pkg {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), "go", "list", "-json=ImportPath,Imports,Standard", "./...")
	cmd.Dir = ".."
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []pkg
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var p pkg
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatalf("reading go list's answer: %v", err)
		}
		all = append(all, p)
	}
}

func TestTheRuleCanFail(t *testing.T) {
	for _, c := range []struct {
		top, imp string
		want     bool
	}{
		{"quantity", "witnessmark/internal/formula", false},
		{"formula", "witnessmark/internal/quantity", true},
		{"blob", "witnessmark/internal/photo", false},
		{"marking", "github.com/jackc/pgx/v5", false},
		{"store", "github.com/jackc/pgx/v5/pgxpool", true},
	} {
		if got := permitted(c.top, c.imp, allowed[c.top]); got != c.want {
			t.Errorf("permitted(%s, %s) = %v, want %v", c.top, c.imp, got, c.want)
		}
	}
}
