package quantity_test

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/quantity"
)

// TestStored holds the rounding to 12 figures against Go's own printing and reading of floating-point numbers.
func TestStored(t *testing.T) {
	same := func(fail func(string, ...any), x float64) {
		want, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', 11, 64), 64)
		if got := quantity.Stored(x); err == nil && math.Float64bits(got) != math.Float64bits(want) && x != 0 {
			fail("Stored(%v) = %v, want %v", x, got, want)
		}
	}
	for _, x := range []float64{
		0.1 + 0.2, 1.0 / 3, 2.0 / 3, 999999999999.5, 9999999999995, 1e15, 123456789012345678, 1e22, 1e23, 5e-324, 2.2250738585072014e-308, math.MaxFloat64,
		-math.MaxFloat64, -0.1, 18.5, 1e-30, 0.30000000000049, 0.3000000000005,
	} {
		same(t.Errorf, x)
	}
	for _, x := range []float64{0, math.Inf(1), math.Inf(-1)} {
		if got := quantity.Stored(x); got != x {
			t.Errorf("Stored(%v) = %v", x, got)
		}
	}
	if got := quantity.Stored(math.NaN()); got == got {
		t.Errorf("Stored(NaN) = %v", got)
	}
	rapid.Check(t, func(t *rapid.T) { same(t.Fatalf, rapid.Float64().Draw(t, "x")) })
}

func BenchmarkStored(b *testing.B) {
	b.ReportAllocs()
	x := 15.792154399582222
	for b.Loop() {
		if quantity.Stored(x) != 15.7921543996 {
			b.Fatal(x)
		}
	}
}

// What is printed to so many figures reads back as what was meant, however small; worked by hand.
func TestFormatFigures(t *testing.T) {
	watt := quantity.MustUnit("W")
	for _, row := range []struct {
		value   float64
		figures int
		want    string
	}{
		{0, 3, "0.00"}, {12345.6, 3, "12\u2009300"}, {0.0002, 2, "0.00020"}, {1e-6, 2, "0.0000010"}, {-0.0000015, 2, "−0.0000015"},
		{9.8659e-8, 3, "9.87×10⁻⁸"}, {-9.8659e-8, 1, "−1×10⁻⁷"}, {9.9996e-7, 4, "1.000×10⁻⁶"}, {1.5e-10, 2, "1.5×10⁻¹⁰"}, {2.5e-160, 4, "2.500×10⁻¹⁶⁰"},
		{5e-324, 1, "5×10⁻³²⁴"},
	} {
		if got := quantity.FormatFigures(row.value, quantity.One, row.figures); got != row.want {
			t.Errorf("%v to %d figures: got %s, want %s", row.value, row.figures, got, row.want)
		}
	}
	if got, want := quantity.FormatFigures(2.5e-9, watt, 2), "2.5×10⁻⁹\u2009W"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(1e-29, 1e-3).Draw(t, "x")
		n, err := quantity.ParseNumber(quantity.FormatFigures(x, quantity.One, 6))
		if err != nil || math.Abs(n.Value()-x) > 5.1e-6*x {
			t.Fatalf("%v reads back as %v: %v", x, n.Value(), err)
		}
	})
}
