package marking

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/trade"
)

// functions is what formulas may call in these tests: all that the program offers.
func functions() map[string]formula.Function {
	m := map[string]formula.Function{}
	for _, f := range trade.Functions() {
		m[f.Name] = f
	}
	return m
}

// compiled reads and compiles a brief file of testdata/marking.
func compiled(t testing.TB, name string) *brief.Compiled {
	t.Helper()
	src, err := os.ReadFile(filepath.Join(data, name))
	if err != nil {
		t.Fatal(err)
	}
	return compile(t, src)
}

func compile(t testing.TB, src []byte) *brief.Compiled {
	t.Helper()
	b, err := brief.Read(src)
	if err != nil {
		t.Fatalf("the brief cannot be read:\n%v", err)
	}
	b, problems := b.Under(demonstrationRules(t))
	c, more := brief.Compile(b, functions())
	if err := problems.And(more).Err(); err != nil {
		t.Fatalf("the brief cannot be compiled:\n%v", err)
	}
	return c
}

// demonstrationRules is the demonstration's rule sets, which its briefs name.
func demonstrationRules(t testing.TB) brief.Book {
	t.Helper()
	files, err := filepath.Glob("../../seed/rules/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var sets []brief.RuleSet
	for _, f := range files {
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		rs, err := brief.ReadRules(src)
		if err != nil {
			t.Fatalf("%s:\n%v", f, err)
		}
		sets = append(sets, *rs)
	}
	book, problems := brief.BookOn(sets, "2026-06-01")
	if err := problems.Err(); err != nil {
		t.Fatal(err)
	}
	return book
}

// example is one file EX-nn.json: our own worked examples, made with the marking policy by a separate program.
type example struct {
	ID    string
	Given map[string]float64
	Lines []struct {
		Line    string
		Unit    string
		Answer  string `json:"trainee_answer"`
		Unit2   string `json:"trainee_unit"`
		Working string `json:"trainee_working"`
		Safety  bool   `json:"safety_critical"`
	}
	Expected []struct {
		Line         string
		Verdict      string
		Mark         int
		Given        json.RawMessage `json:"reference_from_given"`
		Own          json.RawMessage `json:"reference_from_own_figures"`
		Inconsistent bool            `json:"inconsistent_with_own_working"`
		Slip         *string         `json:"mal_rule"`
	}
	Total     int `json:"expected_total"`
	Referred  int `json:"referred_lines"`
	Available int
}

// sheet is the example's submission. Its givens are numbers in the units that the brief states.
func (ex *example) sheet(t *testing.T, c *brief.Compiled) Sheet {
	t.Helper()
	s := Sheet{Trainee: ex.ID, Given: map[string]string{}}
	for i := range c.Givens {
		g := &c.Givens[i]
		x, ok := ex.Given[g.Given.Name]
		if !ok {
			t.Fatalf("the example gives no %s", g.Given.Name)
		}
		if got := g.Value.Number.Value(); got != x {
			t.Errorf("given %s: the brief has %v, the example %v", g.Given.Name, got, x)
		}
		s.Given[g.Given.Name] = strconv.FormatFloat(x, 'f', -1, 64) + " " + g.Unit.String()
	}
	if len(ex.Given) != len(c.Givens) {
		t.Errorf("the example gives %d values, the brief %d", len(ex.Given), len(c.Givens))
	}
	for _, l := range ex.Lines {
		s.Entries = append(s.Entries, Entry{Item: l.Line, Text: l.Answer, Unit: l.Unit2, Working: l.Working})
	}
	return s
}

// Each example is written as a brief in our own notation in EX-nn.yaml; the submission comes from the JSON. The verdict
// "refer" of those files is to_read here, and their slip UNIT_LABEL the flag unit_label.
func TestExamples(t *testing.T) {
	for n := 1; n <= 10; n++ {
		id := fmt.Sprintf("EX-%02d", n)
		t.Run(id, func(t *testing.T) {
			var ex example
			decode(t, id+".json", &ex)
			c := compiled(t, id+".yaml")
			r := Mark(c, ex.sheet(t, c))
			if r.Marks != ex.Total || r.Available != ex.Available {
				t.Errorf("marks: got %d of %d, want %d of %d", r.Marks, r.Available, ex.Total, ex.Available)
			}
			if got := r.count(ToRead); got != ex.Referred {
				t.Errorf("to read: got %d, want %d", got, ex.Referred)
			}
			if len(r.Findings) != len(ex.Expected) {
				t.Fatalf("got %d findings, want %d", len(r.Findings), len(ex.Expected))
			}
			for i, want := range ex.Expected {
				f := &r.Findings[i]
				verdict := Verdict(want.Verdict)
				if want.Verdict == "refer" {
					verdict = ToRead
				}
				if f.Item != want.Line || f.Verdict != verdict || f.Marks != want.Mark {
					t.Errorf("got %s %s %d, want %s %s %d\n%s", f.Item, f.Verdict, f.Marks, want.Line, verdict, want.Mark, f.Tutor)
				}
				if f.Safety != ex.Lines[i].Safety {
					t.Errorf("%s: safety-critical is %v in the brief, %v in the example", f.Item, f.Safety, ex.Lines[i].Safety)
				}
				sameReference(t, f.Item+" from given", want.Given, f.FromGiven, f.Expected)
				sameReference(t, f.Item+" from own", want.Own, f.FromOwn, f.ExpectedOwn)
				if got := hasFlag(f, FlagInconsistent); got != want.Inconsistent {
					t.Errorf("%s: inconsistent with own working: got %v, want %v", f.Item, got, want.Inconsistent)
				}
				if got := slipOf(f); got != deref(want.Slip) {
					t.Errorf("%s: slip: got %q, want %q (candidates %v)", f.Item, got, deref(want.Slip), f.Candidates)
				}
				if f.Trainee == "" || f.Tutor == "" {
					t.Errorf("%s: a sentence is missing: %q, %q", f.Item, f.Trainee, f.Tutor)
				}
			}
		})
	}
}

func slipOf(f *Finding) string {
	switch {
	case f.Slip != nil:
		return f.Slip.Key
	case hasFlag(f, FlagUnitLabel):
		return "UNIT_LABEL"
	}
	return ""
}

func deref(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

// sameReference compares a reference of the example files, a number or a word, with the marker's, to 1e-9.
func sameReference(t *testing.T, what string, want json.RawMessage, got *float64, gotWords string) {
	t.Helper()
	var words string
	if json.Unmarshal(want, &words) == nil {
		if fold(gotWords) != fold(words) && fold(gotWords) != fold(words+"L") {
			t.Errorf("%s: got %q, want %q", what, gotWords, words)
		}
		return
	}
	var x float64
	if err := json.Unmarshal(want, &x); err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	if got == nil {
		t.Errorf("%s: got none, want %v", what, x)
		return
	}
	if math.Abs(*got-x) > 1e-9*math.Abs(x) {
		t.Errorf("%s: got %v, want %v", what, *got, x)
	}
}
