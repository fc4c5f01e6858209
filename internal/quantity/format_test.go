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
