package brief_test

import (
	"math"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

func worked(t *testing.T, values map[string]string) (map[string]brief.Sampled, map[string]brief.Worked) {
	t.Helper()
	c, problems := brief.Compile(sample.Brief(), functions())
	if err := problems.Err(); err != nil {
		t.Fatal(err)
	}
	samples, items := brief.WorkThrough(c, values)
	s, w := map[string]brief.Sampled{}, map[string]brief.Worked{}
	for _, x := range samples {
		s[x.Name] = x
	}
	for _, x := range items {
		w[x.Item.Key] = x
	}
	return s, w
}

// The figures are worked by hand, from the sample's formulas.
func TestWorkThrough(t *testing.T) {
	samples, items := worked(t, map[string]string{"qv": "12 L/min", "tf": "70 °C", "tr": "50 °C"})
	if s := samples["tf"]; s.Value != "70 °C" || !s.Reading || s.Problem != "" {
		t.Errorf("tf is %+v", s)
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-6*math.Abs(want) {
			t.Errorf("%s: got %v, want %v", what, got, want)
		}
	}
	dt := items["dt"]
	near("dt", dt.Value, 20)
	heat := items["heat"]
	near("heat", heat.Value, 12.0/60*0.988*4.18*20) // kW
	if heat.From == nil || heat.To == nil || *heat.From >= heat.Value || *heat.To <= heat.Value {
		t.Errorf("the band of heat is %v to %v", heat.From, heat.To)
	}
	if len(heat.Ways) != 1 || !heat.Ways[0].Told || !heat.Ways[0].Known {
		t.Fatalf("the slips of heat are %+v", heat.Ways)
	}
	near("L/min taken as L/s", heat.Ways[0].Value, 60*heat.Value)
	if enough := items["enough"]; enough.Right == "" || len(enough.Ways) != 1 || enough.Ways[0].Leads == "" {
		t.Errorf("enough is %+v", enough)
	}
}

// A value that cannot be used leaves what rests on it not known, and says why.
func TestWorkThroughWithoutAValue(t *testing.T) {
	samples, items := worked(t, map[string]string{"tf": "7 bar"})
	if samples["tf"].Problem == "" {
		t.Error("7 bar is no temperature")
	}
	if dt := items["dt"]; dt.Known || !strings.Contains(dt.Why, "not known") {
		t.Errorf("dt is %+v", dt)
	}
	if samples["tr"].Problem != "" || samples["tr"].Value == "" {
		t.Errorf("tr is %+v", samples["tr"])
	}
}
