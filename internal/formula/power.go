package formula

import "math"

// Logarithms, powers and exponentials of this package's own: right to a unit in the last place, and the same bits on
// every machine. math's take up to three times as long, differ between machines in the last places, and multiply whole
// powers out, whose error grows with the exponent. What is rare is left to math: values that are not positive, next to
// nothing or beyond all bounds.
//
// A logarithm is found in two float64, with a table and a short series, and an exponential of two likewise (P. T. P. Tang's
// table-driven functions, ACM TOMS 15 and 16, 1989 and 1990).

// Power is a to the power of b as formulas work it, for functions that formulas call: the same bits on every machine.
func Power(a, b float64) float64 { return power(a, b) }

// Ln is the natural logarithm as formulas work it.
func Ln(a float64) float64 { return ln(a) }

// Log10 is the logarithm to base ten as formulas work it.
func Log10(a float64) float64 { return log10(a) }

// Exp is e to the power of a as formulas work it.
func Exp(a float64) float64 { return exp(a) }

// power is a to the power of b.
func power(a, b float64) float64 {
	if !normal(a) || !(b > -1e6 && b < 1e6) {
		return math.Pow(a, b)
	}
	log, low := logarithm(a)
	e := float64(b * log)
	if !(e > -mostExponent && e < mostExponent) {
		return math.Pow(a, b)
	}
	return exponential(e, math.FMA(b, log, -e)+float64(b*low))
}

// ln is the natural logarithm.
func ln(a float64) float64 {
	if !normal(a) {
		return math.Log(a)
	}
	log, _ := logarithm(a)
	return log
}

// log10 is the logarithm to base ten; unlike math.Log10 it keeps its digits near 1.
func log10(a float64) float64 {
	if !normal(a) {
		return math.Log10(a)
	}
	log, low := logarithm(a)
	v := float64(log * oneByLn10)
	return v + (math.FMA(log, oneByLn10, -v) + float64(low*oneByLn10) + float64(log*oneByLn10Low))
}

// exp is e to the power of a.
func exp(a float64) float64 {
	if !(a > -mostExponent && a < mostExponent) {
		return math.Exp(a)
	}
	return exponential(a, 0)
}

// mostExponent keeps exponentials normal.
const mostExponent = 700

// normal says that a is above 0, finite and with all its digits.
func normal(a float64) bool { return math.Float64bits(a)-1<<52 < 0x7fe<<52 }

// logarithm gives that of a normal number in two parts.
func logarithm(a float64) (log, low float64) {
	// a = z·2^k, z within a binade around 1 that is cut into 64 pieces, 1 in the middle of one.
	const least = 0x3ff<<52 - 1<<45 - 38<<46
	x := math.Float64bits(a)
	cut := x - least
	k := float64(int64(cut) >> 52)
	z := math.Float64frombits(x - cut&(0xfff<<52))
	piece := &logTable[cut>>46&63]

	// ln a = k·ln 2 + ln c + ln(1 + r), z = c·(1 + r), |r| < 2^-7
	r := math.FMA(z, piece.inverse, -1)
	whole := float64(k*ln2High) + piece.log
	high := whole + r
	low = float64(k*ln2Low) + piece.low + (whole - high + r)
	half := -0.5 * r
	square := float64(half * r)
	sum := high + square
	low += math.FMA(half, r, -square) + (high - sum + square)
	r2 := float64(r * r)
	r4 := float64(r2 * r2)
	first, second, third := 1.0/3-float64(r*0.25), 0.2-float64(r*(1.0/6)), 1.0/7-float64(r*0.125)
	low += float64(float64(r*r2) * (first + float64(r2*second) + float64(r4*(third+float64(r2*(1.0/9))))))
	log = sum + low
	return log, sum - log + low
}

// exponential is e to the power of a and a much smaller rest.
func exponential(a, rest float64) float64 {
	// a + rest = n·(ln 2)/64 + s, |s| < 2^-7
	const shift = 0x1.8p52 // adding it rounds to a whole number
	n := float64(a*(64/math.Ln2)) + shift
	i := math.Float64bits(n)
	n -= shift
	s := a - float64(n*ln2By64) - float64(n*ln2By64Low) + rest
	s2 := float64(s * s)
	t := &powerTable[i&63]
	first, second := 0.5+float64(s*(1.0/6)), 1.0/24+float64(s*(1.0/120))
	grown := t.low + s + float64(s2*first) + float64(float64(s2*s2)*(second+float64(s2*(1.0/720))))
	v := math.Float64frombits(math.Float64bits(t.value) + i>>6<<52)
	return v + float64(v*grown)
}
