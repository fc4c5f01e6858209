package uncertainty

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// row is one line of a file of check values.
type row struct {
	quantity, inputs string
	value            float64
	text             string // the value as the file has it
}

// rows reads testdata/check.csv, whose sources stand in testdata/README.md.
func rows(t testing.TB) []row {
	t.Helper()
	f, err := os.Open("testdata/check.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	}()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []row
	for _, l := range lines[1:] {
		v, err := strconv.ParseFloat(l[2], 64)
		if err != nil {
			t.Fatalf("%v: %v", l, err)
		}
		out = append(out, row{l[0], l[1], v, l[2]})
	}
	return out
}

// want is the value of the row called quantity.
func want(t testing.TB, quantity string) row {
	t.Helper()
	for _, r := range rows(t) {
		if r.quantity == quantity {
			return r
		}
	}
	t.Fatalf("there is no check value %q", quantity)
	return row{}
}

// same compares to the digits that a check value is stated with.
func same(t testing.TB, name string, got float64, want row) {
	t.Helper()
	mantissa, exponent, _ := strings.Cut(want.text, "e")
	_, decimals, _ := strings.Cut(mantissa, ".")
	e := 0
	if exponent != "" {
		var err error
		if e, err = strconv.Atoi(exponent); err != nil {
			t.Fatal(err)
		}
	}
	if half := 0.5001 * math.Pow10(e-len(decimals)); !(math.Abs(got-want.value) <= half) {
		t.Errorf("%s: got %.12g, want %s", name, got, want.text)
	}
}

func near(t testing.TB, name string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.12g, want %.12g within %g", name, got, want, within)
	}
}

func TestLines(t *testing.T) {
	same(t, "rectangle", Rectangular(1).U, want(t, "rectangular divisor"))
	same(t, "resolution", Resolution(1).U, want(t, "resolution d=1 -> u"))
	same(t, "triangle", Triangular(1).U, want(t, "triangular divisor"))
	near(t, "certificate", Certificate(0.3, 2).U, 0.15, 1e-15)
	near(t, "a bound has no sign", Rectangular(-1).U, Rectangular(1).U, 0)
	for _, l := range []Line{Rectangular(0.7), Triangular(0.7)} {
		if a, ok := l.Bound(); !ok || math.Abs(a-0.7) > 1e-15 {
			t.Errorf("the bound of %+v: got %v %v", l, a, ok)
		}
	}
	if _, ok := Certificate(1, 2).Bound(); ok {
		t.Error("a certificate's line has no bound")
	}
}

func TestRepeats(t *testing.T) {
	for _, c := range []struct {
		name    string
		xs      []float64
		mean, u float64
		dof     float64
	}{
		{"one says nothing of its spread", []float64{4.2}, 4.2, 0, 0},
		{"two", []float64{1, 3}, 2, 1, 1},
		{"all alike", []float64{7, 7, 7}, 7, 0, 2},
		// The differences are what the digits hold, far behind the point: as in NIST's univariate sets (StRD, NumAcc4).
		{"late digits", []float64{10000000.2, 10000000.1, 10000000.3, 10000000.2}, 10000000.2, 0.0408248290464, 3},
	} {
		mean, l := Repeats(c.xs)
		near(t, c.name+": mean", mean, c.mean, 1e-8)
		near(t, c.name+": u", l.U, c.u, 1e-8)
		if l.DoF != c.dof {
			t.Errorf("%s: degrees of freedom: got %v, want %v", c.name, l.DoF, c.dof)
		}
	}
}
