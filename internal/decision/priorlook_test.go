package decision

import (
	"testing"

	"witnessmark/internal/fault"
)

func TestPriorLook(t *testing.T) {
	const kept = fault.Kind(0)
	for _, c := range []struct {
		outcome SampleOutcome
		words   string
		want    fault.Kind
	}{
		{Agree, "", kept}, {Agree, " So. ", kept}, {AgreeWithAction, "Thin.", kept}, {Disagree, "No letter.", kept},
		{AgreeWithAction, " ", fault.KindInvalid}, {Disagree, "", fault.KindInvalid}, {"met", "So.", fault.KindInvalid}, {"", "So.", fault.KindInvalid},
	} {
		words, err := PriorLook(c.outcome, c.words)
		if (err == nil) != (c.want == kept) || err != nil && fault.KindOf(err) != c.want || words == " So. " {
			t.Errorf("%q %q: %q, %v; want kind %v", c.outcome, c.words, words, err, c.want)
		}
	}
	for _, c := range []struct{ part, conflict bool }{{true, false}, {false, true}, {true, true}} {
		if err := CheckPriorLooker(c.part, c.conflict); fault.KindOf(err) != fault.KindForbidden {
			t.Errorf("%+v: %v, want Forbidden", c, err)
		}
	}
	if err := CheckPriorLooker(false, false); err != nil {
		t.Errorf("somebody apart: %v", err)
	}
}
