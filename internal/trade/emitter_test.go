package trade

import (
	"math"
	"strings"
	"testing"
)

var emitterVectors = map[string]func(t *testing.T, v vector) float64{
	"H04": func(t *testing.T, v vector) float64 { // Phin·(((tf+tr)/2−ta)/50)^n
		excess := must(t)(MeanExcess(v.kelvin("tf"), v.kelvin("tr"), v.kelvin("ta")))
		near(t, "H04 excess", excess, v.step(t, "dT"), 1e-12*excess)
		return must(t)(EmitterOutput(v.Inputs["Phin"], excess, 50, v.Inputs["n"]))
	},
	"H05": func(t *testing.T, v vector) float64 { // Phin·(LM/LMn)^n, LMn that of 75/65/20
		rated := must(t)(LogExcess(75+zeroCelsius, 65+zeroCelsius, 20+zeroCelsius))
		near(t, "H05 rated excess", rated, v.step(t, "LMn"), 1e-12*rated)
		excess := must(t)(LogExcess(v.kelvin("tf"), v.kelvin("tr"), v.kelvin("ta")))
		near(t, "H05 excess", excess, v.step(t, "LM"), 1e-12*excess)
		return must(t)(EmitterOutput(v.Inputs["Phin"], excess, rated, v.Inputs["n"]))
	},
	"H06": func(t *testing.T, v vector) float64 { // Phi/(dT/50)^n
		return v.Inputs["Phi"] / must(t)(EmitterOutput(1, v.Inputs["dT"], 50, v.Inputs["n"]))
	},
}

// TestEmitter: emitter.csv, logarithmic means worked in mpmath, output factors in Python from EN 442-2's characteristic
// equation; all to ten figures.
func TestEmitter(t *testing.T) {
	plain := strings.NewReplacer("from ", "", " to dT=", "; to=", "nominal ", "nominal=")
	_, body := rows(t, "emitter.csv")
	for _, row := range body {
		t.Run(row[0]+" "+row[1], func(t *testing.T) {
			in, want, got := inputs(t, plain.Replace(row[1])), decimal(t, row[2]), 0.0
			tf, tr, ta := in["flow"]+zeroCelsius, in["return"]+zeroCelsius, in["room"]+zeroCelsius
			switch row[0] {
			case "arithmetic mean excess":
				got = must(t)(MeanExcess(tf, tr, ta))
			case "log mean excess":
				got = must(t)(LogExcess(tf, tr, ta))
			case "EN 442 output factor":
				got = must(t)(EmitterOutput(1, in["dT"], in["nominal"], in["n"]))
			case "EN 442 conversion between nominal excesses":
				got = must(t)(EmitterOutput(1, in["to"], in["dT"], in["n"]))
			default:
				t.Fatalf("no check for %q", row[0])
			}
			near(t, row[0], got, want, halfUnit(want, 10))
		})
	}
}

// TestLogMean: between its equals the logarithmic mean neither loses digits nor jumps. The figures are worked in Python's
// decimal with 50 digits.
func TestLogMean(t *testing.T) {
	tests := []struct{ a, b, want float64 }{
		{50, 50, 50},
		{50, 49.999999999, 49.9999999995},
		{50, 49, 49.49831645250915},
		{55, 50, 52.46029343628535},
		{50, 45.25, 47.5854943441219},
		{50, 45, 47.456107905149516},
		{50, 1, 12.52548871313124},
	}
	for _, tt := range tests {
		near(t, "mean", logMean(tt.a, tt.b), tt.want, 1e-14*tt.want)
		near(t, "mean the other way round", logMean(tt.b, tt.a), tt.want, 1e-14*tt.want)
	}
}

func TestEmitterRange(t *testing.T) {
	three := func(f func(a, b, c float64) (float64, error), tf, tr, ta float64) func() (float64, error) {
		return func() (float64, error) { return f(tf+zeroCelsius, tr+zeroCelsius, ta+zeroCelsius) }
	}
	emitter := func(rated, excess, at, n float64) func() (float64, error) {
		return func() (float64, error) { return EmitterOutput(rated, excess, at, n) }
	}
	tests := []struct {
		name        string
		call        func() (float64, error)
		field, says string
	}{
		{"mean", three(MeanExcess, 65, 52, 20), "", ""},
		{"mean, return below the room", three(MeanExcess, 65, 18, 20), "", ""},
		{"all equal", three(MeanExcess, 20, 20, 20), "ta", "(20 °C) is not above the room (20 °C)"},
		{"mean below the room", three(MeanExcess, 21, 15, 20), "ta", "flow and return (18 °C) is not above"},
		{"frozen room", three(MeanExcess, 65, 52, -1), "ta", "from 0 °C to 150 °C; this is -1 °C"},
		{"flow of steam", three(MeanExcess, 151, 52, 20), "tf", "this is 151 °C"},
		{"no return", three(MeanExcess, 65, math.NaN(), 20), "tr", "Emitters are worked"},
		{"log", three(LogExcess, 70, 40, 20), "", ""},
		{"log, equal flow and return", three(LogExcess, 70, 70, 20), "", ""},
		{"log, return at the room", three(LogExcess, 70, 20, 20), "tr", "The return (20 °C) is not above the room (20 °C)"},
		{"log, flow below the room", three(LogExcess, 15, 40, 20), "tf", "The flow (15 °C) is not above the room (20 °C)"},
		{"log, frozen return", three(LogExcess, 70, -4, 20), "tr", "this is -4 °C"},
		{"output", emitter(1480, 38.5, 50, 1.31), "", ""},
		{"no rated output", emitter(0, 38.5, 50, 1.31), "rated", "The rated output must be"},
		{"no excess", emitter(1480, 0, 50, 1.31), "excess", "The excess temperature must be"},
		{"kelvin taken for the excess", emitter(1480, 338, 50, 1.31), "excess", "up to 150 K; this is 338 K"},
		{"no rated excess", emitter(1480, 38.5, 0, 1.31), "rated_excess", "The rated excess temperature must be"},
		{"exponent for percent", emitter(1480, 38.5, 50, 131), "n", "between 1 and 1.6; this is 131"},
		{"exponent below one", emitter(1480, 38.5, 50, 0.9), "n", "this is 0.9"},
		{"no exponent", emitter(1480, 38.5, 50, math.NaN()), "n", "between 1 and 1.6"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.call()
			wantRange(t, got, err, tt.field, tt.says)
		})
	}
}
