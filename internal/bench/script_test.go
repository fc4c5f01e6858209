package main

import (
	"slices"
	"strings"
	"testing"
)

func newWriter() writer {
	n := numberOf(7)
	return writer{marks: marks(n, 2), digest: digest(n.trainee())}
}

func TestStatement(t *testing.T) {
	n := numberOf(7)
	text := func(s string) argument { return argument{text: s, kind: "text"} }
	for _, c := range []struct {
		name, sql string
		args      []argument
		want      []string
		variables []string
	}{
		{"as it is", "SELECT 1", nil, []string{"SELECT 1"}, nil},
		{"white space and comments", "SELECT -- one :many\n  /* $1 */ 1", nil, []string{"SELECT     1"}, nil},
		{"two in one", "BEGIN; SELECT set_config('a;b', '1', true)", nil, []string{"BEGIN", "SELECT set_config('a;b', '1', true)"}, nil},
		{"a constant", "SELECT $1::text, $1", []argument{text("a'b")}, []string{"SELECT :v0::text, :v0"}, []string{"v0=a'b"}},
		{"ten arguments", "SELECT $10, $1", append(slices.Repeat([]argument{text("a")}, 9), text("j")), []string{"SELECT :v0, :v1"}, []string{"v0=j", "v1=a"}},
		{"nothing", "SELECT $1", []argument{{null: true, kind: "bytea"}}, []string{"SELECT NULL::bytea"}, nil},
		{"no variable in a literal", "SELECT '0001-01-01 00:00Z', ':x', 'it''s'", nil, []string{"SELECT :v0, :v1, 'it''s'"}, []string{"v0=0001-01-01 00:00Z", "v1=:x"}},
		{"no parameter in a literal", "SELECT '$1', \"$\"", nil, []string{"SELECT '$1', \"$\""}, nil},
		{"the attempt", "SELECT $1", []argument{{text: n.attempt(), kind: "uuid"}}, []string{"SELECT replace('01900000-0000-7000-8000-<n>', '<n>', :n)::uuid"}, nil},
		{"entries", "SELECT $1", []argument{{text: "{" + n.entry(0) + "," + n.entry(1) + "}", kind: "_uuid"}},
			[]string{"SELECT replace('{0190000000007000<n>0000,0190000000007000<n>0001}', '<n>', :n)::_uuid"}, nil},
		{"the trainee", "SELECT $1", []argument{{text: personID(n.trainee()), kind: "uuid"}},
			[]string{"SELECT replace('01900000-0000-7000-a000-00000000<t>', '<t>', :t)::uuid"}, nil},
		{"both in one", "SELECT $1", []argument{{text: "'" + n.attempt() + " " + personID(n.trainee()), kind: "text"}},
			[]string{"SELECT replace(replace('''01900000-0000-7000-8000-<n> 01900000-0000-7000-a000-00000000<t>', '<n>', :n), '<t>', :t)::text"}, nil},
		{"the session", "SELECT $1", []argument{{text: digest(n.trainee()), kind: "bytea"}}, []string{"SELECT " + digestSQL}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWriter()
			got, err := w.statement(c.sql, c.args)
			if err != nil || !slices.Equal(got, c.want) {
				t.Errorf("got %q, %v\nwant %q", got, err, c.want)
			}
			if !slices.Equal(w.variables, c.variables) {
				t.Errorf("variables %q, want %q", w.variables, c.variables)
			}
		})
	}
}

func TestStatementWithoutItsArgument(t *testing.T) {
	w := newWriter()
	if got, err := w.statement("SELECT $2", []argument{{text: "a"}}); err == nil {
		t.Errorf("got %q, want trouble: there is no second argument", got)
	}
}

func TestRoundTrips(t *testing.T) {
	w := newWriter()
	w.roundTrip([]string{"A"})
	w.roundTrip([]string{"B", "C"})
	w.roundTrip(nil)
	want := "A;\n\\startpipeline\nB;\nC;\n\\endpipeline\n"
	if got := w.body.String(); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// What a token is cut off, and what is left, are the whole; no token is empty.
func FuzzNext(f *testing.F) {
	for _, s := range []string{"SELECT 'it''s' -- x\n, $12;", "'open", "/* open", "--", "$", "é'"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, sql string) {
		for rest := sql; rest != ""; {
			piece := next(rest)
			if piece == "" || !strings.HasPrefix(rest, piece) {
				t.Fatalf("next(%q) = %q", rest, piece)
			}
			rest = rest[len(piece):]
		}
	})
}
