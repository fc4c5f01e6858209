package quantity_test

import (
	"encoding/csv"
	"math"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"

	"witnessmark/internal/quantity"
)

// spelling turns the check tables' labels into units as typed.
var spelling = map[string]string{
	"mH2O (conventional, 1000 kg/m3)": "mH2O", "mmH2O (conventional)": "mmH2O", "inH2O (conventional)": "inH2O",
	"mmHg (conventional)": "mmHg", "m head (conventional)": "m head", "gal (UK)": "gal", "gal (US)": "USgal",
	"gal (UK)/min": "gal/min", "pt (UK)": "pt", "Btu (IT)": "Btu", "Btu/h (IT)": "Btu/h", "therm (IT 100000 Btu)": "therm",
	"cal (IT)": "cal", "kcal (IT)/h": "kcal/h", "hp (metric)": "metric hp", "K (difference)": "K",
	"degF (difference)": "Δ°F", "mohm/m": "mohm/m", "Mohm": "Mohm",
}

func unit(t *testing.T, label string) quantity.Unit {
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

func readCSV(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	}()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

// TestConversions checks every row of unit_conversions.csv; each row names its source.
func TestConversions(t *testing.T) {
	rows := readCSV(t, "../../testdata/quantity/unit_conversions.csv")
	if len(rows) < 69 {
		t.Fatalf("%d rows, want at least 69", len(rows))
	}
	for _, row := range rows {
		t.Run(row[0]+" "+row[1], func(t *testing.T) {
			if strings.HasPrefix(row[0], "gauge") {
				return // tested with formula's absolute(p): the pressure of the air is a value of its own
			}
			from, to, _ := strings.Cut(row[0], " -> ")
			u, v := unit(t, from), unit(t, to)
			if row[1] != "multiply by" {
				checkAffine(t, u, v, row)
				return
			}
			got := new(big.Rat).Quo(u.Factor(), v.Factor())
			if _, fraction, ok := strings.Cut(row[2], " = "); ok {
				want, _ := new(big.Rat).SetString(fraction)
				if got.Cmp(want) != 0 {
					t.Errorf("1 %s = %s %s, want %s exactly", u, got, v, want)
				}
			}
			text, _, _ := strings.Cut(row[2], " = ")
			near(t, ratFloat(got), text, 1e-14)
			converted, err := quantity.Convert(1, u, v)
			if err != nil {
				t.Fatal(err)
			}
			near(t, converted, text, 1e-14)
		})
	}
}

func ratFloat(r *big.Rat) float64 { f, _ := r.Float64(); return f }

func near(t *testing.T, got float64, text string, rel float64) {
	t.Helper()
	want, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got-want) > rel*math.Abs(want) {
		t.Errorf("got %.17g, want %s", got, text)
	}
}

func checkAffine(t *testing.T, u, v quantity.Unit, row []string) {
	t.Helper()
	if v.String() == "K" { // the table means a temperature in kelvin, not a difference
		v = unit(t, "K(abs)")
	}
	q, err := quantity.ParseQuantity(row[1])
	if err != nil {
		t.Fatal(err)
	}
	if !q.Unit.Equal(u) {
		t.Fatalf("%q has unit %s, want %s", row[1], q.Unit, u)
	}
	got, err := q.In(v)
	if err != nil {
		t.Fatal(err)
	}
	near(t, got, row[2], 1e-14)
}

// TestUnitTable checks dimension and factor of every row of unit_table.csv, with every prefix the row allows.
func TestUnitTable(t *testing.T) {
	prefixes := map[string]float64{"": 1, "k": 1e3, "M": 1e6, "G": 1e9, "h": 1e2, "d": 1e-1, "c": 1e-2, "m": 1e-3, "u": 1e-6, "n": 1e-9, "p": 1e-12}
	for _, row := range readCSV(t, "../../testdata/quantity/unit_table.csv") {
		var dim quantity.Dimension
		for i, e := range strings.Fields(row[2]) {
			n, err := strconv.Atoi(e)
			if err != nil {
				t.Fatal(err)
			}
			dim[i] = int8(n)
		}
		factor, err := strconv.ParseFloat(row[3], 64)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range append(strings.Fields(row[4]), "") {
			u, err := quantity.ParseUnit(p + row[0])
			if err != nil {
				t.Errorf("%s%s: %v", p, row[0], err)
				continue
			}
			f, _ := u.Factor().Float64()
			if want := prefixes[p] * factor; math.Abs(f-want) > 1e-14*want {
				t.Errorf("%s%s: factor %.17g, want %.17g", p, row[0], f, want)
			}
			if u.Dimension() != dim {
				t.Errorf("%s%s: dimension %v, want %v", p, row[0], u.Dimension(), dim)
			}
		}
		spellings, _, _ := strings.Cut(strings.ReplaceAll(row[5], "deg C", "degC"), "(")
		for spelling := range strings.FieldsSeq(spellings) {
			if u, err := quantity.ParseUnit(spelling); err != nil || !u.Equal(quantity.MustUnit(row[0])) {
				t.Errorf("%s: %q reads %q, %v", row[0], spelling, u, err)
			}
		}
	}
}
