//go:build oracle

package oracle_test

import (
	"strings"

	"witnessmark/internal/quantity"
)

// notation says how an oracle writes units.
type notation struct {
	atoms        map[string]string // by our own symbols
	times, power string            // between two units, and before an exponent
}

// ucumNotation writes UCUM's codes, as the table has them.
func ucumNotation() notation {
	n := notation{map[string]string{}, ".", ""}
	for _, row := range quantity.Table() {
		n.atoms[row.Unit.String()] = row.UCUM
		if strings.ContainsAny(row.UCUM, "./") {
			n.atoms[row.Unit.String()] = "(" + row.UCUM + ")"
		}
	}
	return n
}

// gnuNotation writes the names of GNU units.
func gnuNotation() notation {
	n := notation{map[string]string{}, " ", "^"}
	base := ""
	for _, row := range quantity.Table() { // a unit with a prefix stands behind the one without
		symbol := row.Unit.String()
		prefix, ok := strings.CutSuffix(symbol, base)
		if !ok || !strings.Contains("GMkhdcmμnp", prefix) {
			prefix, base = "", symbol
		}
		name, ok := gnuNames[base]
		if !ok {
			name = base
		}
		n.atoms[symbol] = strings.Replace(prefix, "μ", "u", 1) + name
		if strings.Contains(name, " ") {
			n.atoms[symbol] = "(" + n.atoms[symbol] + ")"
		}
	}
	return n
}

// gnuNames are GNU units' names where they are not ours.
var gnuNames = map[string]string{
	"t": "tonne", "h": "hour", "d": "day", "L": "liter", "Ω": "ohm", "Wh": "W hour", "VA": "V A", "var": "V A", "Ah": "A hour",
	"C": "coulomb", "F": "farad", "H": "henry", "S": "siemens", "T": "tesla", "V": "volt", "A": "ampere", "W": "watt", "J": "joule", "N": "newton",
	"rad": "radian", "°": "degree", "%": "percent", "‰": "0.001", "ppm": "ppm", "in": "inch", "gal": "brgallon", "USgal": "usgallon", "pt": "brpint",
	"mH2O": "m water", "cmH2O": "cm water", "mmH2O": "mmH2O", "inH2O": "inch water", "Btu": "btu", "therm": "ECtherm", "cal": "cal_IT",
	"hp": "hp", "PS": "metrichorsepower", "Nm": "N m", "cP": "cP", "cSt": "cSt", "Δ°F": "degF", "K(abs)": "K", "°C": "tempC(x)", "°F": "tempF(x)",
}

// write gives a unit in the notation, "" where it has none for a part of it. Our own form is num/den with · between units
// and superscripts behind them.
func (n notation) write(u quantity.Unit) string {
	if u.String() == "" {
		return "1"
	}
	if name, ok := n.atoms[u.String()]; ok {
		return name
	}
	num, den, _ := strings.Cut(u.String(), "/")
	text := "1"
	for symbol := range strings.SplitSeq(num, "·") {
		name := n.term(symbol)
		if name == "" {
			return ""
		}
		text += n.times + name
	}
	for symbol := range strings.SplitSeq(strings.Trim(den, "()"), "·") {
		if den == "" {
			break
		}
		name := n.term(symbol)
		if name == "" {
			return ""
		}
		text += "/" + name
	}
	return strings.TrimPrefix(text, "1"+n.times)
}

// term writes one unit with its exponent.
func (n notation) term(symbol string) string {
	base := strings.TrimRight(symbol, "⁰¹²³⁴⁵⁶⁷⁸⁹")
	name := n.atoms[base]
	switch exp := strings.TrimPrefix(symbol, base); {
	case symbol == "1":
		return "1"
	case exp == "" || name == "":
		return name
	default:
		return name + n.power + strings.NewReplacer("²", "2", "³", "3", "⁴", "4", "⁵", "5", "⁶", "6").Replace(exp)
	}
}
