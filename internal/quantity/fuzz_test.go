package quantity_test

import (
	"errors"
	"math"
	"math/big"
	"testing"
	"unicode/utf8"

	"witnessmark/internal/quantity"
)

// hasPlace: an error says something, about a place in the text.
func hasPlace(t *testing.T, text string, err error) {
	t.Helper()
	var e *quantity.Error
	if !errors.As(err, &e) || e.Pos < 0 || e.Pos > len(e.Text) || e.Message == "" || e.Reason == nil || e.Text != "" && e.Text != text {
		t.Fatalf("%q: %#v is no error with a place in it", text, err)
	}
}

// FuzzNumber: what is read prints and reads the same; its value is the nearest to what its digits say; folding changes
// nothing; a minus changes the sign alone.
func FuzzNumber(f *testing.F) {
	for _, s := range []string{
		"12.4", "−3", "2,47", "1,234,567.8", "1 250 000", "1.2×10⁻³", "1x10^12", "2 1/2", "2½", ">200", "≤ .5", "OL", "O/L", "NaN", "0x1p-2", "1_0", "9e99", "1/0",
		"9007199254740993", "1E-400", "-0.00", "\u0661", "１２．５", "12\u202f500", "1\u200b2", "000123", "5.", "1e-30", "0.3333333333333333333333",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n, err := quantity.ParseNumber(text)
		if err != nil {
			hasPlace(t, text, err)
			return
		}
		again, err := quantity.ParseNumber(n.Canonical())
		if err != nil || again != n {
			t.Fatalf("%q prints %q, which reads %q, %v", text, n.Canonical(), again.Canonical(), err)
		}
		if folded, _ := quantity.Fold(text); utf8.ValidString(text) {
			if same, err := quantity.ParseNumber(folded); err != nil || same != n {
				t.Fatalf("%q folds to %q, which reads %q, %v; want %q", text, folded, same.Canonical(), err, n.Canonical())
			}
		}
		if n.Bound == quantity.OverRange {
			return
		}
		if want, _ := n.Exact().Float64(); n.Value() != want || math.Signbit(n.Value()) != (want < 0) {
			t.Fatalf("%q has value %v, want %v", text, n.Value(), want)
		}
		if m := n.Neg(); m.Value() != -n.Value() || m.Neg().Value() != n.Value() {
			t.Fatalf("%q: %v with the other sign is %v", text, n.Value(), m.Value())
		}
		if least, most := n.SignificantFigures(); least < 1 || most < least || n.HalfUnit() < 0 || n.Decimals() < 0 {
			t.Fatalf("%q: %d to %d figures, ±%v, %d decimals", text, least, most, n.HalfUnit(), n.Decimals())
		}
	})
}

// FuzzUnit: what is read prints and reads the same, in a line of working too; folding changes nothing; a prefix before a
// unit of the table scales it by just that.
func FuzzUnit(f *testing.F) {
	for _, row := range quantity.Table() {
		f.Add(row.Unit.String())
	}
	for _, s := range []string{
		"L/min", "m³/h", "m3/hr", "W/m²K", "W/mK", "kJ/(kg·K)", "kJ/kg°C", "bar(g)", "psia", "mbar gauge", "cu ft/h", "W·m⁻²·K⁻¹", "1/h", "/s", "kW gross", "% net", "m^-1", "((m))",
		"m·m·m·m·m·m·m·m·m", "m^10", "4R7", "Мbar", "dB/m", "L//s", "kJ/(kg·K", "Δ°C", "µm", "m\u2009head",
	} {
		f.Add(s)
	}
	table := map[string]bool{}
	for _, row := range quantity.Table() {
		table[row.Unit.String()] = true
	}
	f.Fuzz(func(t *testing.T, text string) {
		u, err := quantity.ParseUnit(text)
		if err != nil {
			hasPlace(t, text, err)
			return
		}
		for _, printed := range []string{u.String(), u.Inline()} {
			if again, err := quantity.ParseUnit(printed); err != nil || !again.Equal(u) {
				t.Fatalf("%q is %q, printed %q, which reads %q, %v", text, u, printed, again, err)
			}
		}
		if folded, _ := quantity.Fold(text); utf8.ValidString(text) {
			if same, err := quantity.ParseUnit(folded); err != nil || !same.Equal(u) {
				t.Fatalf("%q folds to %q, which reads %q, %v; want %q", text, folded, same, err, u)
			}
		}
		if x := u.FromSI(u.ToSI(12.4)); math.Abs(x-12.4) > 1e-9 {
			t.Fatalf("%q: 12.4 comes back as %v", text, x)
		}
		if !table[u.String()] {
			return
		}
		for prefix, factor := range map[string]int64{"k": 1000, "M": 1000000, "G": 1000000000} {
			v, err := quantity.ParseUnit(prefix + u.String())
			if err != nil || v.Dimension() != u.Dimension() || !table[v.String()] {
				continue
			}
			if want := new(big.Rat).Mul(u.Factor(), big.NewRat(factor, 1)); v.Factor().Cmp(want) != 0 {
				t.Fatalf("%s is %v of %s, want %v", v, v.Factor(), u, want)
			}
		}
	})
}

// FuzzQuantity: nothing panics, every error points into the text, what is printed reads back the same.
func FuzzQuantity(f *testing.F) {
	for _, s := range []string{
		"12.4 L/min", "−3 °C", "2,47", ">200 MΩ", "OL", "1 250 W", "1.2×10⁻³ m³/s", "2 1/2 in", "½\"", "W/m²K", "1e3 kJ/(kg·K)", "75 % net",
		"1,234,567.8 bar(g)", "NaN", "0x1p-2", "1_0", "9e99", "1/0", "\u202e12", "12\u202f500 W", "0L", "5 1/h", "1 234/5",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		q, err := quantity.ParseQuantity(text)
		if err != nil {
			hasPlace(t, text, err)
			return
		}
		again, err := quantity.ParseQuantity(q.String())
		if err != nil || again.Number != q.Number || !again.Unit.Equal(q.Unit) {
			t.Fatalf("%q prints %q, which reads %q, %v", text, q, again, err)
		}
		if v := q.Number.Value(); math.IsNaN(v) || math.Abs(v) > quantity.MaxMagnitude && !math.IsInf(v, 1) {
			t.Fatalf("%q has value %v", text, v)
		}
		if folded, _ := quantity.Fold(text); utf8.ValidString(text) {
			same, err := quantity.ParseQuantity(folded)
			if err != nil || same.Number != q.Number || !same.Unit.Equal(q.Unit) {
				t.Fatalf("%q folds to %q, which reads %q, %v; want %q", text, folded, same, err, q)
			}
		}
	})
}

// TestPrefixScales: a prefix scales the value and nothing else.
func TestPrefixScales(t *testing.T) {
	for _, c := range []struct {
		small, large string
		factor       float64
	}{{"W", "kW", 1e3}, {"Pa", "kPa", 1e3}, {"mbar", "bar", 1e3}, {"mm", "m", 1e3}, {"Ω", "MΩ", 1e6}, {"mA", "A", 1e3}, {"Hz", "MHz", 1e6}} {
		got, err := quantity.Convert(1, quantity.MustUnit(c.large), quantity.MustUnit(c.small))
		if err != nil || got != c.factor {
			t.Errorf("1 %s = %v %s, %v; want %v", c.large, got, c.small, err, c.factor)
		}
	}
}
