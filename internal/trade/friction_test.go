package trade

import (
	"math"
	"testing"
)

// TestFriction: friction.csv, whose Colebrook rows are roots to 30 digits printed to twelve, the rest printed to ten.
func TestFriction(t *testing.T) {
	_, body := rows(t, "friction.csv")
	for _, row := range body {
		t.Run(row[0]+" "+row[1], func(t *testing.T) {
			in, want := inputs(t, row[1]), decimal(t, row[2])
			got, figures := 0.0, 10
			switch row[0] {
			case "colebrook_darcy_f":
				got, figures = must(t)(Friction(in["Re"], in["rel_roughness"], 1)), 12
			case "haaland_darcy_f":
				got = must(t)(FrictionHaaland(in["Re"], in["rel_roughness"], 1))
			case "laminar_darcy_f":
				got = must(t)(FrictionLaminar(in["Re"]))
			default:
				t.Fatalf("no check for %q", row[0])
			}
			near(t, row[0], got, want, halfUnit(want, figures)*(1+1e-3))
		})
	}
}

// TestFrictionExact: friction_exact.csv, worked in Python's decimal with 50 digits; nothing is off by more than a few
// units in the last place.
func TestFrictionExact(t *testing.T) {
	const places = 8e-16
	_, body := rows(t, "friction_exact.csv")
	for _, row := range body {
		re, rough, colebrook, haaland := decimal(t, row[0]), decimal(t, row[1]), decimal(t, row[2]), decimal(t, row[3])
		at := "Re " + row[0] + ", k/bore " + row[1]
		near(t, "Colebrook at "+at, must(t)(Friction(re, rough, 1)), colebrook, places*colebrook)
		near(t, "Haaland at "+at, must(t)(FrictionHaaland(re, rough, 1)), haaland, places*haaland)
	}
}

// TestFrictionSteady: over the whole range the factor falls as Re grows and rises with the roughness, and Haaland's stays
// within 1.5 % of Colebrook's from Re 4000.
func TestFrictionSteady(t *testing.T) {
	last := make([]float64, 40)
	for re := 2300.0; re <= 1e8; re *= 1.07 {
		smoother := 0.0
		for i := range last {
			k := 0.0
			if i > 0 {
				k = 1e-7 * math.Pow(5e5, float64(i)/float64(len(last)-1))
			}
			f := must(t)(Friction(re, k, 1))
			if f < smoother || last[i] != 0 && f > last[i]*(1+1e-15) {
				t.Errorf("Re %v, k/bore %v: got %v after %v at a lower Re and %v for a smoother pipe", re, k, f, last[i], smoother)
			}
			if h := must(t)(FrictionHaaland(re, k, 1)); re >= 4000 && math.Abs(h/f-1) > 0.015 {
				t.Errorf("Re %v, k/bore %v: Haaland got %v, Colebrook %v", re, k, h, f)
			}
			smoother, last[i] = f, f
		}
	}
}

func TestFrictionRange(t *testing.T) {
	const re, k, bore = 27450, 1.5e-6, 0.0202
	friction := func(re, k, bore float64) func() (float64, error) {
		return func() (float64, error) { return Friction(re, k, bore) }
	}
	reynolds := func(v, bore, celsius float64) func() (float64, error) {
		return func() (float64, error) { return Reynolds(v, bore, celsius+zeroCelsius) }
	}
	laminar := func(re float64) func() (float64, error) {
		return func() (float64, error) { return FrictionLaminar(re) }
	}
	tests := []struct {
		name        string
		call        func() (float64, error)
		field, says string
	}{
		{"a good pipe", friction(re, k, bore), "", ""},
		{"smooth", friction(re, 0, bore), "", ""},
		{"just turbulent", friction(2300, k, bore), "", ""},
		{"as rough as it goes", friction(re, 0.05, 1), "", ""},
		{"laminar", friction(1810.4, k, bore), "Re", "this is Re 1810.4. friction_laminar(Re) holds there"},
		{"no flow", friction(0, k, bore), "Re", "The Reynolds number must be more than nothing"},
		{"beyond the chart", friction(1.1e8, k, bore), "Re", "up to Re 100 000 000"},
		{"rougher than it goes", friction(re, 0.0011, bore), "k", "1.1 mm in a bore of 20.2 mm is not"},
		{"roughness in millimetres for metres", friction(re, 1.5e-3, bore), "k", "1.5 mm in a bore of 20.2 mm is not"},
		{"roughness below nothing", friction(re, -k, bore), "k", "nothing (smooth) up to 0.05"},
		{"no bore", friction(re, k, 0), "bore", "The bore must be"},
		{"not a number", friction(math.NaN(), k, bore), "Re", "The Reynolds number"},
		{"roughness no number", friction(re, math.NaN(), bore), "k", "The roughness"},
		{"Haaland has the same range", func() (float64, error) { return FrictionHaaland(2000, k, bore) }, "Re", "friction_laminar(Re)"},
		{"laminar friction", laminar(2300), "", ""},
		{"laminar friction of turbulent flow", laminar(2301), "Re", "friction(Re, k, bore) holds above"},
		{"laminar friction without flow", laminar(0), "Re", "more than nothing"},
		{"Reynolds", reynolds(0.5, bore, 60), "", ""},
		{"Reynolds, no flow", reynolds(0, bore, 60), "v", "The velocity must be"},
		{"Reynolds, no bore", reynolds(0.5, 0, 60), "bore", "The bore must be"},
		{"Reynolds of ice", reynolds(0.5, bore, -1), "t", "from 0 °C to 350 °C; this is -1 °C"},
		{"Reynolds of steam", reynolds(0.5, bore, 140), "t", "up to 127.41 °C"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.call()
			wantRange(t, got, err, tt.field, tt.says)
		})
	}
}
