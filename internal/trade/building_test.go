package trade

import (
	"math"
	"testing"
)

var buildingVectors = map[string]func(t *testing.T, v vector) float64{
	"H07": func(t *testing.T, v vector) float64 { // 1/(Rsi + sum(d/lambda) + Rse), 0.13 and 0.04 m²·K/W
		r := 0.13 + 0.04
		for _, i := range []string{"1", "2", "3", "4"} {
			r += must(t)(LayerResistance(v.Inputs["d"+i]/1e3, v.Inputs["l"+i]))
		}
		return 1 / r
	},
	"H08": func(t *testing.T, v vector) float64 { // 2/(upper + lower)
		return must(t)(BridgedTransmittance(v.Inputs["dins"]/1e3, v.Inputs["lins"], v.Inputs["ltim"], v.Inputs["f"], v.Inputs["Rrest"]))
	},
	"H09": func(t *testing.T, v vector) float64 { // sum(A·U)·(ti−te), the window taken off the wall
		loss := func(area float64, u string) float64 {
			return must(t)(FabricLoss(area, v.Inputs[u], v.kelvin("ti"), v.kelvin("te")))
		}
		return loss(v.Inputs["Aw"]-v.Inputs["Awin"], "Uw") + loss(v.Inputs["Awin"], "Uwin") + loss(v.Inputs["Af"], "Uf")
	},
	"H10": func(t *testing.T, v vector) float64 { // 0.34·n·V·(ti−te)
		volume := v.Inputs["L"] * v.Inputs["W"] * v.Inputs["hgt"]
		return must(t)(VentilationLoss(v.Inputs["n"]/3600, volume, v.kelvin("ti"), v.kelvin("te")))
	},
	"H12": func(t *testing.T, v vector) float64 { // psi·L·dT
		return must(t)(BridgeLoss(v.Inputs["psi"], v.Inputs["L"], v.Inputs["dT"]+zeroCelsius, zeroCelsius))
	},
}

// TestBridged: ISO 6946's combined method by hand. 0.2 m of 0.04 W/(m·K) has 5 m²·K/W, of 0.1 W/(m·K) 2; with 1 m²·K/W
// besides the paths have 6 and 3. A quarter of bridge: upper limit 1/(0.75/6 + 0.25/3) = 4.8; mixed conductivity 0.055,
// lower limit 1 + 0.2/0.055 = 51/11. U = 2/(4.8 + 51/11).
func TestBridged(t *testing.T) {
	tests := []struct {
		name                string
		bridge, share, want float64
	}{
		{"a quarter", 0.1, 0.25, 2 / (4.8 + 51.0/11)},
		{"no bridge", 0.1, 0, 1.0 / 6},
		{"nothing but bridge", 0.1, 1, 1.0 / 3},
		{"a bridge no better than the layer", 0.04, 0.25, 1.0 / 6},
	}
	for _, tt := range tests {
		got := must(t)(BridgedTransmittance(0.2, 0.04, tt.bridge, tt.share, 1))
		near(t, tt.name, got, tt.want, 1e-15)
	}
}

// TestLossSign: where the other side is warmer the room gains, and at equal temperatures nothing passes.
func TestLossSign(t *testing.T) {
	const ti, te = 21 + zeroCelsius, -3 + zeroCelsius
	near(t, "loss", must(t)(FabricLoss(11.8, 0.3, ti, te)), 84.96, 1e-12) // by hand: 11.8·0.3·24
	near(t, "gain", must(t)(FabricLoss(11.8, 0.3, te, ti)), -84.96, 1e-12)
	near(t, "nothing", must(t)(FabricLoss(11.8, 0.3, ti, ti)), 0, 0)
	near(t, "air", must(t)(VentilationLoss(1.5/3600, 40.32, te, ti)), -493.5168, 1e-11) // by hand: 0.34·1.5·40.32·24
	near(t, "corner", must(t)(BridgeLoss(-0.06, 11.4, ti, te)), -16.416, 1e-12)         // by hand: 0.06·11.4·24
}

func TestBuildingRange(t *testing.T) {
	bridged := func(d, layer, bridge, share, rest float64) func() (float64, error) {
		return func() (float64, error) { return BridgedTransmittance(d, layer, bridge, share, rest) }
	}
	layer := func(d, lambda float64) func() (float64, error) {
		return func() (float64, error) { return LayerResistance(d, lambda) }
	}
	loss := func(f func(a, b, ti, te float64) (float64, error), a, b, ti, te float64) func() (float64, error) {
		return func() (float64, error) { return f(a, b, ti+zeroCelsius, te+zeroCelsius) }
	}
	tests := []struct {
		name        string
		call        func() (float64, error)
		field, says string
	}{
		{"layer", layer(0.1, 0.19), "", ""},
		{"no thickness", layer(0, 0.19), "d", "The thickness must be"},
		{"no conductivity", layer(0.1, 0), "lambda", "The conductivity must be"},
		{"bridged", bridged(0.14, 0.035, 0.13, 0.15, 0.42), "", ""},
		{"bridged, no thickness", bridged(0, 0.035, 0.13, 0.15, 0.42), "d", "The thickness must be"},
		{"bridged, no layer", bridged(0.14, 0, 0.13, 0.15, 0.42), "lambda", "The layer's conductivity must be"},
		{"bridged, no bridge", bridged(0.14, 0.035, 0, 0.15, 0.42), "lambda_bridge", "The bridge's conductivity must be"},
		{"share in percent without its sign", bridged(0.14, 0.035, 0.13, 15, 0.42), "share", "between 0 and 1 (0 % and 100 %); this is 15"},
		{"share below nothing", bridged(0.14, 0.035, 0.13, -0.15, 0.42), "share", "this is -0.15"},
		{"share no number", bridged(0.14, 0.035, 0.13, math.NaN(), 0.42), "share", "between 0 and 1"},
		{"no surfaces", bridged(0.14, 0.035, 0.13, 0.15, 0), "rest", "The resistance of the other layers"},
		{"steel", bridged(0.14, 0.035, 50, 0.01, 0.42), "lambda_bridge", "more than 1.5 times the lower one"},
		{"fabric", loss(FabricLoss, 11.8, 0.3, 21, -3), "", ""},
		{"no area", loss(FabricLoss, 0, 0.3, 21, -3), "A", "The area must be"},
		{"no transmittance", loss(FabricLoss, 11.8, 0, 21, -3), "U", "The transmittance must be"},
		{"room in kelvin", loss(FabricLoss, 11.8, 0.3, 294.15, -3), "ti", "from -50 °C to 100 °C; this is 294.15 °C"},
		{"colder than anywhere", loss(FabricLoss, 11.8, 0.3, 21, -51), "te", "this is -51 °C"},
		{"air", loss(VentilationLoss, 1.5/3600, 40, 21, -3), "", ""},
		{"no air", loss(VentilationLoss, 0, 40, 21, -3), "n", "The number of air changes must be"},
		{"no room", loss(VentilationLoss, 1.5/3600, 0, 21, -3), "V", "The volume must be"},
		{"air of no temperature", loss(VentilationLoss, 1.5/3600, 40, 21, math.NaN()), "te", "Rooms and what lies around"},
		{"bridge", loss(BridgeLoss, 0.06, 11.4, 21, -3), "", ""},
		{"no bridge", loss(BridgeLoss, 0, 11.4, 21, -3), "", ""},
		{"far too much of a bridge", loss(BridgeLoss, 6, 11.4, 21, -3), "psi", "-2 to 2 W/(m·K); this is 6"},
		{"no number of a bridge", loss(BridgeLoss, math.NaN(), 11.4, 21, -3), "psi", "-2 to 2"},
		{"no length", loss(BridgeLoss, 0.06, 0, 21, -3), "L", "The length must be"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.call()
			wantRange(t, got, err, tt.field, tt.says)
		})
	}
}
