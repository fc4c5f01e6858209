package trade

import (
	"math"
	"testing"
)

func TestPressure(t *testing.T) {
	const bar = 1e5
	tests := []struct {
		name        string
		call        func(p, air float64) (float64, error)
		p, air      float64
		want        float64
		field, says string
	}{
		// EN 12828's 1 bar (from memory) and the standard atmosphere of the 10th CGPM, 1954.
		{"gauge with 1 bar of air", AbsolutePressure, 1.5 * bar, 1 * bar, 2.5 * bar, "", ""},
		{"gauge with the standard atmosphere", AbsolutePressure, 1.5 * bar, 101325, 251325, "", ""},
		{"a draught below the air around", AbsolutePressure, -10, 101325, 101315, "", ""},
		{"below a vacuum", AbsolutePressure, -1.1 * bar, 1 * bar, 0, "p", "-1.1 bar lies below a vacuum with 1 bar"},
		{"a full vacuum", AbsolutePressure, -1 * bar, 1 * bar, 0, "p", "below a vacuum"},
		{"no air", AbsolutePressure, 1.5 * bar, 0, 0, "air", "The pressure of the air"},
		{"not a number", AbsolutePressure, math.NaN(), 1 * bar, 0, "p", "Check the reading"},
		{"absolute to gauge", GaugePressure, 2.5 * bar, 1 * bar, 1.5 * bar, "", ""},
		{"absolute below the air", GaugePressure, 0.9 * bar, 1 * bar, -0.1 * bar, "", ""},
		{"no absolute pressure", GaugePressure, 0, 1 * bar, 0, "p", "An absolute pressure"},
		{"gauge, no air", GaugePressure, 2.5 * bar, -1, 0, "air", "The pressure of the air"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.call(tt.p, tt.air)
			wantRange(t, got, err, tt.field, tt.says)
			if tt.field == "" {
				near(t, tt.name, got, tt.want, 1e-9)
			}
		})
	}
}
