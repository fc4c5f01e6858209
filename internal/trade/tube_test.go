package trade

import (
	"math"
	"strings"
	"testing"
)

// TestCopperTube: rows of EN 1057 outside diameter × wall (from memory or public pages, as each row says), the geometry
// worked outside the project to eight figures.
func TestCopperTube(t *testing.T) {
	_, body := rows(t, "copper_tube.csv")
	for _, row := range body {
		t.Run(row[0]+" "+row[1], func(t *testing.T) {
			od, wall, _ := strings.Cut(row[1], " x ")
			outside, thick := decimal(t, od)/1e3, decimal(t, wall)/1e3
			var got float64
			switch row[0] {
			case "copper bore":
				got = must(t)(TubeBore(outside, thick)) * 1e3
			case "copper bore area":
				got = must(t)(TubeArea(outside, thick)) * 1e6
			case "copper content":
				got = must(t)(TubeContent(outside, thick, 1)) * 1e3
			case "flow at 1 m/s":
				got = must(t)(TubeFlow(1, outside, thick)) * 1e3
			default:
				t.Fatalf("no check for %q", row[0])
			}
			want := decimal(t, row[2])
			near(t, row[0], got, want, halfUnit(want, 8))
		})
	}
}

func TestTubeRange(t *testing.T) {
	const od, wall = 0.022, 0.0009
	call3 := func(f func(a, b, c float64) (float64, error), a, b, c float64) func() (float64, error) {
		return func() (float64, error) { return f(a, b, c) }
	}
	bore := func(od, wall float64) func() (float64, error) {
		return func() (float64, error) { return TubeBore(od, wall) }
	}
	tests := []struct {
		name        string
		call        func() (float64, error)
		field, says string
	}{
		{"22 mm", bore(od, wall), "", ""},
		{"no diameter", bore(0, wall), "od", "outside diameter must be more than nothing"},
		{"diameter below nothing", bore(-od, wall), "od", "outside diameter"},
		{"no wall", bore(od, 0), "wall", "The wall must be more than nothing"},
		{"all wall", bore(od, 0.011), "wall", "Two walls of 11 mm leave no bore in a tube of 22 mm"},
		{"wall in metres for millimetres", bore(od, 0.9), "wall", "900 mm"},
		{"not a number", bore(math.NaN(), wall), "od", "outside diameter"},
		{"endless", bore(math.Inf(1), wall), "od", "outside diameter"},
		{"velocity", call3(TubeVelocity, 2e-4, od, wall), "", ""},
		{"no flow", call3(TubeVelocity, 0, od, wall), "flow", "The flow must be more than nothing"},
		{"flow backwards", call3(TubeVelocity, -2e-4, od, wall), "flow", "sign"},
		{"velocity in no tube", call3(TubeVelocity, 2e-4, 0, wall), "od", "outside diameter"},
		{"no velocity", call3(TubeFlow, 0, od, wall), "v", "The velocity"},
		{"flow in no tube", call3(TubeFlow, 1, od, 1), "wall", "no bore"},
		{"no length", call3(TubeContent, od, wall, 0), "length", "The length"},
		{"content of no tube", call3(TubeContent, od, od, 1), "wall", "no bore"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.call()
			wantRange(t, got, err, tt.field, tt.says)
		})
	}
}
