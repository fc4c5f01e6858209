package pdf_test

import (
	"strings"
	"testing"

	"witnessmark/internal/decision"
	"witnessmark/internal/portfolio/portfoliotest"
)

// What was typed before the release of the hold point that it stands behind, or is not proved to be from after it, is said beside it,
// in the words that files have.
func TestPortfolioSaysWhatCameBeforeARelease(t *testing.T) {
	src, files := portfoliotest.Source(t)
	at := &src.Tasks[0].Attempts[0]
	for i := range at.Entries {
		e := &at.Entries[i]
		switch e.Item {
		case "isolation", "noise":
			e.Order = decision.Before
		case "demand":
			if e.Order = decision.NotProved; e.Part == "heat/pump" {
				e.Order = decision.Before
			}
		case "qv":
			e.Order, e.HoldOf = decision.Before, 2
		case "tf":
			e.Order, e.HoldOf = decision.NotProved, 2
		}
	}
	text := unbroken(t, drawPortfolio(t, src, files))
	for name, want := range map[string]string{
		"an observation":                "Captured before the hold point was released. phone 21 Apr 2026 10:43:00 · received 10:44:34 BST",
		"a step":                        "Captured before the hold point was released. phone 21 Apr 2026 10:30:00 received 10:31:34 BST",
		"cells of a row":                "1 of 2: Captured before the hold point was released. 1 of 2: Not proved that it was captured after the hold point was released. 21 Apr 2026",
		"a whole row":                   "hot water as expected Not proved that it was captured after the hold point was released. 21 Apr 2026",
		"a reading, of an earlier hold": "Captured before the hold point of stage 2 was released. phone 21 Apr 2026",
		"a reading that nothing proves": "Not proved that it was captured after the hold point of stage 2 was released. phone 21 Apr 2026",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%s: %q is not in the text", name, want)
		}
	}
	if n, want := strings.Count(text, "of stage 2 was released"), 6; n != want { // three of the flow, three of its temperature, one of them superseded
		t.Errorf("an earlier stage's hold point is named %d times, want %d", n, want)
	}
}
