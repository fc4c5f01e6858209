package quantity_test

import (
	"errors"
	"math"
	"testing"

	"witnessmark/internal/quantity"
)

// asked reads text where a unit is asked, and converts into it.
func asked(text, unit string) (float64, quantity.Note, error) {
	u := quantity.MustUnit(unit)
	q, err := quantity.ParseQuantityFor(text, u)
	if err != nil {
		return 0, 0, err
	}
	x, err := q.In(u)
	return x, q.Note, err
}

// TestTraps: what is easily taken for something else. Factors are those of NIST SP 811 (2008), appendix B, and of the SI
// Brochure; what the trade means by a spelling is common practice, no source.
func TestTraps(t *testing.T) {
	for _, c := range []struct {
		about, text, asked string
		want               float64
		note               quantity.Note
	}{
		{"Btu of the International Table, not the thermochemical 1054.350 J", "1 Btu", "J", 1055.05585262, 0},
		{"BTU in capitals is the same", "12000 BTU/h", "kW", 3.51685284207, 0},
		{"calorie of the International Table, not 4.184 J", "1 kcal", "kJ", 4.1868, 0},
		{"therm of 100 000 Btu, not the American 105.4804 MJ", "1 therm", "MJ", 105.505585262, 0},
		{"horsepower", "1 hp", "W", 745.699871582, 0},
		{"metric horsepower is less", "1 metric hp", "W", 735.49875, 0},
		{"PS is metric", "1 PS", "W", 735.49875, 0},
		{"gallon is the imperial one", "1 gal", "L", 4.54609, 0},
		{"the American one has its own name", "1 USgal", "L", 3.785411784, 0},
		{"gallons a minute, too", "1 gpm", "L/min", 4.54609, 0},
		{"a column of water is less than a millibar", "1 mbar", "mmH2O", 10.1971621298, 0},
		{"inches of water", "1 in wg", "mbar", 2.4908891, 0},
		{"head of water", "1 m head", "kPa", 9.80665, 0},
		{"degrees inside a compound are differences", "4.19 kJ/kg°C", "J/(g·K)", 4.19, 0},
		{"in °F as well", "1 Btu/(h·ft²·Δ°F)", "W/(m²·K)", 5.67826334111, 0},
		{"mK behind W/ is m·K", "0.4 W/mK", "W/(m·K)", 0.4, 0},
		{"and mK/W is its inverse", "2.5 mK/W", "m·K/W", 2.5, 0},
		{"mK alone is millikelvin", "500 mK", "K", 0.5, 0},
		{"K behind kg is a kelvin of its own", "4.19 kJ/kgK", "kJ/(kg·K)", 4.19, 0},
		{"with a square", "0.3 W/m2K", "W/(m²·K)", 0.3, 0},
		{"minutes are min", "12 min", "h", 0.2, 0},
		{"C behind a number is degrees where those are asked", "21 C", "°C", 21, quantity.NoteCelsius},
		{"or a difference of them", "11 C", "K", 11, quantity.NoteCelsius},
		{"°C stated for a difference", "11 °C", "K", 11, quantity.NoteDegreesForDifference},
		{"°F stated for a difference has no offset", "18 °F", "K", 10, quantity.NoteDegreesForDifference},
		{"C is a charge where that is asked", "3600 C", "Ah", 1, 0},
		{"R is ohm", "4.7 R", "Ω", 4.7, 0},
		{"and kR a thousand of them", "4.7 kR", "Ω", 4700, 0},
		{"letters that can only be one unit", "24 Kw", "kW", 24, quantity.NoteCase},
		{"", "24 KW", "kW", 24, quantity.NoteCase},
		{"", "24 kw", "kW", 24, quantity.NoteCase},
		{"milliwatt is not guessed away", "24 mW", "kW", 0.000024, 0},
		{"nor megawatt", "24 MW", "kW", 24000, 0},
		{"inches by their sign", "½\"", "mm", 12.7, 0},
		{"litres in small letters", "12.4 l/min", "L/s", 0.206666666667, 0},
		{"N·m goes with torque", "12 N·m", "Nm", 12, 0},
		{"and with energy", "12 N·m", "J", 12, 0},
		{"V·A goes with any power", "230 V·A", "W", 230, 0},
		{"a plain pressure stands for gauge where that is asked", "1.5 bar", "bar(g)", 1.5, 0},
	} {
		got, note, err := asked(c.text, c.asked)
		if err != nil || quantity.Stored(got) != c.want || note != c.note {
			t.Errorf("%s: %s is %.12g %s, note %d, %v; want %.12g, note %d", c.about, c.text, got, c.asked, note, err, c.want, c.note)
		}
	}
}

// TestTrapsRefused: what may not stand for one another, although it looks as if it might.
func TestTrapsRefused(t *testing.T) {
	for _, c := range []struct {
		about, text, asked string
		want               error
	}{
		{"a torque is no energy", "12 Nm", "J", quantity.ErrKind},
		{"nor an energy a torque", "12 kJ", "kNm", quantity.ErrKind},
		{"apparent power is no active power", "2.3 kVA", "kW", quantity.ErrKind},
		{"nor reactive", "2.3 kvar", "kW", quantity.ErrKind},
		{"nor one the other", "2.3 kvar", "kVA", quantity.ErrKind},
		{"50 Hz is not 3000 rpm of any pump", "50 Hz", "rpm", quantity.ErrKind},
		{"gauge for absolute", "1.5 bar(g)", "bar(a)", quantity.ErrKind},
		{"a temperature for a difference counted from absolute zero", "293 K", "°C", quantity.ErrKind},
		{"a level for a power", "10 dBm", "mW", quantity.ErrDimension},
		{"a level for a ratio", "3 dB", "%", quantity.ErrKind},
		{"a level for a level against something", "3 dB", "dBm", quantity.ErrKind},
		{"pH for a number", "7 pH", "", quantity.ErrKind},
		{"hardness on another scale", "15 °dH", "°e", quantity.ErrKind},
		{"net for gross", "92 % net", "% gross", quantity.ErrKind},
		{"heat input net for heat input as such", "24 kW net", "kW gross", quantity.ErrKind},
		{"metres for minutes", "5 m", "min", quantity.ErrDimension},
		{"mw for either", "24 mw", "kW", quantity.ErrUnknownUnit},
		{"Mw for either", "24 Mw", "W", quantity.ErrUnknownUnit},
		{"a resistor's code", "4R7", "Ω", quantity.ErrUnknownUnit},
		{"letters are not split", "0.4 W/kgm", "W/(m·K)", quantity.ErrUnknownUnit},
		{"a cumec is nobody's", "1 cumec", "m³/s", quantity.ErrUnknownUnit},
		{"decimals with a comma", "2,47 kW", "kW", quantity.ErrAmbiguous},
	} {
		if got, _, err := asked(c.text, c.asked); !errors.Is(err, c.want) {
			t.Errorf("%s: %s is %v %s, %v; want %v", c.about, c.text, got, c.asked, err, c.want)
		}
	}
}

// TestTemperaturesAreOfTwoKinds: points convert with the zeros of their scales, differences without.
func TestTemperaturesAreOfTwoKinds(t *testing.T) {
	for _, c := range []struct {
		text, asked string
		want        float64
	}{
		{"20 °C", "K(abs)", 293.15}, {"293.15 K(abs)", "°C", 20}, {"68 °F", "°C", 20}, {"-40 °C", "°F", -40}, {"20 °C", "°F", 68},
		{"20 K", "Δ°F", 36}, {"36 Δ°F", "K", 20}, {"20 Δ°C", "K", 20}, {"-3 °C", "°C", -3},
	} {
		got, _, err := asked(c.text, c.asked)
		if err != nil || math.Abs(got-c.want) > 1e-12*math.Abs(c.want) {
			t.Errorf("%s is %v %s, %v; want %v", c.text, got, c.asked, err, c.want)
		}
	}
	for _, c := range [][2]string{{"°C", "K"}, {"°F", "Δ°F"}, {"bar(g)", "bar"}, {"kPa(a)", "kPa"}, {"dBm", "dB"}, {"kW", "kW"}} {
		if got := quantity.MustUnit(c[0]).Difference(); got.String() != c[1] {
			t.Errorf("a difference of two values in %s is in %q, want %s", c[0], got, c[1])
		}
	}
}

// TestBoundsKeepTheirSign: a censored reading is a bound, and its number only where it begins.
func TestBoundsKeepTheirSign(t *testing.T) {
	for text, want := range map[string]quantity.Bound{
		">200 MΩ": quantity.Above, "> 200 MΩ": quantity.Above, "≥200 MΩ": quantity.AtLeast, ">=200 MΩ": quantity.AtLeast, "＞200 MΩ": quantity.Above,
		"<0.5 Ω": quantity.Below, "≤0.5 Ω": quantity.AtMost, "<=0.5 Ω": quantity.AtMost, "OL": quantity.OverRange, "OL MΩ": quantity.OverRange, "O.L.": quantity.OverRange, "0.5 Ω": quantity.Exactly,
	} {
		if q, err := quantity.ParseQuantity(text); err != nil || q.Number.Bound != want {
			t.Errorf("%s: bound %q, %v; want %q", text, q.Number.Bound, err, want)
		}
	}
}
