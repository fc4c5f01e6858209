package quantity

import (
	"fmt"
	"math/big"
	"strings"
)

// Kind tells apart units that share a dimension and still must not be converted into one another.
type Kind uint8

const (
	// Plain is every unit that is only a factor.
	Plain Kind = iota
	// TemperaturePoint is a place on a temperature scale: °C, °F, K(abs).
	TemperaturePoint
	// TemperatureDifference is a step between two temperatures: K.
	TemperatureDifference
	// GaugePressure is measured from the air around: bar(g).
	GaugePressure
	// AbsolutePressure is measured from vacuum: bar(a).
	AbsolutePressure
	// Level is logarithmic (dB, dBm, pH): it may be added and subtracted, never scaled.
	Level
	// Angle is a ratio with a name: radian and degree.
	Angle
)

// String gives the kind in words.
func (k Kind) String() string {
	switch k {
	case TemperaturePoint:
		return "temperature"
	case TemperatureDifference:
		return "temperature difference"
	case GaugePressure:
		return "gauge pressure"
	case AbsolutePressure:
		return "absolute pressure"
	case Level:
		return "level"
	case Angle:
		return "angle"
	case Plain:
		return "quantity"
	}
	return "quantity"
}

// Unit is a unit of measurement. The zero value is the plain number 1, printed as nothing. A Unit is immutable and may
// be copied and shared; compare with Equal.
type Unit struct {
	symbol string
	id     uint16 // counts the units of the table with their prefixes; 0 for all others
	dim    Dimension
	kind   Kind
	scale  string // units of different scales never convert, e.g. net and gross, dB and dBm
	// measures tells units of one dimension apart that answer different questions, e.g. Nm and J; "" goes with any.
	measures string
	factor   rat     // exact; nil means 1
	offset   rat     // exact, SI; nil means 0
	f, o     float64 // factor and offset rounded once; f is 0 for the zero value
}

// rat is an exact fraction that nobody changes after it was made.
type rat = *big.Rat

// One is the unit of plain numbers.
var One = Unit{}

func newUnit(symbol string, dim Dimension, kind Kind, scale string, factor, offset rat) Unit {
	u := Unit{symbol: symbol, dim: dim, kind: kind, scale: scale, factor: factor, offset: offset}
	u.f, _ = factor.Float64()
	if offset != nil {
		u.o, _ = offset.Float64()
	}
	return u
}

// String gives the symbol as printed, for example kJ/(kg·K); ParseUnit reads it back.
func (u Unit) String() string { return u.symbol }

// Inline gives the symbol in a form that may follow a number directly: h⁻¹ for 1/h, and otherwise the symbol.
func (u Unit) Inline() string {
	den, ok := strings.CutPrefix(u.symbol, "1/")
	if !ok {
		return u.symbol
	}
	parts := strings.Split(strings.Trim(den, "()"), "·")
	for i, p := range parts {
		n := strings.TrimRight(p, strings.Join(superscripts[:], ""))
		exp := strings.TrimPrefix(p, n)
		if exp == "" {
			exp = superscripts[1]
		}
		parts[i] = n + "⁻" + exp
	}
	return strings.Join(parts, "·")
}

// Dimension gives the exponents of the SI base units.
func (u Unit) Dimension() Dimension { return u.dim }

// Kind gives the kind of the unit.
func (u Unit) Kind() Kind { return u.kind }

// Scale names a scale of its own, such as dBm, pH, net or gross; it is empty for most units.
func (u Unit) Scale() string { return u.scale }

// Factor gives the exact number of SI base units in one of u, leaving the offset of a temperature scale aside. For an
// angle in degrees it carries π to 33 digits.
func (u Unit) Factor() *big.Rat {
	if u.factor == nil {
		return big.NewRat(1, 1)
	}
	return new(big.Rat).Set(u.factor)
}

// Equal reports whether both are printed alike and mean the same.
func (u Unit) Equal(o Unit) bool {
	return u.symbol == o.symbol && u.dim == o.dim && u.kind == o.kind && u.scale == o.scale && u.Factor().Cmp(o.Factor()) == 0
}

// ToSI converts a value in u to SI base units; a temperature point to kelvin.
func (u Unit) ToSI(x float64) float64 {
	x = float64(x) // a product that the caller hands over is rounded before anything is added: no machine fuses the two
	if u.f == 0 || u.f == 1 {
		return x + u.o
	}
	return float64(x*u.f) + u.o
}

// FromSI converts a value in SI base units (a temperature point in kelvin) to u.
func (u Unit) FromSI(x float64) float64 {
	x = float64(x) // as in ToSI
	if u.f == 0 || u.f == 1 {
		return x - u.o
	}
	return (x - u.o) / u.f
}

// Difference gives the unit of a difference of two values in u: K for °C, Δ°F for °F, the plain pressure for a gauge or
// absolute one, dB for dBm. Other units are their own.
func (u Unit) Difference() Unit {
	switch u.kind {
	case TemperaturePoint:
		if u.symbol == "°F" {
			return lookup["Δ°F"]
		}
		return lookup["K"]
	case GaugePressure, AbsolutePressure:
		v := u
		v.id, v.kind, v.symbol = 0, Plain, u.symbol[:len(u.symbol)-len("(g)")]
		return v
	case Level:
		if u.scale == "dBm" {
			return lookup["dB"]
		}
		return u
	case Plain, TemperatureDifference, Angle:
		return u
	}
	return u
}

// SIUnit gives the SI base unit of a dimension, with kind TemperatureDifference for a lone kelvin.
func SIUnit(d Dimension) Unit {
	kind := Plain
	if d == dimTemperature {
		kind = TemperatureDifference
	}
	return newUnit(d.String(), d, kind, "", one, nil)
}

var one = big.NewRat(1, 1)

// CheckConvertible says why a value in u cannot be given in v: ErrDimension or ErrKind, with both units named; nil where
// it can. A plain pressure, one not stated as gauge or absolute, converts to either. Where both units say what they
// measure it must be the same: N·m is no J, kVA no kW, Hz no rpm; a compound such as N·m or V·A goes with any.
func CheckConvertible(u, v Unit) error {
	switch {
	case u.dim != v.dim:
		return &Error{Text: u.symbol, Reason: ErrDimension, Message: fmt.Sprintf(
			"%s is %s, %s is %s: one does not convert into the other.", shown(u), u.dim.Name(), shown(v), v.dim.Name())}
	case u.scale != v.scale:
		return &Error{Text: u.symbol, Reason: ErrKind, Message: fmt.Sprintf(
			"%s and %s are scales of their own: one does not convert into the other.", shown(u), shown(v))}
	case u.measures != "" && v.measures != "" && u.measures != v.measures:
		return &Error{Text: u.symbol, Reason: ErrKind, Message: fmt.Sprintf(
			"%s is %s, %s is %s: one does not stand for the other.", u.symbol, u.measures, v.symbol, v.measures)}
	case u.kind == v.kind, u.dim == dimTemperature && u.kind != TemperaturePoint && v.kind != TemperaturePoint, u.dim == dimPressure && (u.kind == Plain || v.kind == Plain):
		return nil
	case u.dim == dimNumber && (u.kind == Plain || v.kind == Plain) && u.kind != Level && v.kind != Level:
		return nil // a plain number stands for radian
	}
	return &Error{Text: u.symbol, Reason: ErrKind, Message: fmt.Sprintf(
		"%s is a %s, %s is a %s: one does not convert into the other.", shown(u), u.kind, shown(v), v.kind)}
}

func shown(u Unit) string {
	if u.symbol == "" {
		return "a plain number"
	}
	return u.symbol
}

// Convert gives x, stated in u, in v. The factor between the two is taken exactly and rounded once.
func Convert(x float64, u, v Unit) (float64, error) {
	if err := CheckConvertible(u, v); err != nil {
		return 0, err
	}
	if u.symbol == v.symbol {
		return x, nil
	}
	ratio := new(big.Rat).Quo(u.Factor(), v.Factor())
	f, _ := ratio.Float64()
	if u.offset == nil && v.offset == nil {
		return scaleExact(x, f, ratio), nil
	}
	shift := new(big.Rat)
	if u.offset != nil {
		shift.Add(shift, u.offset)
	}
	if v.offset != nil {
		shift.Sub(shift, v.offset)
	}
	s, _ := shift.Quo(shift, v.Factor()).Float64()
	return float64(x*f) + s, nil
}

// scaleExact divides by a whole number rather than multiply by its rounded inverse, so that 1500 W is 1.5 kW.
func scaleExact(x, f float64, ratio rat) float64 {
	if f < 1 && ratio.Num().IsInt64() && ratio.Denom().IsInt64() {
		n, d := float64(ratio.Num().Int64()), float64(ratio.Denom().Int64())
		if ratio.Num().BitLen() <= 53 && ratio.Denom().BitLen() <= 53 {
			return float64(x*n) / d
		}
	}
	return x * f
}
