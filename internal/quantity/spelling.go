package quantity

import "strings"

// wholeUnit looks for a single atom and for the trade's own spellings.
func wholeUnit(s string) (Unit, bool) {
	if u, ok := lookup[s]; ok {
		return u, true
	}
	if strings.Contains(s, thin) || strings.Contains(s, "  ") {
		s = strings.Join(strings.Fields(s), " ")
		if u, ok := lookup[s]; ok {
			return u, true
		}
	}
	if u, ok := pressureKind(s); ok {
		return u, true
	}
	var room [maxUnitText]byte
	u, ok := spelled[string(appendPlain(room[:0], s))]
	return u, ok
}

// spelled holds wholeSpellings, read by the grammar alone.
var spelled = buildSpelled(wholeSpellings)

func buildSpelled(spellings map[string]string) map[string]Unit {
	us := make(map[string]Unit, len(spellings))
	for spelling, text := range spellings {
		p := unitParser{s: text}
		if err := p.all(); err != nil {
			panic("quantity: the list of spellings holds a unit that cannot be read: " + text)
		}
		us[spelling] = p.unit()
	}
	return us
}

// appendPlain appends s with exponents as plain digits and any degree as K, and without the dot before it: W/m²·K means
// what W/m²K means, although the grammar would divide by m² alone.
func appendPlain(dst []byte, s string) []byte {
next:
	for len(s) > 0 {
		for _, r := range plainSpellings {
			if rest, ok := strings.CutPrefix(s, r.typed); ok {
				dst, s = append(dst, r.plain...), rest
				continue next
			}
		}
		dst, s = append(dst, s[0]), s[1:]
	}
	return dst
}

// plainSpellings are tried in order.
var plainSpellings = []struct{ typed, plain string }{
	{"²", "2"}, {"³", "3"}, {"^", ""}, {"·°C", "K"}, {".°C", "K"}, {"°C", "K"}, {"degC", "K"}, {"·K", "K"}, {".K", "K"},
}

// pressureKind reads bar(g), barg, bar g, bar gauge, psia, kPa(a), bar abs.
func pressureKind(s string) (Unit, bool) {
	for _, k := range pressureSuffixes {
		base, ok := strings.CutSuffix(s, k.suffix)
		if !ok {
			continue
		}
		if u, ok := pressures[pressureKey{lookup[strings.TrimSpace(base)].id, k.kind}]; ok {
			return u, true
		}
	}
	return One, false
}

// pressureKey names a pressure of the table as a gauge or absolute one.
type pressureKey struct {
	id   uint16
	kind Kind
}

var pressures = buildPressures(lookup)

func buildPressures(table map[string]Unit) map[pressureKey]Unit {
	us := map[pressureKey]Unit{}
	for _, plain := range table {
		if plain.dim != dimPressure || plain.kind != Plain {
			continue
		}
		for _, k := range pressureSuffixes {
			u := plain
			u.id, u.kind, u.symbol = 0, k.kind, plain.symbol+k.printed
			us[pressureKey{plain.id, k.kind}] = u
		}
	}
	return us
}

var pressureSuffixes = []struct {
	suffix, printed string
	kind            Kind
}{
	{"(gauge)", "(g)", GaugePressure}, {"gauge", "(g)", GaugePressure}, {"(g)", "(g)", GaugePressure}, {"g", "(g)", GaugePressure},
	{"(abs)", "(a)", AbsolutePressure}, {"abs", "(a)", AbsolutePressure}, {"(a)", "(a)", AbsolutePressure}, {"a", "(a)", AbsolutePressure},
}

// cutScale takes off "net" or "gross": the two conventions of heat input and efficiency, which do not convert.
func cutScale(s string) (base, scale string, ok bool) {
	for _, scale := range []string{"net", "gross"} {
		for _, suffix := range []string{" " + scale, "(" + scale + ")"} {
			if base, ok := strings.CutSuffix(s, suffix); ok {
				return strings.TrimSpace(base), scale, true
			}
		}
	}
	return "", "", false
}
