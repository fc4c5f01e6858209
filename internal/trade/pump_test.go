package trade

import "testing"

var pumpVectors = map[string]func(t *testing.T, v vector) float64{
	"P08": func(t *testing.T, v vector) float64 { // H1·(n2/n1)², P1·(n2/n1)³
		head := must(t)(PumpHead(v.Inputs["H1"], v.Inputs["n1"], v.Inputs["n2"]))
		near(t, "P08 head", head, v.step(t, "H2"), 1e-12*head)
		return must(t)(PumpPower(v.Inputs["P1"], v.Inputs["n1"], v.Inputs["n2"]))
	},
}

// TestPump: by hand, at four fifths of the speed: 0.8, 0.64 and 0.512 of the figures.
func TestPump(t *testing.T) {
	near(t, "flow", must(t)(PumpFlow(16.2, 2750, 2200)), 12.96, 1e-14)
	near(t, "head", must(t)(PumpHead(4.2, 2750, 2200)), 2.688, 1e-15)
	near(t, "power", must(t)(PumpPower(38, 2750, 2200)), 19.456, 1e-14)
}

func TestPumpRange(t *testing.T) {
	pump := func(f func(a, n1, n2 float64) (float64, error), a, n1, n2 float64) func() (float64, error) {
		return func() (float64, error) { return f(a, n1, n2) }
	}
	tests := []struct {
		name        string
		call        func() (float64, error)
		field, says string
	}{
		{"flow", pump(PumpFlow, 1, 2750, 2200), "", ""},
		{"the same speed", pump(PumpFlow, 1, 2750, 2750), "", ""},
		{"ten times the speed", pump(PumpFlow, 1, 300, 3000), "", ""},
		{"no flow", pump(PumpFlow, 0, 2750, 2200), "q1", "The flow must be"},
		{"no head", pump(PumpHead, 0, 2750, 2200), "h1", "The head must be"},
		{"no power", pump(PumpPower, -1, 2750, 2200), "p1", "The power must be"},
		{"standing still", pump(PumpPower, 38, 0, 2200), "n1", "The first speed must be"},
		{"switched off", pump(PumpPower, 38, 2750, 0), "n2", "The second speed must be"},
		{"turns a second for a minute", pump(PumpHead, 4.2, 2750, 36), "n2", "this is 0.01 times"},
		{"far too fast", pump(PumpHead, 4.2, 100, 1001), "n2", "this is 10.01 times"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.call()
			wantRange(t, got, err, tt.field, tt.says)
		})
	}
}
