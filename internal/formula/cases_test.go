package formula_test

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// sheet holds the names and values that the text cases use.
var sheet = []struct {
	name, unit string
	value      float64
}{
	{"qv", "L/min", 12.4}, {"tf", "°C", 69.8}, {"tr", "°C", 51.3}, {"ta", "°C", 20}, {"t1", "°C", 30}, {"d", "mm", 22},
	{"n", "", 1.3}, {"p1", "bar(g)", 1.5}, {"V", "L", 92.5},
}

// testEnv is an environment with the sheet's names and one property of a fixed value.
func testEnv() formula.Env {
	env := formula.Env{
		Names:   map[string]quantity.Unit{},
		Aliases: map[string]string{"flow": "tf"},
		Functions: map[string]formula.Function{"rho": {
			Name: "rho", About: "density of water", Source: "fixed for this test",
			Params: []formula.Param{{Name: "temperature", Unit: quantity.MustUnit("°C")}},
			Result: quantity.MustUnit("kg/m³"),
			Call: func(args []float64) (float64, error) {
				if args[0] < 273.15 || args[0] > 423.15 {
					return 0, errors.New("water is known from 0 °C to 150 °C")
				}
				return 988, nil
			},
		}},
	}
	for _, s := range sheet {
		env.Names[s.name] = quantity.MustUnit(s.unit)
	}
	return env
}

// siValue gives a name's value in SI base units.
func siValue(name string) (float64, bool) {
	for _, s := range sheet {
		if s.name == name {
			return quantity.MustUnit(s.unit).ToSI(s.value), true
		}
	}
	return 0, false
}

func values(t testing.TB, names []string) []float64 {
	t.Helper()
	out := make([]float64, len(names))
	for i, n := range names {
		v, ok := siValue(n)
		if !ok {
			t.Fatalf("no value for %q", n)
		}
		out[i] = v
	}
	return out
}

// cases reads testdata/formula/name: cases split by ---, each of key: text lines.
func cases(t *testing.T, name string) []map[string]string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("../../testdata/formula", name))
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for block := range strings.SplitSeq(string(b), "\n---\n") {
		c := map[string]string{}
		for line := range strings.Lines(block) {
			if key, text, ok := strings.Cut(strings.TrimSuffix(line, "\n"), ":"); ok {
				c[key] = strings.TrimPrefix(text, " ")
			}
		}
		out = append(out, c)
	}
	return out
}

func TestRight(t *testing.T) {
	for _, c := range cases(t, "right.txt") {
		t.Run(c["formula"], func(t *testing.T) {
			e, err := formula.Parse(c["formula"])
			if err != nil {
				t.Fatalf("%s", caret(err))
			}
			if e.String() != c["prints"] {
				t.Errorf("prints %q, want %q", e, c["prints"])
			}
			p, err := formula.Compile(e, testEnv(), quantity.MustUnit(c["asked"]))
			if err != nil {
				t.Fatalf("%s", caret(err))
			}
			got, err := p.EvalIn(values(t, p.Names()))
			if err != nil {
				t.Fatalf("%s", caret(err))
			}
			want, err := strconv.ParseFloat(c["value"], 64)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got-want) > 5e-12*math.Abs(want) {
				t.Errorf("= %.12g %s, want %.12g", got, c["asked"], want)
			}
		})
	}
}

func TestWrong(t *testing.T) {
	for _, c := range append(cases(t, "wrong.txt"), cases(t, "hostile.txt")...) {
		t.Run(c["formula"], func(t *testing.T) {
			var e *formula.Error
			err, ran := attempt(t, c["formula"], c["asked"])
			if !errors.As(err, &e) {
				t.Fatalf("got %v, want a formula error %q", err, c["wrong"])
			}
			at := 0
			if c["at"] != "" {
				var err error
				if at, err = strconv.Atoi(c["at"]); err != nil {
					t.Fatal(err)
				}
			}
			if !strings.HasPrefix(e.Message, c["wrong"]) || e.Pos != at {
				t.Errorf("got at %d\n%s\nwant at %d %q", e.Pos, e.Caret(), at, c["wrong"])
			}
			if ran != (c["fails"] == "run") {
				t.Errorf("failed when run: %v, want %v", ran, c["fails"] == "run")
			}
		})
	}
}

// attempt reads, compiles and runs, and says whether it came as far as running.
func attempt(t *testing.T, text, asked string) (err error, ran bool) {
	t.Helper()
	e, err := formula.Parse(text)
	if err != nil {
		return err, false
	}
	p, err := formula.Compile(e, testEnv(), quantity.MustUnit(asked))
	if err != nil {
		return err, false
	}
	_, err = p.Eval(values(t, p.Names()))
	return err, true
}

func caret(err error) string {
	var e *formula.Error
	if errors.As(err, &e) {
		return e.Caret()
	}
	return err.Error()
}
