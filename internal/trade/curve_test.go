package trade

import (
	"math"
	"strings"
	"testing"

	"witnessmark/internal/formula"
)

func boreEntry() Entry {
	return Entry{
		Function: formula.Function{Name: "bore", Params: []formula.Param{paramOD, paramWall}, Result: unitSize, Call: of2(TubeBore)},
		Example:  []string{"22 mm", "0.9 mm"}, Chart: Chart{Over: "od", From: "10 mm", To: "5.4 cm"},
	}
}

func TestCurve(t *testing.T) {
	curve, example, err := boreEntry().Curve(45)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "example", example.Y, 20.2, 1e-12)
	if len(curve) != 45 {
		t.Fatalf("got %d points", len(curve))
	}
	for i, p := range curve { // 10 to 54 mm in steps of 1, each less two walls of 0.9
		near(t, "x", p.X, 10+float64(i), 1e-9)
		near(t, "y", p.Y, p.X-1.8, 1e-9)
	}
}

func TestCurveRefuses(t *testing.T) {
	for name, tt := range map[string]struct {
		change func(e *Entry)
		says   string
	}{
		"no chart":         {func(e *Entry) { e.Chart = Chart{} }, "has no chart"},
		"another unit":     {func(e *Entry) { e.Chart.From = "10 L" }, "chart from"},
		"leaves the range": {func(e *Entry) { e.Chart.From = "1 mm" }, "at 1"},
		"short example":    {func(e *Entry) { e.Example = e.Example[:1] }, "has no chart"},
	} {
		e := boreEntry()
		tt.change(&e)
		if _, _, err := e.Curve(10); err == nil || !strings.Contains(err.Error(), tt.says) {
			t.Errorf("%s: got %v, want a word of %q", name, err, tt.says)
		}
	}
}

// Every chart of the reference can be drawn, and what it shows at the example is what the example gives.
func TestChartsAreWithinRange(t *testing.T) {
	for _, s := range Subjects() {
		for _, e := range s.Entries {
			if e.Chart == (Chart{}) {
				continue
			}
			curve, example, err := e.Curve(30)
			if err != nil {
				t.Error(err)
				continue
			}
			low, high := math.Inf(1), math.Inf(-1)
			for _, p := range curve {
				low, high = math.Min(low, p.Y), math.Max(high, p.Y)
			}
			if !(high > low) || math.IsInf(high, 0) || math.IsNaN(example.Y) {
				t.Errorf("%s: the chart runs from %v to %v", e.Name, low, high)
			}
		}
	}
}
