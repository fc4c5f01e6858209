package trade

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// instrumentVectors are of insulation, heat pumps, radio and measurement.
var instrumentVectors = map[string]func(t *testing.T, v vector) float64{
	"I01": func(t *testing.T, v vector) float64 { // (ti−ta)/(ln(D/d)/(2π·λ) + 1/(π·D·h))
		in := v.Inputs
		return must(t)(PipeLoss(in["d"]/1e3, in["s"]/1e3, in["lam"], v.kelvin("ti"), v.kelvin("ta"), in["h"]))
	},
	"R01": func(t *testing.T, v vector) float64 { return must(t)(HeatPumpCOP(v.Inputs["Q"], v.Inputs["P"])) },
	"R02": func(t *testing.T, v vector) float64 { // all heat over all electricity
		return must(t)(SeasonalFactor(v.Inputs["Q1"]+v.Inputs["Q2"], v.Inputs["E1"]+v.Inputs["E2"]))
	},
	"S01": func(t *testing.T, v vector) float64 { // the level of the mean of three powers
		sum := 0.0
		for _, name := range []string{"a", "b", "c"} {
			sum += must(t)(PowerOfLevel(v.Inputs[name]))
		}
		return must(t)(LevelOfPower(sum / 3))
	},
	"S02": func(t *testing.T, v vector) float64 { return must(t)(LinkMargin(v.Inputs["L"], v.Inputs["s"])) },
	"S03": func(t *testing.T, v vector) float64 { return must(t)(PathLoss(v.Inputs["d"], v.Inputs["f"]*1e6)) },
	"U03": func(t *testing.T, v vector) float64 { // in %; U is two standard uncertainties
		return 100 * must(t)(NormalShare((v.Inputs["TL"]-v.Inputs["y"])/(v.Inputs["U"]/2)))
	},
	"U04": func(t *testing.T, v vector) float64 {
		return must(t)(Corrected(v.kelvin("r"), v.Inputs["e"])) - zeroCelsius
	},
}

// TestNormalShare: rows of mpmath to 25 digits, and what JCGM 106 and ILAC-G8:09/2019 print (from memory).
func TestNormalShare(t *testing.T) {
	_, body := rows(t, "normal.csv")
	for _, row := range body {
		z, want := decimal(t, row[0]), decimal(t, row[1])
		got := must(t)(NormalShare(z))
		near(t, "normal("+row[0]+")", got, want, 1e-15)
		if z < -5 {
			near(t, "tail at "+row[0], got, want, 1e-13*want)
		}
	}
	for _, tt := range []struct {
		what              string
		z, share, printed float64
	}{
		{"JCGM 106:2012, example 1: -5.47 against -5.40, u 0.05", (-5.40 + 5.47) / 0.05, 0.919, 0.0005},
		{"a reading at the limit", 0, 0.5, 0},
		{"acceptance at U from the limit, k = 2", 2, 0.977, 0.0005},
	} {
		near(t, tt.what, must(t)(NormalShare(tt.z)), tt.share, tt.printed)
	}
}

// TestNormalShareProperties: it never falls, the shares on both sides make the whole, and far out nothing or all is left.
func TestNormalShareProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(-40, 40).Draw(t, "a"), rapid.Float64Range(-40, 40).Draw(t, "b")
		x, err := NormalShare(min(a, b))
		y, err2 := NormalShare(max(a, b))
		if err != nil || err2 != nil || x > y+1e-16 || x < 0 || y > 1 {
			t.Fatalf("%v: %v, %v: %v (%v, %v)", min(a, b), x, max(a, b), y, err, err2)
		}
		if other, _ := NormalShare(-a); math.Abs(other+must(t)(NormalShare(a))-1) > 1e-15 {
			t.Fatalf("shares below %v and above it do not make the whole", a)
		}
	})
	if low, high := must(t)(NormalShare(-1e30)), must(t)(NormalShare(1e30)); low != 0 || high != 1 {
		t.Errorf("far out: %v and %v", low, high)
	}
}

func TestInstrumentRange(t *testing.T) {
	const zero = zeroCelsius
	tests := []struct {
		name        string
		call        func() (float64, error)
		field, says string
	}{
		{"a bare pipe loses", func() (float64, error) { return PipeLoss(0.022, 0, 0.036, zero+65, zero+15, 9) }, "", ""},
		{"a cold pipe gains", func() (float64, error) { return PipeLoss(0.022, 0.025, 0.036, zero+7, zero+21, 9) }, "", ""},
		{"equal temperatures", func() (float64, error) { return PipeLoss(0.022, 0.025, 0.036, zero+20, zero+20, 9) }, "", ""},
		{"no pipe", func() (float64, error) { return PipeLoss(0, 0.025, 0.036, zero+65, zero+15, 9) }, "od", "The outside diameter"},
		{"thickness below nothing", func() (float64, error) { return PipeLoss(0.022, -0.025, 0.036, zero+65, zero+15, 9) }, "s", "nothing or more"},
		{"no conductivity", func() (float64, error) { return PipeLoss(0.022, 0.025, 0, zero+65, zero+15, 9) }, "lambda", "conductivity"},
		{"no surface", func() (float64, error) { return InsulationSurface(0.022, 0.025, 0.036, zero+65, zero+15, 0) }, "h", "surface coefficient"},
		{"below the range", func() (float64, error) { return PipeLoss(0.022, 0.025, 0.036, zero-51, zero+15, 9) }, "ti", "this is -51 °C"},
		{"kelvin for degrees", func() (float64, error) { return PipeLoss(0.022, 0.025, 0.036, zero+65, zero+288, 9) }, "ta", "this is 288 °C"},
		{"a good factor", func() (float64, error) { return HeatPumpCOP(6420, 1780) }, "", ""},
		{"no heat", func() (float64, error) { return HeatPumpCOP(0, 1780) }, "heat", "The heat given off"},
		{"no power", func() (float64, error) { return HeatPumpCOP(6420, 0) }, "power", "The electrical power"},
		{"no electricity", func() (float64, error) { return SeasonalFactor(6420, 0) }, "energy", "The electricity of the season"},
		{"out of proportion", func() (float64, error) { return SeasonalFactor(1e300, 1e-300) }, "heat", "out of all proportion"},
		{"equal temperatures of a lift", func() (float64, error) { return CarnotCOP(zero+45, zero+45) }, "t_flow", "not warmer"},
		{"swapped temperatures", func() (float64, error) { return CarnotCOP(zero+45, zero+2) }, "t_flow", "swapped"},
		{"too hot a flow", func() (float64, error) { return CarnotCOP(zero+2, zero+318) }, "t_flow", "this is 318 °C"},
		{"a good level", func() (float64, error) { return PowerOfLevel(-71) }, "", ""},
		{"a level of thousands", func() (float64, error) { return PowerOfLevel(-7100) }, "L", "this is -7100 dBm"},
		{"no power to speak of", func() (float64, error) { return LevelOfPower(0) }, "P", "The power"},
		{"a good distance", func() (float64, error) { return PathLoss(12, 868.3e6) }, "", ""},
		{"within a wavelength", func() (float64, error) { return PathLoss(0.3, 868.3e6) }, "d", "which is 0.35 m here"},
		{"hertz for megahertz", func() (float64, error) { return PathLoss(12, 868.3) }, "d", "a wavelength on"},
		{"no frequency", func() (float64, error) { return PathLoss(12, 0) }, "f", "The frequency"},
		{"no distance", func() (float64, error) { return PathLoss(0, 868.3e6) }, "d", "The distance"},
		{"a link that does not hold", func() (float64, error) { return LinkMargin(-110, -104) }, "", ""},
		{"sensitivity out of range", func() (float64, error) { return LinkMargin(-71, 104) }, "sensitivity", "this is 104 dBm"},
		{"a good reading", func() (float64, error) { return Corrected(zero+60.4, 0.6) }, "", ""},
		{"an error for repair", func() (float64, error) { return Corrected(zero+60.4, 59.8) }, "error", "for repair"},
		{"no reading", func() (float64, error) { return Corrected(zero-273, 0) }, "t", "this is -273 °C"},
		{"no distribution", func() (float64, error) { return NormalShare(math.Inf(1)) }, "z", "standard deviations"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.call()
			wantRange(t, got, err, tt.field, tt.says)
		})
	}
}

// TestInsulationAgrees: what the insulation carries is what the surface gives off, and thicker insulation never warms the
// surface of a warm pipe; around a thin pipe it may raise the loss, which is why nothing is said of where that turns.
func TestInsulationAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, from, to float64) float64 { return rapid.Float64Range(from, to).Draw(t, name) }
		od, s, lambda, h := draw("od", 0.006, 0.11), draw("s", 0, 0.1), draw("lambda", 0.02, 0.5), draw("h", 3, 25)
		ti, ta := zeroCelsius+draw("ti", 30, 90), zeroCelsius+draw("ta", -20, 25)
		loss, surface := must(t)(PipeLoss(od, s, lambda, ti, ta, h)), must(t)(InsulationSurface(od, s, lambda, ti, ta, h))
		if off := (surface-ta)*h*math.Pi*(od+2*s) - loss; math.Abs(off) > 1e-9*loss {
			t.Fatalf("carries %v, gives off %v more", loss, off)
		}
		if thicker := must(t)(InsulationSurface(od, s+0.01, lambda, ti, ta, h)); thicker > surface {
			t.Fatalf("surface %v, with 10 mm more %v", surface, thicker)
		}
	})
	bare, thin := must(t)(PipeLoss(0.006, 0, 0.2, 340, 290, 9)), must(t)(PipeLoss(0.006, 0.003, 0.2, 340, 290, 9))
	if thin <= bare {
		t.Errorf("a bare 6 mm pipe loses %v, with 3 mm of poor insulation %v", bare, thin)
	}
}
