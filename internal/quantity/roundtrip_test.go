package quantity

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// everyUnit gives the units of the table with their prefixes, and the compounds of daily use.
func everyUnit() []Unit {
	var us []Unit
	for _, row := range Table() {
		us = append(us, row.Unit)
	}
	for text := range strings.FieldsSeq(dailyCompounds) {
		us = append(us, MustUnit(text))
	}
	for _, text := range []string{"bar(g)", "kPa(g)", "psi(g)", "bar(a)", "kPa(a)", "mbar(a)", "kW net", "% net", "MJ/m³ gross", "kWh/m³ gross"} {
		us = append(us, MustUnit(text))
	}
	return us
}

// TestThereAndBack: a value through every pair of units that convert, and back, is the same to 4e-15; for a
// temperature to that of the shift between two zeros.
func TestThereAndBack(t *testing.T) {
	us := everyUnit()
	pairs := 0
	for _, u := range us {
		for _, v := range us {
			if CheckConvertible(u, v) != nil {
				continue
			}
			pairs++
			for _, x := range []float64{1, 0.1, 12.4, 1.0 / 3, 9876.54321, -273.14} {
				y, err := Convert(x, u, v)
				if err != nil {
					t.Fatal(err)
				}
				back, err := Convert(y, v, u)
				size := math.Abs(x)
				if u.kind == TemperaturePoint {
					size += 273.15 / u.f
				}
				if err != nil || math.Abs(back-x) > 4e-15*size {
					t.Errorf("%v %s = %v %s = %v %s, %v", x, u, y, v, back, u, err)
				}
			}
		}
	}
	if pairs < 1500 {
		t.Errorf("%d pairs, want at least 1500", pairs)
	}
}

// TestConvertIsExactToTwelveFigures holds conversions against exact fractions.
func TestConvertIsExactToTwelveFigures(t *testing.T) {
	us := everyUnit()
	for _, u := range us {
		for _, v := range us {
			if CheckConvertible(u, v) != nil || u.offset != nil || v.offset != nil {
				continue
			}
			got, err := Convert(12.4, u, v)
			exact := new(big.Rat).Mul(big.NewRat(124, 10), u.Factor())
			want, _ := exact.Quo(exact, v.Factor()).Float64()
			if err != nil || math.Abs(got-want) > 1e-15*want || Stored(got) != Stored(want) {
				t.Errorf("12.4 %s = %.17g %s, %v; want %.17g", u, got, v, err, want)
			}
		}
	}
}

// TestCompoundsAreWhatTheirPartsMake: a compound that is known beforehand is the one that would be worked out.
func TestCompoundsAreWhatTheirPartsMake(t *testing.T) {
	for text := range strings.FieldsSeq(dailyCompounds) {
		p := unitParser{s: text}
		if err := p.all(); err != nil {
			t.Fatal(err)
		}
		known, ok := knownCompounds[p.key()]
		if worked := p.multiply(); !ok || !known.Equal(worked) || known.ToSI(7) != worked.ToSI(7) {
			t.Errorf("%s: known as %s, works out as %s", text, known, worked)
		}
	}
}

// TestTableNamesEachUnitOnce: the symbol of a row means that row, and no two rows are one.
func TestTableNamesEachUnitOnce(t *testing.T) {
	seen := map[string]bool{}
	for _, row := range Table() {
		symbol := row.Unit.String()
		if u, err := ParseUnit(symbol); err != nil || !u.Equal(row.Unit) || u.id == 0 || seen[symbol] {
			t.Errorf("%q reads %s, %v; seen before: %v", symbol, u, err, seen[symbol])
		}
		if row.Source == "" || row.Unit.Factor().Sign() <= 0 {
			t.Errorf("%s: source %q, factor %v", symbol, row.Source, row.Unit.Factor())
		}
		seen[symbol] = true
	}
	if len(seen) < 141 {
		t.Errorf("%d units, want at least the 141 of the first list", len(seen))
	}
}

// TestValueIsCorrectlyRounded: a number's value is the float64 nearest to its decimal text, whatever its digits.
func TestValueIsCorrectlyRounded(t *testing.T) {
	check := func(fail func(string, ...any), text string) {
		n, err := ParseNumber(text)
		exact, ok := new(big.Rat).SetString(text)
		if err != nil || !ok {
			fail("%q: %v", text, err)
			return
		}
		want, _ := exact.Float64()
		if n.Value() != want || n.Exact().Cmp(exact) != 0 {
			fail("%q: value %v, want %v", text, n.Value(), want)
		}
	}
	// Halfway and just beside it, from the literature on reading decimals; 9007199254740993 lies between two doubles.
	for _, text := range []string{
		"9007199254740993", "9007199254740992", "9007199254740995", "0.1", "0.3", "1e22", "1e23", "8.5e15", "2.2250738585072011e-8", "123456789012345678901234",
		"0.000000000000000000000000000001", "999999999999999999999999", "0.500000000000000166533453", "9.007199254740993e-7", "1.7976931348623157e29",
	} {
		check(t.Errorf, text)
	}
	rapid.Check(t, func(t *rapid.T) {
		check(t.Fatalf, rapid.StringMatching(`[1-9][0-9]{0,11}(\.[0-9]{1,11})?(e-?1?[0-6])?`).Draw(t, "text"))
	})
}
