package marking

import (
	"math"
	"strings"

	"witnessmark/internal/quantity"
)

// slack is the relative margin that makes float64 agree with exact arithmetic at an inclusive boundary (policy 4).
const slack = 1e-9

// stored is x as a result holds it: 12 significant digits, never minus zero; nil where it is not a finite number.
func stored(x float64) *float64 {
	if !finite(x) {
		return nil
	}
	y := quantity.Stored(x)
	if y == 0 {
		y = 0 // takes a minus sign off
	}
	return &y
}

// finite reports whether x can be compared at all.
func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// show is x as a sentence says it: five significant digits, or all before the point, without trailing zeros after it.
func show(x float64) string { return trimmed(x, 5) }

func trimmed(x float64, figures int) string {
	s := quantity.FormatFigures(x, quantity.One, figures)
	if math.Abs(x) >= math.Pow10(figures) {
		s = quantity.Format(x, quantity.One, 0)
	}
	return withoutZeros(s)
}

// withoutZeros takes the zeros off behind the point that say nothing.
func withoutZeros(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// shorter is x to three significant digits, for differences.
func shorter(x float64) string { return trimmed(x, 3) }

// withUnit is "12.4 kW", or the number alone for a plain number. A thin space stands between them.
func withUnit(x float64, unit string) string { return joined(show(x), unit) }

// joined puts a unit behind a number's text.
func joined(number, unit string) string {
	if unit == "" || number == "" {
		return number
	}
	return number + "\u2009" + unit
}

// near reports whether two numbers are the same but for the last bits of arithmetic.
func near(a, b float64) bool { return math.Abs(a-b) <= slack*math.Max(math.Abs(a), math.Abs(b)) }
