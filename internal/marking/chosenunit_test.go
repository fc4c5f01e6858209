package marking

import (
	"math"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/quantity"
)

// Policy 3: a reading in a unit that was chosen and not asked for converts by exact factor, and is judged by the limit as if
// it had been stated in the asked one.
func TestChosenUnit(t *testing.T) {
	b := sample.Brief()
	for _, st := range b.Stages {
		for i := range st.Items {
			if it := &st.Items[i]; it.Key == "continuity" {
				it.Reading.Limit = &brief.Limit{AtMost: "0.5 Ω"}
			}
		}
	}
	c, problems := brief.Compile(b, functions())
	if err := problems.Err(); err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		text, unit string
		converted  float64
		verdict    Verdict
	}{
		{"0.12", "", 0.12, WithinLimit},
		{"0.12", "Ω", 0.12, WithinLimit},
		{"120", "mΩ", 0.12, WithinLimit},
		{"500", "mΩ", 0.5, WithinLimit}, // the limit itself, to the last bit
		{"501", "mΩ", 0.501, OutsideLimit},
		{"0.0005", "kΩ", 0.5, WithinLimit},
		{"120 mΩ", "", 0.12, WithinLimit},
		{"120 mΩ", "mΩ", 0.12, WithinLimit},
		{"120 mΩ", "Ω", 0, ToRead}, // two units
		{"0.12", "V", 0, UnitWrong},
		{"120", "mohm", 0.12, WithinLimit},
		{"> 600", "mΩ", 0, OutsideLimit},
	} {
		sheet := Sheet{Given: brief.Draw(b, 1), Entries: []Entry{{Item: "continuity", Text: x.text, Unit: x.unit}}}
		for _, f := range Mark(c, sheet).Findings {
			if f.Item != "continuity" {
				continue
			}
			got := 0.0
			if f.Converted != nil {
				got = *f.Converted
			}
			if f.Verdict != x.verdict || math.Abs(got-x.converted) > 1e-12 {
				t.Errorf("%s %s: %s, %g; want %s, %g", x.text, x.unit, f.Verdict, got, x.verdict, x.converted)
			}
		}
	}
	if us := quantity.Beside(quantity.MustUnit("Ω")); len(us) != 3 {
		t.Errorf("beside Ω stand %v: the rows above are for Ω, mΩ and kΩ", us)
	}
}
