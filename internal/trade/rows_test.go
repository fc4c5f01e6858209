package trade

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// rows reads a check file under testdata/trade with its heading; lines that begin with # are remarks.
func rows(t *testing.T, name string) (head []string, body [][]string) {
	t.Helper()
	f, err := os.Open("../../testdata/trade/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 2 {
		t.Fatalf("%s holds no rows", name)
	}
	return all[0], all[1:]
}

// vector is one worked figure of vectors.json or vectors_services.json.
type vector struct {
	Calc   string
	Inputs map[string]float64
	Steps  []struct {
		Sym   string
		Value float64
	}
	Answer float64
}

func vectors(t *testing.T, name string) []vector {
	t.Helper()
	text, err := os.ReadFile("../../testdata/trade/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var vs []vector
	if err := json.Unmarshal(text, &vs); err != nil {
		t.Fatal(err)
	}
	return vs
}

func (v vector) step(t *testing.T, sym string) float64 {
	t.Helper()
	for _, s := range v.Steps {
		if s.Sym == sym {
			return s.Value
		}
	}
	t.Fatalf("%s has no step %s", v.Calc, sym)
	return 0
}

// inputs reads "t=5 degC; p=0.25 MPa abs (…)" into numbers by name, with whatever unit is written left off.
func inputs(t *testing.T, text string) map[string]float64 {
	t.Helper()
	values := map[string]float64{}
	for part := range strings.SplitSeq(text, ";") {
		name, rest, _ := strings.Cut(strings.TrimSpace(part), "=")
		figure, _, _ := strings.Cut(rest, " ")
		values[name] = decimal(t, figure)
	}
	return values
}

func decimal(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatalf("%q is not a number", text)
	}
	return v
}

// halfUnit is half a unit of the last of the figures that want was printed to; printing dropped trailing zeros.
func halfUnit(want float64, figures int) float64 {
	return 0.5 * math.Pow(10, math.Floor(math.Log10(math.Abs(want)))-float64(figures-1))
}

// near fails unless got lies within tolerance of want, absolutely.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.17g, want %.17g (off by %.2g, allowed %.2g)", what, got, want, got-want, tolerance)
	}
}

// must fails the test on an error and gives the figure otherwise.
func must(t rapid.TB) func(v float64, err error) float64 {
	return func(v float64, err error) float64 {
		t.Helper()
		if err != nil {
			t.Fatalf("got error %q, want a figure", err)
		}
		return v
	}
}
