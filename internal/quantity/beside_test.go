package quantity_test

import (
	"testing"

	"witnessmark/internal/quantity"
)

// A choice of units is of no use where the marker would not convert what is chosen, exactly.
func TestBesideConverts(t *testing.T) {
	for _, symbol := range []string{
		"W", "kW", "Pa", "mbar", "kPa", "bar", "bar(g)", "mbar(g)", "mΩ", "Ω", "kΩ", "MΩ", "mA", "A", "V", "ms", "s", "min", "L/min", "L/s", "m³/h", "L/h",
		"mL", "L", "m³", "mm", "m", "g", "kg", "kWh", "MJ",
	} {
		asked := quantity.MustUnit(symbol)
		us := quantity.Beside(asked)
		if len(us) < 2 || len(us) > 4 || !us[0].Equal(asked) {
			t.Errorf("%s: %v, want it first and one to three more", symbol, us)
		}
		seen := map[string]bool{}
		for _, u := range us {
			if err := quantity.CheckConvertible(u, asked); err != nil || seen[u.String()] {
				t.Errorf("%s beside %s: %v, there before: %v", u, symbol, err, seen[u.String()])
			}
			seen[u.String()] = true
			back, note, err := quantity.ParseUnitFor(u.String(), asked)
			if err != nil || note != quantity.NoteNone || !back.Equal(u) {
				t.Errorf("%s beside %s reads back as %s, %q, %v", u, symbol, back, note, err)
			}
		}
	}
}

// What the trade states in one unit only gets no choice: a temperature in K is another thing, and an analyser shows ppm.
func TestBesideNothing(t *testing.T) {
	for _, symbol := range []string{"°C", "K", "%", "ppm", "rpm", "mg/L", "mm/m", ""} {
		u := quantity.MustUnit(symbol)
		if us := quantity.Beside(u); len(us) != 1 || !us[0].Equal(u) {
			t.Errorf("%q: %v, want it alone", symbol, us)
		}
	}
}
