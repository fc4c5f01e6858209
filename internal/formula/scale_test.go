package formula_test

import (
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Net and gross behind a unit belong to it, in formulas, in print and in working, and part what does not add up.
func TestNetAndGross(t *testing.T) {
	unit := func(text string) quantity.Unit {
		u, err := quantity.ParseUnit(text)
		if err != nil {
			t.Fatal(err)
		}
		return u
	}
	env := formula.Env{Names: map[string]quantity.Unit{"Q": unit("kW gross"), "net": unit("kW"), "P": unit("kW net")}}
	for _, c := range []struct {
		text, unit string
		ok         bool
	}{
		{"24 kW gross", "kW gross", true}, {"24 kW(gross) + Q", "kW gross", true}, {"(20 + 4) kW gross", "kW gross", true},
		{"100 % net − 3 % net", "% net", true}, {"Q / 39.2 MJ/m³ gross", "m³/h", true}, {"2 × 12 kW net + P", "kW net", true},
		{"24 kW gross", "kW net", false}, {"24 kW gross + P", "kW net", false}, {"24 kW gross", "kW", true},
		{"24 kW + net", "kW", true}, {"24 kW network", "kW", false}, {"24 gross", "kW gross", false}, {"24 kW  gross", "kW gross", false},
	} {
		e, err := formula.Parse(c.text)
		if err == nil {
			again, err := formula.Parse(e.String())
			if err != nil || again.String() != e.String() {
				t.Errorf("%s prints as %s, which reads as %v, %v", c.text, e, again, err)
			}
			_, err = formula.Compile(e, env, unit(c.unit))
			if (err == nil) != c.ok {
				t.Errorf("%s in %s: %v", c.text, c.unit, err)
			}
		} else if c.ok {
			t.Errorf("%s: %v", c.text, err)
		}
	}
}
