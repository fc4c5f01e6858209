package quantity_test

import (
	"errors"
	"math"
	"testing"
	"unicode/utf8"

	"witnessmark/internal/quantity"
)

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
			var e *quantity.Error
			if !errors.As(err, &e) || e.Pos < 0 || e.Pos > len(e.Text) || e.Message == "" {
				t.Fatalf("%q: %#v is no error with a place", text, err)
			}
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
