package formula_test

import (
	"errors"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// TestLimits: what is too large is answered with a place and a reason, whatever its size.
func TestLimits(t *testing.T) {
	for _, c := range []struct{ name, text, wrong string }{
		{"ten million bytes", strings.Repeat("1+", 5_000_000) + "1", "This is 10000001 bytes long; at most 4096 are read."},
		{"ten thousand brackets", strings.Repeat("(", 10_000) + "1" + strings.Repeat(")", 10_000), "This is 20001 bytes long; at most 4096 are read."},
		{"two thousand brackets", strings.Repeat("(", 2000) + "1" + strings.Repeat(")", 2000), "Brackets and powers are nested more than 40 deep"},
		{"signs", strings.Repeat("-", 3000) + "1", "Brackets and powers are nested more than 40 deep"},
		{"powers", strings.Repeat("2^", 1000) + "2", "Brackets and powers are nested more than 40 deep"},
		{"roots", strings.Repeat("√", 1000) + "2", "Brackets and powers are nested more than 40 deep"},
		{"calls", strings.Repeat("abs(", 500) + "2", "Brackets and powers are nested more than 40 deep"},
		{"terms", strings.Repeat("1+", 300) + "1", "The formula has more than 200 terms"},
		{"superscripts", "2" + strings.Repeat("²", 1500), "The formula has more than 200 terms"},
		{"digits", strings.Repeat("9", 4000), "This number has too many digits"},
		{"leading zeros", strings.Repeat("0", 4000), "This number is too long"},
		{"name", strings.Repeat("a", 81), "A name has at most 80 bytes."},
		{"broken bytes", "1 + \xff\xfe", "There are bytes here that are no characters"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := formula.Parse(c.text)
			var e *formula.Error
			if !errors.As(err, &e) || !strings.HasPrefix(e.Message, c.wrong) {
				t.Errorf("got %v, want %q", err, c.wrong)
			}
			if e != nil && len(e.Caret()) > 1000 {
				t.Errorf("the caret line has %d bytes", len(e.Caret()))
			}
		})
	}
}

// TestManyNames: a formula with more names than there are registers is compiled with loading steps.
func TestManyNames(t *testing.T) {
	env := formula.Env{Names: map[string]quantity.Unit{}}
	var parts []string
	for i := range 93 {
		name := "A" + strings.Repeat("a", i%10) + strings.Repeat("b", i/10)
		env.Names[name] = quantity.One
		parts = append(parts, name+" × "+[]string{"2", "3", "5"}[i%3])
	}
	e, err := formula.Parse("max(" + strings.Join(parts[:3], ", ") + ") + interp(5, 1, 1, 10, 10) + " + strings.Join(parts[3:], " + "))
	if err != nil {
		t.Fatal(err)
	}
	p, err := formula.Compile(e, env, quantity.One)
	if err != nil {
		t.Fatal(caret(err))
	}
	in := make([]float64, len(p.Names()))
	for i := range in {
		in[i] = 1
	}
	// 90 names behind the first three: 30 of each factor; max(2, 3, 5) is 5, the table gives 5.
	if got, err := p.Eval(in); err != nil || got != 5+5+30*10 {
		t.Errorf("= %v, %v; want 310", got, err)
	}
}

func TestEvalRefuses(t *testing.T) {
	e, err := formula.Parse("n × rho(tf)")
	if err != nil {
		t.Fatal(err)
	}
	p, err := formula.Compile(e, testEnv(), quantity.MustUnit("kg/m³"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Eval([]float64{1}); err == nil {
		t.Error("too few values: no error")
	}
	_, err = p.Eval([]float64{1, 1000})
	var at *formula.Error
	if !errors.As(err, &at) || at.Message != "rho: water is known from 0 °C to 150 °C" || at.Pos != len("n × ") {
		t.Errorf("outside the function's range: %v", err)
	}
	for _, bad := range [][]float64{{inf(), 300}, {1, inf() - inf()}} {
		if _, err := p.Eval(bad); err == nil {
			t.Errorf("Eval(%v): no error", bad)
		}
	}
}

func inf() float64 { f := 1e308; return f * 10 }

// TestHostileLines: what is too large or no text is answered for a line and a condition as for a formula, at its place.
func TestHostileLines(t *testing.T) {
	line := func(s string) error { _, err := formula.ParseWorking(s); return err }
	condition := func(s string) error { _, err := formula.ParseCondition(s); return err }
	for _, c := range []struct {
		name, text string
		parse      func(string) error
		wrong      string
		at         int
	}{
		{"a line of ten million bytes", strings.Repeat("1+", 5_000_000), line, "This is 10000000 bytes long; at most 400 are read.", 0},
		{"a condition of ten million bytes", strings.Repeat("1<", 5_000_000), condition, "This is 10000000 bytes long; at most 4096 are read.", 0},
		{"a million combining marks", "Q = 1" + strings.Repeat("\u0301", 1_000_000), line, "This is 2000005 bytes long", 0},
		{"combining marks", "Q = 1" + strings.Repeat("\u0301", 90), line, "There is a mark here that belongs to the letter before it (U+0301)", 5},
		{"no characters", "Q = 12 \xf0\x28 × 2", line, "There are bytes here that are no characters", 7},
		{"an overlong slash", "Q = 12 \xc0\xaf 2", line, "There are bytes here that are no characters", 7},
		{"half a surrogate pair", "Q = \xed\xa0\x80", line, "There are bytes here that are no characters", 4},
		{"NUL", "Q = 1\x002", line, "There is an invisible character here (U+0000)", 5},
		{"a byte order mark", "Q = \ufeff12", line, "There is an invisible character here (U+FEFF)", 4},
		{"escape", "Q = \x1b[31m12", line, "There is an invisible character here (U+001B)", 4},
		{"brackets in a line", "Q = " + strings.Repeat("(", 200), line, "Brackets and powers are nested more than 40 deep", 45},
		{"brackets in a condition", strings.Repeat("(", 2000) + "1<2" + strings.Repeat(")", 2000), condition, "Brackets and powers are nested more than 40 deep", 41},
		{"powers in a line", "Q = " + strings.Repeat("9^", 190) + "9", line, "Brackets and powers are nested more than 40 deep", 86},
		{"a comparison of comparisons", "(tf < tr) < (tr < tf)", condition, "Behind a condition in brackets only and, or, or a closing bracket may follow.", 10},
		{"a sum of conditions", "(tf < tr) + 1 < 2", condition, "Behind a condition in brackets", 10},
		{"nothing", "", line, "Something is missing here", 0},
		{"blanks", "   ", line, "Something is missing here", 3},
		{"zero width alone", "\u200b\u200b", line, "There is an invisible character here (U+200B)", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			var e *formula.Error
			if err := c.parse(c.text); !errors.As(err, &e) || !strings.HasPrefix(e.Message, c.wrong) || e.Pos != c.at || len(e.Caret()) > 1000 {
				t.Errorf("got %v, want at %d %q", err, c.at, c.wrong)
				if e != nil {
					t.Logf("%d\n%s", e.Pos, e.Caret())
				}
			}
		})
	}
}

// TestFormulaBombs: values that grow beyond all bounds end in an error, wherever that happens.
func TestFormulaBombs(t *testing.T) {
	for _, text := range []string{"9^9^9^9", "1e30 × 1e30", "exp(exp(exp(9)))", "1/(1e-30)^9", "min(1, 9^9^9)", "1 − 9e29 × 9e29", "2^(2^(2^(2^9)))", "(1e30)²"} {
		w, err := formula.ParseWorking(text)
		if err != nil {
			t.Errorf("%s", caret(err))
			continue
		}
		if v := w.Evaluate(testEnv(), siValue)[0]; v.UnitErr == nil || v.BareErr == nil {
			t.Errorf("%s = %v, %v; want errors", text, v.SI, v.Bare)
		}
		e, err := formula.Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		p, err := formula.Compile(e, testEnv(), quantity.One)
		if err != nil {
			continue // what only numbers make is known before it runs
		}
		if v, err := p.Eval(nil); err == nil {
			t.Errorf("%s = %v, want an error", text, v)
		}
	}
}
