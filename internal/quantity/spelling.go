package quantity

import "strings"

// wholeUnit looks for a single atom and for the trade's own spellings.
func wholeUnit(s string) (Unit, bool) {
	if e, ok := lookup[s]; ok {
		return e, true
	}
	s = strings.Join(strings.Fields(s), " ")
	if e, ok := lookup[s]; ok {
		return e, true
	}
	if u, ok := pressureKind(s); ok {
		return u, true
	}
	if w, ok := wholeSpellings[plainSpelling(s)]; ok {
		p := unitParser{s: w} // the grammar alone: looking for spellings again might never end
		if err := p.compound(1, 0); err == nil && p.pos == len(w) {
			return p.unit(), true
		}
	}
	return One, false
}

// plainSpelling writes exponents as plain digits and any degree as K, and leaves out the dot before it: W/m²·K means
// what W/m²K means, although the grammar would divide by m² alone.
func plainSpelling(s string) string {
	return plainReplacer.Replace(s)
}

var plainReplacer = strings.NewReplacer("²", "2", "³", "3", "^", "", "·°C", "K", ".°C", "K", "°C", "K", "degC", "K", "·K", "K", ".K", "K")

// pressureKind reads bar(g), barg, bar g, bar gauge, psia, kPa(a), bar abs.
func pressureKind(s string) (Unit, bool) {
	for _, k := range pressureSuffixes {
		base, ok := strings.CutSuffix(s, k.suffix)
		if !ok {
			continue
		}
		u, ok := lookup[strings.TrimSpace(base)]
		if !ok || u.dim != dimPressure || u.kind != Plain {
			continue
		}
		u.kind, u.symbol = k.kind, u.symbol+k.printed
		return u, true
	}
	return One, false
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
