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
		{"ten thousand brackets", strings.Repeat("(", 2000) + "1" + strings.Repeat(")", 2000), "Brackets and powers are nested more than 40 deep"},
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
