package formula_test

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/formula"
)

// TestPowerTables works the tables out again.
func TestPowerTables(t *testing.T) {
	ln2 := bigLn(large(2))
	for i, e := range formula.LogTable() {
		off := minus(plus(large(e[1]), large(e[2])), exactly().Neg(bigLn(large(e[0]))))
		if math.Abs(small(off)) > 0x1p-95 || e[1] != math.Round(e[1]*0x1p42)/0x1p42 {
			t.Errorf("entry %d: the logarithm of 1/%v is off by %g", i, e[0], small(off))
		}
	}
	for i, e := range formula.PowerTable() {
		want := bigExp(times(ln2, large(float64(i)/64)))
		off := minus(over(want, large(e[0])), plus(large(1), large(e[1])))
		if math.Abs(small(off)) > 0x1p-104 || e[0] != small(want) {
			t.Errorf("entry %d: 2^(%d/64) is off by %g", i, i, small(off))
		}
	}
}

// TestPower: within a unit in the last place of the exact power, for whatever a brief may hold.
func TestPower(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.OneOf(rapid.Float64Range(0.9, 1.1), rapid.Float64Range(0.01, 100), rapid.Float64Range(1e-30, 1e30)).Draw(t, "a")
		b := rapid.OneOf(rapid.Float64Range(-3, 3), rapid.Float64Range(-9, 9), rapid.SampledFrom([]float64{0.9, 1.31, 1.852, 4.87, -1, 3, 1.0 / 3})).Draw(t, "b")
		want := bigExp(times(large(b), bigLn(large(a))))
		got := formula.Power(a, b)
		if v := small(want); v < 1e-290 || v > 1e290 {
			return
		}
		unit := math.Nextafter(got, math.Inf(1)) - got
		if off := math.Abs(small(minus(large(got), want))) / unit; off > 1 {
			t.Fatalf("%v to the power of %v = %v, off by %v units", a, b, got, off)
		}
	})
}

// TestLogarithms: ln, log10 and exp are as near, close to 1 and close to 0 as well.
func TestLogarithms(t *testing.T) {
	ln10 := bigLn(large(10))
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.OneOf(rapid.Float64Range(0.98, 1.02), rapid.Float64Range(0.01, 100), rapid.Float64Range(1e-300, 1e300)).Draw(t, "a")
		b := rapid.OneOf(rapid.Float64Range(-1e-6, 1e-6), rapid.Float64Range(-5, 5), rapid.Float64Range(-690, 690)).Draw(t, "b")
		for _, c := range []struct {
			name string
			at   float64
			got  float64
			want *big.Float
		}{
			{"ln", a, formula.Ln(a), bigLn(large(a))}, {"log10", a, formula.Log10(a), over(bigLn(large(a)), ln10)}, {"exp", b, formula.Exp(b), bigExp(large(b))},
		} {
			unit := math.Nextafter(math.Abs(c.got), math.Inf(1)) - math.Abs(c.got)
			if off := math.Abs(small(minus(large(c.got), c.want))) / unit; off > 1 {
				t.Fatalf("%s %v = %v, off by %v units", c.name, c.at, c.got, off)
			}
		}
	})
	for k := -30; k <= 30; k++ {
		if got := formula.Log10(math.Pow10(k)); got != float64(k) {
			t.Errorf("log10 of 10^%d is %v", k, got)
		}
	}
	for _, x := range []float64{0, -1, 5e-324, 1e-310, math.Inf(1), math.Inf(-1), math.NaN(), 710, -750} {
		for _, f := range [][2]float64{{formula.Ln(x), math.Log(x)}, {formula.Log10(x), math.Log10(x)}, {formula.Exp(x), math.Exp(x)}} {
			if f[0] != f[1] && !(math.IsNaN(f[0]) && math.IsNaN(f[1])) && !(math.Abs(f[0]-f[1]) < 1e-13*math.Abs(f[1])) {
				t.Errorf("at %v: %v, math gives %v", x, f[0], f[1])
			}
		}
	}
}

// TestPowerCorners: what is exact comes out exact, and corners are those of math.Pow.
func TestPowerCorners(t *testing.T) {
	for _, c := range [][3]float64{{10, 3, 1000}, {10, -2, 0.01}, {2, 100, 0x1p100}, {4, 0.5, 2}, {27, 1.0 / 3, 3}, {1, 1e5, 1}, {7, 0, 1}, {1.5, 1, 1.5}, {0.1, 1, 0.1}, {-2, 3, -8}} {
		if got := formula.Power(c[0], c[1]); got != c[2] {
			t.Errorf("%v to the power of %v = %v, want %v", c[0], c[1], got, c[2])
		}
	}
	corners := []float64{0, math.Copysign(0, -1), 1, -1, 5e-324, 1e-310, math.MaxFloat64, math.Inf(1), math.Inf(-1), math.NaN(), 0.5, -3, 1e7, -1e7, 1024, -1075}
	for _, a := range corners {
		for _, b := range corners {
			got, want := formula.Power(a, b), math.Pow(a, b)
			if math.Float64bits(got) != math.Float64bits(want) && !(math.IsNaN(got) && math.IsNaN(want)) && math.Abs(got-want) > 1e-13*math.Abs(want) {
				t.Errorf("%v to the power of %v = %v, math.Pow gives %v", a, b, got, want)
			}
		}
	}
}

// TestPowerOnEveryMachine: these bits are the same wherever it runs.
func TestPowerOnEveryMachine(t *testing.T) {
	sum := new(big.Int)
	for i := range 2000 {
		a, b := 0.01+float64(float64(i)*0.0173), -4+float64(float64(i)*0.0041)
		sum.Add(sum, new(big.Int).SetUint64(math.Float64bits(formula.Power(a, b))))
	}
	if got, want := sum.String(), "9243684606869797151301"; got != want {
		t.Errorf("the bits of 2000 powers sum to %s, want %s", got, want)
	}
}
