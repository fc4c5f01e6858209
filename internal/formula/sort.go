package formula

import (
	"fmt"
	"math"

	"witnessmark/internal/quantity"
)

// sort is what is known of a value when a formula is compiled: what it measures and of which kind it is.
type sort struct {
	dim  quantity.Dimension
	kind quantity.Kind
	// weight counts temperature points: 1 for a temperature, 0 for a difference, 2 for a sum of two that is on its way
	// to a mean.
	weight  float64
	scale   string
	isConst bool
	value   float64 // where isConst, SI
	percent bool    // a literal in %
}

func (s sort) isPoint() bool { return s.weight != 0 }

func sortOf(u quantity.Unit) sort {
	s := sort{dim: u.Dimension(), kind: u.Kind(), scale: u.Scale()}
	if s.kind == quantity.TemperaturePoint {
		s.weight = 1
	}
	if s.kind == quantity.TemperaturePoint || s.kind == quantity.TemperatureDifference {
		s.kind = quantity.Plain // the weight says it
	}
	return s
}

// about names a sort for a message.
func (s sort) about() string {
	switch {
	case s.weight == 1:
		return "a temperature (°C)"
	case s.weight != 0:
		return "a sum of temperatures"
	case s.kind == quantity.GaugePressure:
		return "a gauge pressure"
	case s.kind == quantity.AbsolutePressure:
		return "an absolute pressure"
	case s.kind == quantity.Level:
		return "a level in " + s.scale
	case s.kind == quantity.Angle:
		return "an angle"
	case s.scale != "":
		return s.dim.Name() + ", " + s.scale
	}
	return s.dim.Name()
}

// plainPair is what sumSort and productSort say of two plain quantities, which most are; ok is false where they have to
// be asked.
func plainPair(a, b *sort, o op) (out sort, ok bool) {
	if a.kind != quantity.Plain || b.kind != quantity.Plain || a.weight != 0 || b.weight != 0 || a.scale != "" || b.scale != "" {
		return sort{}, false
	}
	switch o {
	case opAdd, opSub:
		return sort{dim: a.dim}, a.dim == b.dim && !b.percent
	case opMul:
		return sort{dim: a.dim.Mul(b.dim)}, true
	case opDiv:
		return sort{dim: a.dim.Div(b.dim)}, true
	default:
		return sort{}, false
	}
}

// sumSort says what a + b (or a − b) is; the message tells why there is no such thing.
func sumSort(a, b sort, minus bool) (sort, string) {
	out := sort{dim: a.dim}
	word := "added to"
	if minus {
		word = "subtracted from"
	}
	if a.dim != b.dim {
		switch {
		case b.percent:
			return out, "A percentage cannot be added here: write × 1.1 for 10 % more, × 0.9 for 10 % less."
		case a.dim.IsNumber() || b.dim.IsNumber():
			return out, fmt.Sprintf("One side is %s, the other %s: one has a unit, the other has none.", a.about(), b.about())
		}
		return out, fmt.Sprintf("%s cannot be %s %s.", capital(b.about()), word, a.about())
	}
	if b.percent && !a.percent && a.isConst {
		return out, "A percentage cannot be added here: write × 1.1 for 10 % more, × 0.9 for 10 % less."
	}
	if minus {
		out.weight = a.weight - b.weight
	} else {
		out.weight = a.weight + b.weight
	}
	if math.Abs(out.weight) < 1e-9 {
		out.weight = 0
	}
	if a.kind == quantity.Level || b.kind == quantity.Level {
		message := levelSum(&out, a, b, minus)
		return out, message
	}
	if message := sumKind(&out, a, b, minus); message != "" {
		return out, message
	}
	switch {
	case a.scale == b.scale || b.scale == "":
		out.scale = a.scale
	case a.scale == "":
		out.scale = b.scale
	case out.scale == "":
		return out, fmt.Sprintf("%s and %s are scales of their own and cannot be put together.", a.scale, b.scale)
	}
	return out, ""
}

// sumKind settles pressures and angles.
func sumKind(out *sort, a, b sort, minus bool) string {
	switch {
	case a.kind == b.kind && minus && (a.kind == quantity.GaugePressure || a.kind == quantity.AbsolutePressure):
		out.kind = quantity.Plain
	case a.kind == b.kind && a.kind == quantity.AbsolutePressure:
		return "Two absolute pressures cannot be added: one of them must be a difference."
	case a.kind == b.kind, b.kind == quantity.Plain:
		out.kind = a.kind
	case a.kind == quantity.Plain && minus && b.kind != quantity.Angle:
		return fmt.Sprintf("%s cannot be subtracted from %s.", capital(b.about()), a.about())
	case a.kind == quantity.Plain:
		out.kind = b.kind
	default:
		return "Gauge and absolute pressure cannot be put together: write absolute(p) or gauge(p) first."
	}
	return ""
}

// levelSum: dB may be added to and taken from any level; two levels in dBm or two pH values only differ.
func levelSum(out *sort, a, b sort, minus bool) string {
	out.kind = quantity.Level
	switch {
	case a.kind != b.kind:
		return "One side is a level, the other is none: levels go only with levels."
	case b.scale == "dB" && (a.scale == "dB" || a.scale == "dBm"):
		out.scale = a.scale
		return ""
	case a.scale == "dB" && b.scale == "dBm" && !minus:
		out.scale = "dBm"
		return ""
	case a.scale == b.scale && minus:
		if out.scale = "pH"; a.scale == "dBm" {
			out.scale = "dB"
		}
		return ""
	}
	return fmt.Sprintf("%s and %s cannot be put together: of such levels there is only a difference.", a.scale, b.scale)
}

// productSort says what a × b or a / b is.
func productSort(a, b sort, div bool) (sort, string) {
	out := sort{dim: a.dim.Mul(b.dim)}
	if div {
		out.dim = a.dim.Div(b.dim)
	}
	switch {
	case a.isPoint() && b.isConst && b.dim.IsNumber() && b.value != 0:
		out.weight = a.weight * b.value
		if div {
			out.weight = a.weight / b.value
		}
		return out, ""
	case b.isPoint() && !div && a.isConst && a.dim.IsNumber():
		out.weight = b.weight * a.value
		return out, ""
	case a.isPoint() || b.isPoint():
		return out, "A temperature in °C cannot be multiplied or divided: use a difference of two, or kelvin(t) for one counted from absolute zero."
	case div && b.kind == quantity.GaugePressure:
		return out, "Dividing by a gauge pressure is a slip: write absolute(p)."
	case a.kind == quantity.Level && a.scale != "dB" || b.kind == quantity.Level && (b.scale != "dB" || div):
		return out, "A level cannot be multiplied or divided."
	}
	keep := a // what keeps its kind when the other is a plain number
	if a.dim.IsNumber() && a.kind == quantity.Plain && a.scale == "" && !div {
		keep = b
	} else if !b.dim.IsNumber() || b.kind != quantity.Plain {
		return out, ""
	}
	out.kind, out.scale = keep.kind, keep.scale
	return out, ""
}

// powerSort says what a to the power of b is.
func powerSort(a, b sort) (sort, string) {
	switch {
	case a.isPoint():
		return sort{}, "A temperature in °C has no powers: use a difference, or kelvin(t)."
	case b.isPoint() || !b.dim.IsNumber():
		return sort{}, fmt.Sprintf("An exponent is a plain number; this is %s.", b.about())
	case a.dim.IsNumber():
		if b.isConst && math.Abs(b.value) > 9 && !a.isConst {
			return sort{}, "An exponent is at most 9 here."
		}
		return sort{}, ""
	case !b.isConst:
		return sort{}, fmt.Sprintf("%s can only be raised to a fixed number: divide it by a reference value first.", capital(a.about()))
	}
	var out sort
	for i, e := range a.dim {
		x := float64(float64(e) * b.value)
		r := math.Round(x)
		if math.Abs(x-r) > 1e-9 || math.Abs(r) > 60 || math.Abs(b.value) > 9 {
			return sort{}, fmt.Sprintf("%s has no such power: units would get broken exponents.", capital(a.about()))
		}
		out.dim[i] = int8(r)
	}
	return out, ""
}

// accept says why a value of sort s cannot stand where unit u is wanted; empty where it can.
func (s sort) accept(u quantity.Unit) string {
	want := sortOf(u)
	want.percent = false
	switch {
	case s.dim != want.dim:
		return fmt.Sprintf("This gives %s; asked is %s, which is %s.", s.about(), unitWord(u), want.about())
	case s.weight != 0 && math.Abs(s.weight-1) > 1e-9:
		return "This adds temperatures up without taking their mean: weights of temperatures must sum to 1."
	case math.Abs(s.weight-want.weight) > 1e-9 && s.weight != 0:
		return fmt.Sprintf("This gives a temperature; asked is a difference in %s. Use kelvin(t) for a temperature counted from absolute zero.", unitWord(u))
	case math.Abs(s.weight-want.weight) > 1e-9:
		return fmt.Sprintf("This gives a temperature difference; asked is a temperature in %s: ask for K, or add the difference to a temperature.", unitWord(u))
	case s.kind == quantity.Plain, s.kind == want.kind && s.scale == want.scale:
		if s.scale != "" && want.scale != "" && s.scale != want.scale {
			return fmt.Sprintf("This gives %s; asked is %s.", s.about(), want.about())
		}
		return ""
	case s.kind == want.kind, s.kind == quantity.Level, want.kind == quantity.Level, want.kind != quantity.Plain:
		return fmt.Sprintf("This gives %s; asked is %s.", s.about(), want.about())
	}
	return ""
}

func unitWord(u quantity.Unit) string {
	if u.String() == "" {
		return "a number without a unit"
	}
	return u.String()
}

func capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}
