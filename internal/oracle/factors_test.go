//go:build oracle

package oracle_test

import (
	"math/big"
	"strings"
	"testing"

	"witnessmark/internal/quantity"
)

// spelling turns labels of unit_conversions.csv into units as typed.
var spelling = map[string]string{
	"mH2O (conventional, 1000 kg/m3)": "mH2O", "mmH2O (conventional)": "mmH2O", "inH2O (conventional)": "inH2O",
	"mmHg (conventional)": "mmHg", "m head (conventional)": "mH2O", "gal (UK)": "gal", "gal (US)": "USgal", "gal (UK)/min": "gal/min",
	"pt (UK)": "pt", "Btu (IT)": "Btu", "Btu/h (IT)": "Btu/h", "therm (IT 100000 Btu)": "therm", "cal (IT)": "cal", "kcal (IT)/h": "kcal/h",
	"hp (metric)": "PS", "K (difference)": "K", "degF (difference)": "Δ°F", "Btu/(h.ft2.degF)": "Btu/(h·ft²·Δ°F)",
}

// TestUnitFactors: every factor of the table of conversions is ours exactly, as a fraction, and GNU units has it to the
// digits of float64.
func TestUnitFactors(t *testing.T) {
	n := gnuNotation()
	var questions []question
	var want []float64
	var labels []string
	for _, row := range table(t, "../../testdata/quantity/unit_conversions.csv") {
		if row[1] != "multiply by" {
			continue // temperatures and gauge pressures have a zero of their own
		}
		from, to, _ := strings.Cut(row[0], " -> ")
		u, v := typed(t, from), typed(t, to)
		factor := new(big.Rat).Quo(u.Factor(), v.Factor())
		text, fraction, stated := strings.Cut(row[2], " = ")
		if exact, ok := new(big.Rat).SetString(fraction); stated && (!ok || factor.Cmp(exact) != 0) {
			t.Errorf("%s: ours is %s, the table has %s", row[0], factor, fraction)
		}
		value, _ := factor.Float64()
		within(t, row[0], value, float(t, text), 5e-15)
		if d := gnuDiffers[u.String()]; d.factor != 0 {
			value *= d.factor / u.ToSI(1)
		}
		questions = append(questions, question{n.write(u), n.write(v), 1})
		want, labels = append(want, value), append(labels, row[0])
	}
	if len(want) < 64 {
		t.Errorf("only %d factors", len(want))
	}
	for i, a := range gnu(t, questions) {
		if a.why != "" {
			t.Errorf("%s: %s", labels[i], a.why)
		}
		within(t, labels[i]+" by GNU units", a.value, want[i], 2e-15)
	}
}

func typed(t *testing.T, label string) quantity.Unit {
	t.Helper()
	if s, ok := spelling[label]; ok {
		label = s
	}
	u, err := quantity.ParseUnit(label)
	if err != nil {
		t.Fatalf("unit %q: %v", label, err)
	}
	return u
}
