package trade

import (
	"math"
	"strings"
	"testing"
)

// TestServiceKinds: net and gross, gauge and absolute come out right where a brief puts functions together, and mixing them
// up is refused when the formula is compiled.
func TestServiceKinds(t *testing.T) {
	units := map[string]string{"V": "ft³", "time": "s", "pm": "mbar(g)", "air": "mbar", "t": "°C", "CV": "MJ/m³", "CVn": "MJ/m³ net", "r": "",
		"tF": "°C", "tA": "°C", "O2": "%", "eta": "% gross", "dT": "K"}
	values := map[string]float64{"V": 2, "time": 98, "pm": 21, "air": 1013.25, "t": 12, "CV": 39.2, "r": 1.11, "tF": 58.5, "tA": 19.2, "O2": 4.8}
	// 2 ft³ are 0.056633693184 m³; 1034.25/1013.25 × 288.15/285.15 of that, over 98 s, times 39.2 MJ/m³.
	gross := 0.056633693184 * (1034.25 / 1013.25) * (288.15 / 285.15) / 98 * 39200
	eta := 100 - 39.3*(0.66/16.2+0.009)
	tests := []struct {
		text, unit string
		want       float64
		refused    string
	}{
		{"heat_input(reference_volume(V, absolute(pm, air), t), time, CV)", "kW gross", gross, ""},
		{"heat_input(reference_volume(V, absolute(pm), t), time, CV)", "kW", gross, ""},
		{"net_input(heat_input(reference_volume(V, absolute(pm), t), time, CV), r)", "kW net", gross / 1.11, ""},
		{"100 % − flue_loss(tF, tA, O2, 0.66, 0.009)", "% net", eta, ""},
		{"gross_efficiency(100 % − flue_loss(tF, tA, O2, 0.66, 0.009), r)", "% gross", eta / 1.11, ""},
		{"heat_input(V, time, CV)", "kW net", 0, "gross"},
		{"heat_input(V, time, CVn)", "kW gross", 0, "net"},
		{"net_input(heat_input(V, time, CV), r)", "kW gross", 0, "net"},
		{"100 % − flue_loss(tF, tA, O2, 0.66, 0.009)", "% gross", 0, "net"},
		{"gross_efficiency(eta, r)", "% gross", 0, "gross"},
		{"reference_volume(V, pm, t)", "m³", 0, "gauge"},
		{"leak_rate(V, 2 mbar, time, pm)", "m³/h", 0, "gauge"},
		{"conductor(0.5 Ω, dT)", "Ω", 0, "temperature"},
		{"hot_share(t, t, dT)", "", 0, "temperature"},
	}
	for _, tt := range tests {
		t.Run(tt.text+" in "+tt.unit, func(t *testing.T) {
			got, err := evaluate(t, tt.text, tt.unit, units, values)
			if tt.refused != "" {
				if err == nil || !strings.Contains(err.Error(), tt.refused) {
					t.Fatalf("got %v and %v, want an error that says %q", got, err, tt.refused)
				}
				return
			}
			if err != nil {
				t.Fatalf("got %v, want %v", err, tt.want)
			}
			near(t, tt.text, got, tt.want, 1e-12*math.Abs(tt.want))
		})
	}
}
