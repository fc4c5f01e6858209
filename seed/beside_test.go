package seed_test

import (
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
	"witnessmark/internal/quantity"
	"witnessmark/seed"
)

// alone are the units of readings that stand without a choice beside them, and why.
var alone = map[string]string{
	"°C":   "thermometers at the bench show nothing else",
	"K":    "a difference has no other name in the trade",
	"%":    "an analyser shows oxygen in it and nothing else",
	"ppm":  "an analyser shows CO in it and nothing else",
	"rpm":  "a pump's display",
	"mg/L": "test strips",
	"mm/m": "a level",
	"":     "a plain number",
}

// Every reading of the demonstration has a choice of units or a reason to have none, and whichever is chosen, the marker has
// the same value in the asked unit (marking policy 3: units convert by exact factor).
func TestUnitsOfReadings(t *testing.T) {
	bs, err := seed.Briefs()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, file := range bs {
		b, err := brief.Read(file.Source)
		if err != nil {
			t.Fatal(err)
		}
		for _, st := range b.Stages {
			for i := range st.Items {
				it := &st.Items[i]
				if it.Reading == nil {
					continue
				}
				n++
				asked := quantity.MustUnit(it.Reading.Unit)
				us := quantity.Beside(asked)
				if _, ok := alone[asked.String()]; ok != (len(us) == 1) {
					t.Errorf("%s, %s: %q has the choice %v, and a reason to stand alone: %v", file.File, it.Key, asked, us, ok)
				}
				for _, u := range us {
					asUnitChosen(t, it, u)
				}
			}
		}
	}
	if n < 100 {
		t.Errorf("%d readings, want the demonstration's", n)
	}
}

// asUnitChosen states 2.5 of the asked unit in another one.
func asUnitChosen(t *testing.T, it *brief.Item, u quantity.Unit) {
	t.Helper()
	asked := quantity.MustUnit(it.Reading.Unit)
	stated, err := quantity.Convert(2.5, asked, u)
	if err != nil {
		t.Errorf("%s: %v", it.Key, err)
		return
	}
	text := quantity.FormatFigures(stated, quantity.One, 12)
	unit := ""
	if !u.Equal(asked) {
		unit = u.String()
	}
	a := marking.ReadAs(&brief.Item{Reading: &brief.Reading{Unit: it.Reading.Unit}}, text, unit, "")
	if a.Number == nil || a.Why != "" || a.ToTutor {
		t.Errorf("%s: %s %s reads as %+v", it.Key, text, u, a)
	}
}
