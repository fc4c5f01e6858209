package quantity_test

import (
	"errors"
	"math"
	"testing"

	"witnessmark/internal/quantity"
)

// TestParseUnit holds the trade's spellings; common practice, no source.
func TestParseUnit(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"l/s", "L/s"}, {"L/s", "L/s"}, {"m³/h", "m³/h"}, {"m3/hr", "m³/h"}, {"m^3/h", "m³/h"}, {"cu m/h", "m³/h"}, {"m3h-1", ""},
		{"L·min⁻¹", "L/min"}, {"l/min", "L/min"}, {"lpm", "L/min"}, {"°C", "°C"}, {"degC", "°C"}, {"℃", "°C"}, {"deg C", "°C"},
		{"m/s2", "m/s²"}, {"mm²", "mm²"}, {"mm2", "mm²"}, {"W/m²K", "W/(m²·K)"}, {"W/(m²·K)", "W/(m²·K)"}, {"W·m⁻²·K⁻¹", "W/(m²·K)"},
		{"W/m2K", "W/(m²·K)"}, {"W/mK", "W/(m·K)"}, {"W/(m.K)", "W/(m·K)"}, {"kJ/kg°C", "kJ/(kg·K)"}, {"kJ/kgK", "kJ/(kg·K)"}, {"kJ/(kg·K)", "kJ/(kg·K)"},
		{"kJ/(kg·°C)", "kJ/(kg·K)"}, {"kJ/kg/K", "kJ/(kg·K)"}, {"W/m²·K", "W/(m²·K)"}, {"W/m.K", "W/(m·K)"}, {"kJ/kg·°C", "kJ/(kg·K)"}, {"W·K/m²", "W·K/m²"},
		{"mK", "mK"}, {"min", "min"}, {"mins", "min"}, {"sec", "s"}, {"ltr", "L"}, {"mbar", "mbar"}, {"kPa", "kPa"}, {"mmH2O", "mmH2O"}, {"mmWG", "mmH2O"}, {"in wg", "inH2O"},
		{"psi", "psi"}, {"lb/in²", "psi"}, {"ft³", "ft³"}, {"cu ft", "ft³"}, {"gal", "gal"}, {"Btu", "Btu"}, {"kW·h", "kW·h"}, {"kWh", "kWh"},
		{"Ω", "Ω"}, {"\u2126", "Ω"}, {"ohm", "Ω"}, {"R", "Ω"}, {"MΩ", "MΩ"}, {"Mohm", "MΩ"}, {"kilowatts", "kW"}, {"µm", "μm"}, {"um", "μm"}, {"%", "%"}, {"ppm", "ppm"}, {"‰", "‰"},
		{"bar(g)", "bar(g)"}, {"barg", "bar(g)"}, {"bar g", "bar(g)"}, {"bar a", "bar(a)"}, {"psig", "psi(g)"}, {"mbar gauge", "mbar(g)"}, {"kPa(a)", "kPa(a)"},
		{"1/h", "1/h"}, {"ach", "1/h"}, {"h⁻¹", "1/h"}, {"m²·K/W", "m²·K/W"}, {"m2K/W", "m²·K/W"}, {"㎜", "mm"}, {"", ""}, {"-", ""},
		{"kW gross", "kW gross"}, {"% net", "% net"}, {"kW(net)", "kW net"}, {"rev/min", "rpm"}, {"kWh/24h", "kWh/d"}, {"kWh/24 h", "kWh/d"}, {"dBm", "dBm"}, {"pH", "pH"}, {"Pa/m", "Pa/m"}, {"kg/kWh", "kg/kWh"},
	} {
		got, err := quantity.ParseUnit(c.text)
		if c.want == "" && c.text == "m3h-1" {
			if !errors.Is(err, quantity.ErrUnknownUnit) {
				t.Errorf("ParseUnit(%q) = %q, %v; want ErrUnknownUnit", c.text, got, err)
			}
			continue
		}
		if err != nil || got.String() != c.want {
			t.Errorf("ParseUnit(%q) = %q, %v; want %q", c.text, got, err, c.want)
			continue
		}
		again, err := quantity.ParseUnit(got.String())
		if err != nil || !again.Equal(got) {
			t.Errorf("ParseUnit(%q) = %q, %v; want the same unit again", got, again, err)
		}
		inline, err := quantity.ParseUnit(got.Inline())
		if err != nil || !inline.Equal(got) {
			t.Errorf("ParseUnit(%q) = %q, %v; want the same unit again", got.Inline(), inline, err)
		}
	}
}

func TestParseUnitRefuses(t *testing.T) {
	long := make([]byte, 10000)
	for i := range long {
		long[i] = 'm'
	}
	for _, c := range []struct {
		text string
		pos  int
	}{
		{"furlong", 0}, {"L/mni", 2}, {"kw", 0}, {"MBAR", 0}, {"m^10", 0}, {"m^0", 0}, {"kJ/(kg·K", 9}, {"m m", 2}, {"L//s", 2},
		{"4R7", 0}, {"dB/m", 0}, {"m·m·m·m·m·m·m·m·m", 24}, {"°C(g)", 3}, {string(long), 0}, {"cumec", 0}, {"Мbar", 0},
	} {
		_, err := quantity.ParseUnit(c.text)
		var e *quantity.Error
		if !errors.As(err, &e) || !errors.Is(err, quantity.ErrUnknownUnit) {
			t.Errorf("ParseUnit(%.20q): %v, want ErrUnknownUnit", c.text, err)
			continue
		}
		if e.Pos != c.pos {
			t.Errorf("ParseUnit(%.20q): position %d, want %d\n%s", c.text, e.Pos, c.pos, e.Caret())
		}
	}
}

// TestParseUnitFor: letter case is forgiven only where one unit can be meant.
func TestParseUnitFor(t *testing.T) {
	for _, c := range []struct {
		text, asked, want string
		note              quantity.Note
	}{
		{"kW", "kW", "kW", quantity.NoteNone}, {"Kw", "kW", "kW", quantity.NoteCase}, {"KW", "kW", "kW", quantity.NoteCase}, {"kw", "W", "kW", quantity.NoteCase},
		{"kpa", "bar", "kPa", quantity.NoteCase}, {"L/MIN", "L/min", "L/min", quantity.NoteCase}, {"mW", "kW", "mW", quantity.NoteNone},
		{"C", "°C", "°C", quantity.NoteCelsius}, {"C", "K", "K", quantity.NoteCelsius}, {"°C", "K", "K", quantity.NoteDegreesForDifference},
		{"°F", "K", "Δ°F", quantity.NoteDegreesForDifference}, {"K", "°C", "K", quantity.NoteKelvinForPoint}, {"bar", "mbar", "bar", quantity.NoteNone},
		{"l/s", "kW", "L/s", quantity.NoteNone},
	} {
		got, note, err := quantity.ParseUnitFor(c.text, quantity.MustUnit(c.asked))
		if err != nil || got.String() != c.want || note != c.note {
			t.Errorf("ParseUnitFor(%q, %s) = %q, %v, %v; want %q, %v", c.text, c.asked, got, note, err, c.want, c.note)
		}
	}
	for _, c := range [][2]string{{"mw", "kW"}, {"Mw", "W"}, {"kw", "bar"}, {"mOHM", "Ω"}} {
		if got, _, err := quantity.ParseUnitFor(c[0], quantity.MustUnit(c[1])); !errors.Is(err, quantity.ErrUnknownUnit) {
			t.Errorf("ParseUnitFor(%q, %s) = %q, %v; want ErrUnknownUnit", c[0], c[1], got, err)
		}
	}
}

func TestConvertKinds(t *testing.T) {
	for _, c := range []struct {
		x          float64
		from, to   string
		want       float64
		wantReason error
	}{
		{20, "°C", "K(abs)", 293.15, nil}, {20, "°C", "K", 0, quantity.ErrKind}, {20, "K", "°C", 0, quantity.ErrKind},
		{18, "Δ°F", "K", 10, nil}, {212, "°F", "°C", 100, nil}, {-40, "°F", "°C", -40, nil},
		{1, "bar(g)", "bar(a)", 0, quantity.ErrKind}, {1.5, "bar(g)", "kPa(g)", 150, nil}, {1, "bar", "mbar(g)", 1000, nil},
		{1, "dB", "dBm", 0, quantity.ErrKind}, {1, "dB", "%", 0, quantity.ErrKind}, {1, "°dH", "ppm", 0, quantity.ErrKind},
		{90, "% net", "% gross", 0, quantity.ErrKind}, {180, "°", "rad", math.Pi, nil}, {1, "L/min", "kW", 0, quantity.ErrDimension},
		{1500, "W", "kW", 1.5, nil}, {3, "L/min", "L/s", 0.05, nil}, {75, "%", "", 0.75, nil},
		// the trade's Btu, calorie, therm and gallon, not the others of those names (NIST SP 811, appendix B)
		{1, "Btu", "J", 1055.05585262, nil}, {1, "kcal", "kJ", 4.1868, nil}, {1, "therm", "MJ", 105.505585262, nil}, {1, "gal", "L", 4.54609, nil},
		{1, "mmH2O", "Pa", 9.80665, nil}, {1, "W/mK", "W/(m·K)", 1, nil}, {1, "MΩ", "kΩ", 1000, nil},
	} {
		got, err := quantity.Convert(c.x, quantity.MustUnit(c.from), quantity.MustUnit(c.to))
		if !errors.Is(err, c.wantReason) || math.Abs(got-c.want) > 1e-13*math.Abs(c.want) {
			t.Errorf("Convert(%v, %q, %q) = %.17g, %v; want %v, %v", c.x, c.from, c.to, got, err, c.want, c.wantReason)
		}
	}
}
