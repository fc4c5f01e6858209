package quantity

import (
	"math"
	"math/big"
	"strconv"
)

// Limits of a typed number.
const (
	maxDigits     = 24
	maxNumberText = 64
	// MaxMagnitude is the largest absolute value that is taken; its inverse is the smallest besides 0.
	MaxMagnitude = 1e30
)

// Bound says whether a reading is exact or only known to lie on one side.
type Bound uint8

const (
	// Exactly is an ordinary number.
	Exactly Bound = iota
	// Above means more than the number: >200.
	Above
	// AtLeast means the number or more: ≥200.
	AtLeast
	// Below means less than the number: <0.5.
	Below
	// AtMost means the number or less: ≤0.5.
	AtMost
	// OverRange means that the instrument showed OL: there is no number. What it means depends on the test.
	OverRange
)

// String gives the sign as printed before the number.
func (b Bound) String() string {
	switch b {
	case Above:
		return ">"
	case AtLeast:
		return "≥"
	case Below:
		return "<"
	case AtMost:
		return "≤"
	case OverRange:
		return "OL"
	case Exactly:
		return ""
	}
	return ""
}

// Number is a number as stated: its value, its digits and, for a censored reading, its bound. The zero value is 0 with
// no digits. A Number is comparable and holds no pointers.
type Number struct {
	Bound Bound
	neg   bool
	// digits hold the coefficient, most significant first, without leading zeros: 0.0410 has "410".
	digits [maxDigits]byte
	n      uint8
	exp    int16  // value = coefficient × 10^exp / den
	den    uint32 // denominator of a fraction as 1/2; 0 means 1
	places int8   // decimals as written, before any power of ten
	point  bool   // a decimal point was written, so trailing zeros count
}

// Value gives the nearest float64. Censored readings give their bound; OL gives +Inf.
func (n Number) Value() float64 {
	if n.Bound == OverRange {
		return math.Inf(1)
	}
	v, ok := n.fast()
	if !ok {
		v, _ = n.Rat().Float64()
	}
	if n.neg && v != 0 { // a typed −0 is 0
		return -v
	}
	return v
}

// exactTens are the powers of ten that float64 holds exactly.
var exactTens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// fast gives the absolute value where one correctly rounded operation is enough.
func (n Number) fast() (float64, bool) {
	if n.n > 15 || n.den != 0 && n.exp != 0 || n.exp > 22 || n.exp < -22 {
		return 0, false
	}
	var c uint64
	for _, d := range n.digits[:n.n] {
		c = c*10 + uint64(d-'0')
	}
	switch {
	case n.den != 0:
		return float64(c) / float64(n.den), true
	case n.exp < 0:
		return float64(c) / exactTens[-n.exp], true
	case n.exp == 0:
		return float64(c), true
	}
	return float64(c) * exactTens[n.exp], true
}

// Rat gives the exact absolute value, without sign and bound.
func (n Number) Rat() *big.Rat {
	c := new(big.Int)
	if n.n > 0 {
		c.SetString(string(n.digits[:n.n]), 10)
	}
	r := new(big.Rat).SetInt(c)
	ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(n.exp, -n.exp))), nil)
	if n.exp >= 0 {
		r.Mul(r, new(big.Rat).SetInt(ten))
	} else {
		r.Quo(r, new(big.Rat).SetInt(ten))
	}
	if n.den > 1 {
		r.Quo(r, new(big.Rat).SetInt64(int64(n.den)))
	}
	return r
}

// Exact gives the exact value with its sign, without the bound.
func (n Number) Exact() *big.Rat {
	r := n.Rat()
	if n.neg {
		r.Neg(r)
	}
	return r
}

// Decimals counts the digits after the decimal point as written, before any power of ten.
func (n Number) Decimals() int { return int(n.places) }

// SignificantFigures gives the least and the most figures the number may be meant to have: they differ where an integer
// without a point ends in zeros (23400 has 3 to 5). Zero counts as one figure.
func (n Number) SignificantFigures() (least, most int) {
	most = max(int(n.n), 1)
	least = most
	if !n.point {
		for least > 1 && n.digits[least-1] == '0' {
			least--
		}
	}
	return least, most
}

// HalfUnit is half of the last stated digit's place, in the number's own unit: 0.05 for 12.4, 0.5 for 1250, 500 for
// 12e3. A fraction is exact and gives 0.
func (n Number) HalfUnit() float64 {
	if n.den != 0 || n.Bound == OverRange {
		return 0
	}
	if e := int(n.exp); e >= -22 && e < 0 {
		return 0.5 / exactTens[-e]
	} else if e >= 0 && e <= 22 {
		return 0.5 * exactTens[e]
	}
	return 0.5 * math.Pow(10, float64(n.exp))
}

// Negative reports whether a minus sign was typed before a value other than zero.
func (n Number) Negative() bool { return n.neg && n.n > 0 }

// IsFraction reports whether the number was typed as a fraction, which is exact.
func (n Number) IsFraction() bool { return n.den != 0 }

// Neg gives the number with the other sign.
func (n Number) Neg() Number {
	n.neg = !n.neg
	return n
}

// Canonical prints the number so that it reads back with the same digits: plain decimals with a point, e for a power of
// ten, a fraction as 1/2 or 1/2×10^3. It has no groups and no thin spaces.
func (n Number) Canonical() string {
	if n.Bound == OverRange {
		return OverRange.String()
	}
	return n.Bound.String() + n.unsigned(n.neg)
}

func (n Number) unsigned(neg bool) string {
	b := make([]byte, 0, 40)
	if neg {
		b = append(b, '-')
	}
	places := int(n.places)
	digits := n.digits[:n.n]
	if whole := len(digits) - places; whole > 0 {
		b = append(b, digits[:whole]...)
		digits = digits[whole:]
	} else {
		b = append(b, '0')
	}
	if n.point {
		b = append(b, '.')
		for range places - len(digits) {
			b = append(b, '0')
		}
		b = append(b, digits...)
	}
	power := int(n.exp) + places
	if n.den != 0 {
		b = append(b, '/')
		b = strconv.AppendUint(b, uint64(n.den), 10)
		if power != 0 { // behind a fraction an e would belong to its lower number
			b = append(b, "×10^"...)
			b = strconv.AppendInt(b, int64(power), 10)
		}
	} else if power != 0 {
		b = append(b, 'e')
		b = strconv.AppendInt(b, int64(power), 10)
	}
	return string(b)
}
