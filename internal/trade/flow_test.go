package trade

import (
	"math"
	"testing"
)

// flowVectors: the calculations' own gravity is 9.80665 m/s².
var flowVectors = map[string]func(t *testing.T, v vector) float64{
	"P03": func(t *testing.T, v vector) float64 { // 1/√f = −2 log10(k/(3.7 d)+2.51/(Re √f))
		return must(t)(Friction(v.Inputs["Re"], v.Inputs["k"]/1e3, v.Inputs["di"]/1e3))
	},
	"P04": func(t *testing.T, v vector) float64 { // f/di·rho·v²/2
		return must(t)(PressureGradient(v.Inputs["f"], v.Inputs["di"]/1e3, v.Inputs["v"], v.kelvin("t")))
	},
	"P05": func(t *testing.T, v vector) float64 { // sum(zeta)·rho·v²/2
		zeta := v.Inputs["nel"]*v.Inputs["zel"] + v.Inputs["ntee"]*v.Inputs["ztee"]
		return must(t)(FittingsLoss(zeta, v.Inputs["v"], v.kelvin("t")))
	},
	"P07": func(t *testing.T, v vector) float64 { // dp/(rho·g)
		return must(t)(Head(v.Inputs["dp"]*1e3, v.kelvin("t")))
	},
	"P10": func(t *testing.T, v vector) float64 { // qv/√dp
		return must(t)(FlowCoefficient(v.Inputs["qv"]*perMinute, v.Inputs["dp"]*1e3)) * 3600
	},
	"P12": func(t *testing.T, v vector) float64 { // alpha·L·(t2−t1)
		return must(t)(Growth(v.Inputs["alpha"]*1e-6, v.Inputs["L"], v.kelvin("t1"), v.kelvin("t2"))) * 1e3
	},
	"D08": func(t *testing.T, v vector) float64 { // rho·g·h
		return must(t)(StaticPressure(v.Inputs["h"], v.kelvin("t"))) / 1e3
	},
}

// TestTubeGradient: the whole chain against its links worked on their own in Python, with python3-iapws for water and
// the friction factor by halving: 12.4 L/min in 22 mm × 0.9 mm of 0.0015 mm at 60 °C.
func TestTubeGradient(t *testing.T) {
	got := must(t)(TubeGradient(12.4*perMinute, 0.022, 0.0009, 1.5e-6, 60+zeroCelsius))
	near(t, "gradient", got, 244.59818523653382, 1e-11*got)
}

func TestFlowRange(t *testing.T) {
	const warm = 60 + zeroCelsius
	type call = func() (float64, error)
	gradient := func(f, bore, v, celsius float64) call {
		return func() (float64, error) { return PressureGradient(f, bore, v, celsius+zeroCelsius) }
	}
	tube := func(perMin, od, wall, k, celsius float64) call {
		return func() (float64, error) {
			return TubeGradient(perMin*perMinute, od/1e3, wall/1e3, k/1e3, celsius+zeroCelsius)
		}
	}
	growth := func(alpha, length, c1, c2 float64) call {
		return func() (float64, error) { return Growth(alpha, length, c1+zeroCelsius, c2+zeroCelsius) }
	}
	tests := []struct {
		name        string
		call        call
		field, says string
	}{
		{"gradient", gradient(0.024, 0.02, 0.6, 60), "", ""},
		{"no friction", gradient(0, 0.02, 0.6, 60), "f", "The friction factor must be"},
		{"no bore", gradient(0.024, 0, 0.6, 60), "bore", "The bore must be"},
		{"no velocity", gradient(0.024, 0.02, 0, 60), "v", "The velocity must be"},
		{"ice", gradient(0.024, 0.02, 0.6, -0.1), "t", "from 0 °C"},
		{"steam", gradient(0.024, 0.02, 0.6, 128), "t", "up to 127.41 °C"},
		{"tube", tube(12.4, 22, 0.9, 0.0015, 60), "", ""},
		{"no flow", tube(0, 22, 0.9, 0.0015, 60), "flow", "The flow must be"},
		{"laminar flow", tube(0.5, 22, 0.9, 0.0015, 60), "flow", "friction_laminar(Re) holds there. Check flow, bore and temperature"},
		{"no bore left", tube(12.4, 22, 11, 0.0015, 60), "wall", "leave no bore"},
		{"no tube", tube(12.4, 0, 0.9, 0.0015, 60), "od", "The outside diameter"},
		{"roughness in the wrong unit", tube(12.4, 22, 0.9, 1.5, 60), "k", "1.5 mm in a bore of 20.2 mm"},
		{"frozen tube", tube(12.4, 22, 0.9, 0.0015, -5), "t", "this is -5 °C"},
		{"fittings", func() (float64, error) { return FittingsLoss(9, 0.6, warm) }, "", ""},
		{"no fittings", func() (float64, error) { return FittingsLoss(0, 0.6, warm) }, "zeta", "The sum of loss coefficients"},
		{"kv", func() (float64, error) { return FlowCoefficient(1e-4, 7500) }, "", ""},
		{"kv, no flow", func() (float64, error) { return FlowCoefficient(0, 7500) }, "flow", "The flow must be"},
		{"kv, equal pressures", func() (float64, error) { return FlowCoefficient(1e-4, 0) }, "dp", "The pressure difference must be"},
		{"head", func() (float64, error) { return Head(18e3, warm) }, "", ""},
		{"no pressure", func() (float64, error) { return Head(0, warm) }, "dp", "The pressure difference must be"},
		{"head of ice", func() (float64, error) { return Head(18e3, 270) }, "t", "from 0 °C"},
		{"column", func() (float64, error) { return StaticPressure(4, warm) }, "", ""},
		{"no height", func() (float64, error) { return StaticPressure(0, warm) }, "h", "The height must be"},
		{"growth", growth(17e-6, 7.4, 12, 72), "", ""},
		{"it stays as it is", growth(17e-6, 7.4, 20, 20), "", ""},
		{"no coefficient", growth(0, 7.4, 12, 72), "alpha", "this is 0 mm"},
		{"coefficient without its power of ten", growth(17, 7.4, 12, 72), "alpha", "at most 1 mm a metre and kelvin; this is 17000 mm"},
		{"no length", growth(17e-6, 0, 12, 72), "L", "The length must be"},
		{"colder than pipes get", growth(17e-6, 7.4, -60, 72), "t1", "this is -60 °C"},
		{"hotter than pipes get", growth(17e-6, 7.4, 12, 345.15), "t2", "this is 345.15 °C"},
		{"no temperature", growth(17e-6, 7.4, 12, math.NaN()), "t2", "from -50 °C to 250 °C"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.call()
			wantRange(t, got, err, tt.field, tt.says)
		})
	}
}

// TestGrowthShrinks: cooled, a pipe loses what it gained.
func TestGrowthShrinks(t *testing.T) {
	near(t, "growth", must(t)(Growth(17e-6, 7.4, 72+zeroCelsius, 12+zeroCelsius)), -7.548e-3, 1e-15) // by hand: 17e-6·7.4·60
}
