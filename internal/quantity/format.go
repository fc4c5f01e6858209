package quantity

import (
	"math"
	"strconv"
	"strings"
)

// storedFigures is how many significant figures of a computed value count; beyond them machines may differ.
const storedFigures = 12

// Stored rounds a computed value to 12 significant figures, as it is stored and compared, so that the same figures come
// out on every machine.
func Stored(x float64) float64 {
	if x == 0 || x-x != 0 {
		return x
	}
	var room [32]byte
	text := strconv.AppendFloat(room[:0], math.Abs(x), 'e', storedFigures-1, 64) // d.ddde±dd
	exp, err := strconv.Atoi(string(text[storedFigures+2:]))
	if err != nil {
		return x // not reached: AppendFloat wrote it
	}
	n := Number{n: storedFigures, neg: x < 0, exp: int16(exp - storedFigures + 1)}
	n.digits[0] = text[0]
	copy(n.digits[1:], text[2:storedFigures+1])
	return n.Value()
}

// Format prints a value in unit u with so many decimals, rounded half away from zero on its decimal figures, with a thin
// space before the unit and between thousands from 10 000 up: 12 500 W.
func Format(value float64, u Unit, decimals int) string {
	return withUnit(groupThousands(RoundDecimals(value, decimals)), u)
}

// FormatFigures prints a value in unit u to so many significant figures; below a millionth with a power of ten, as in
// 9.87×10⁻⁸, since nobody counts that many zeros.
func FormatFigures(value float64, u Unit, figures int) string {
	if value != 0 && math.Abs(value) < 1e-6 {
		return withUnit(smallFigures(value, figures), u)
	}
	return withUnit(groupThousands(RoundFigures(value, figures)), u)
}

func withUnit(number string, u Unit) string {
	if u.symbol == "" {
		return number
	}
	return number + thin + u.symbol
}

// RoundDecimals gives plain decimal text with so many digits after the point (0 to 12), rounded half away from zero on
// the value's 12 significant figures: 1.005 to two decimals is 1.01. Zero has no sign.
func RoundDecimals(value float64, decimals int) string {
	digits, exp, neg, ok := decimal(value)
	if !ok {
		return strconv.FormatFloat(value, 'f', -1, 64)
	}
	decimals = min(max(decimals, 0), storedFigures)
	digits, exp = roundAt(digits, exp, exp+decimals)
	return plain(digits, exp, decimals, neg)
}

// RoundFigures gives plain decimal text with so many significant figures (1 to 12), rounded half away from zero.
func RoundFigures(value float64, figures int) string {
	digits, exp, neg, ok := decimal(value)
	if !ok {
		return strconv.FormatFloat(value, 'f', -1, 64)
	}
	figures = min(max(figures, 1), storedFigures)
	if strings.Trim(digits, "0") == "" {
		return plain("0", 1, figures-1, false)
	}
	digits, exp = roundAt(digits, exp, figures)
	return plain(digits, exp, max(figures-exp, 0), neg)
}

// smallFigures is RoundFigures with one digit before the point and a negative power of ten.
func smallFigures(value float64, figures int) string {
	digits, exp, neg, _ := decimal(value) // which is finite
	figures = min(max(figures, 1), storedFigures)
	digits, exp = roundAt(digits, exp, figures)
	return plain(digits, 1, figures-1, neg) + "×10⁻" + raised(1-exp)
}

// decimal gives the 12 figures of a value: 0.d1d2d3… × 10^exp.
func decimal(value float64) (digits string, exp int, neg, ok bool) {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return "", 0, false, false
	}
	s := strconv.FormatFloat(math.Abs(value), 'e', storedFigures-1, 64)
	mantissa, power, _ := strings.Cut(s, "e")
	e, err := strconv.Atoi(power)
	if err != nil {
		return "", 0, false, false
	}
	return mantissa[:1] + mantissa[2:], e + 1, value < 0, true
}

// roundAt keeps n of the digits (n may be zero or negative), half away from zero.
func roundAt(digits string, exp, n int) (string, int) {
	switch {
	case n < 0:
		return "0", exp
	case n >= len(digits):
		return digits, exp
	}
	up := digits[n] >= '5'
	kept := []byte(digits[:n])
	if !up {
		return string(kept), exp
	}
	for i := n - 1; i >= 0; i-- {
		if kept[i] < '9' {
			kept[i]++
			return string(kept), exp
		}
		kept[i] = '0'
	}
	return "1" + string(kept), exp + 1
}

// plain writes 0.digits × 10^exp with so many decimals.
func plain(digits string, exp, decimals int, neg bool) string {
	at := func(place int) byte { // place 0 is the first digit after the virtual point before digits
		if place < 0 || place >= len(digits) {
			return '0'
		}
		return digits[place]
	}
	var b []byte
	for i := range max(exp, 1) {
		b = append(b, at(i-max(exp, 1)+exp))
	}
	if decimals > 0 {
		b = append(b, '.')
		for i := range decimals {
			b = append(b, at(exp+i))
		}
	}
	s := strings.TrimLeft(string(b), "0")
	if s == "" || s[0] == '.' {
		s = "0" + s
	}
	if neg && strings.Trim(s, "0.") != "" {
		return "−" + s
	}
	return s
}

// groupThousands sets thin spaces between groups of three from five digits up.
func groupThousands(s string) string {
	sign := ""
	if strings.HasPrefix(s, "−") {
		sign, s = "−", strings.TrimPrefix(s, "−")
	}
	whole, frac, ok := strings.Cut(s, ".")
	if len(whole) >= 5 {
		var b strings.Builder
		for i := range len(whole) {
			if i > 0 && (len(whole)-i)%3 == 0 {
				b.WriteString(thin)
			}
			b.WriteByte(whole[i])
		}
		whole = b.String()
	}
	if ok {
		return sign + whole + "." + frac
	}
	return sign + whole
}
