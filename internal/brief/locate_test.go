package brief_test

import (
	"bytes"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/fault"
)

// TestLocated breaks the sample's file in one place and looks where Check's problem is shown: at marks the caret's
// place in the changed text.
func TestLocated(t *testing.T) {
	src, err := brief.Print(sample.Brief())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, from, to, at string }{
		{"plain text", "formula: tf − tr", "formula: tf − tx", "tx"},
		{"double quotes", "formula: tf − tr", `formula: "tf − tx"`, `tx"`},
		{"single quotes", "formula: tf − tr", `formula: 'tf − tx'`, `tx'`},
		{"block", "formula: tf − tr", "formula: |-\n              tf\n                − tx", "tx"},
		{"folded text", "formula: tf − tr", "formula: >-\n              tf\n              − tx", ">-"},
		{"two plain lines", "formula: tf − tr", "formula: tf\n              − tx", "tf\n              − tx"},
		{"escapes stay at the start", "formula: tf − tr", `formula: "tf \u2212 tx"`, `"tf`},
		{"unit", "unit: kW", "unit: kWx", "kWx"},
		{"criterion", "- \"1.2\"\n", "- \"1.2\"\n      - 7.7\n", "7.7"},
		{"member that is not there", "          tolerance:\n            absolute: 0.1 K\n", "", "ask: temperature difference"},
		{"key", "key: enough", "key: heat", "heat\n        title: Is it enough?"},
		{"condition", "when: heat ≥ load", "when: heat ≥ 1 bar", "≥ 1 bar"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if !bytes.Contains(src, []byte(c.from)) {
				t.Fatalf("%q is not in the sample", c.from)
			}
			broken := strings.Replace(string(src), c.from, c.to, 1)
			before, _, ok := strings.Cut(broken, c.at)
			if !ok {
				t.Fatalf("%q is not in the changed sample", c.at)
			}
			b, err := brief.Read([]byte(broken))
			if err != nil {
				t.Fatal(err)
			}
			ps := brief.Check(b, functions(), known).Located([]byte(broken))
			if len(ps) == 0 {
				t.Fatal("no problem")
			}
			line := strings.Count(before, "\n") + 1
			column := len([]rune(before[strings.LastIndexByte(before, '\n')+1:])) + 1
			found := false
			for _, p := range ps {
				found = found || p.Line == line && p.Column == column
			}
			if !found {
				t.Errorf("want a problem at line %d, column %d; got\n%v", line, column, ps)
			}
		})
	}
}

func TestProblems(t *testing.T) {
	ps := brief.Problems{
		{Path: "title", Text: "“title” is empty. Fill it in."},
		{Line: 3, Column: 4, Path: "given[0].step", Text: "Too small.", Hint: "Take 1 K.", Source: "\tstep: 0", Offset: 1},
		{Path: "about", Text: "It is short.", Warning: true},
	}
	want := "title: “title” is empty. Fill it in.\nline 3, column 4: Too small. Take 1 K.\n     step: 0\n       ^\nabout: worth a look: It is short."
	if got := ps.Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if ps.Err() == nil || ps.Warnings().Err() != nil || len(ps.Failures()) != 2 {
		t.Errorf("failures %v, warnings %v", ps.Failures(), ps.Warnings())
	}
	f, ok := fault.As(ps.Fault())
	if !ok || f.Kind != fault.KindInvalid || len(f.Fields) != 2 || f.Fields[1] != (fault.Field{Name: "given[0].step", Message: "Line 3, column 4: Too small. Take 1 K."}) {
		t.Errorf("got fault %+v", f)
	}
	if ps.Warnings().Fault() != nil {
		t.Error("warnings make a fault")
	}
}

func TestManyProblemsAreCut(t *testing.T) {
	_, err := brief.Read([]byte(strings.Repeat("x: 1\n", 5000)))
	if err == nil || !strings.HasSuffix(err.Error(), "and 4956 more. Mend these first.") {
		t.Errorf("got …%s", err.Error()[len(err.Error())-80:])
	}
}
