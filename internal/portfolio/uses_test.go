package portfolio_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/portfolio/portfoliotest"
)

// codes are refs by their titles.
func codes(refs []portfolio.Ref) string {
	var titles []string
	for _, r := range refs {
		titles = append(titles, r.Title)
	}
	return strings.Join(titles, " ")
}

// Every item that something was handed in for says which decisions rest on it and what else it bears on; the way back leads to
// where the index leads from.
func TestUses(t *testing.T) {
	src, _ := portfoliotest.Source(t)
	d := portfolio.Assemble(src)
	find := func(attempt int, item string) portfolio.Use {
		for _, u := range d.Uses {
			if u.Attempt == attempt && strings.HasSuffix(u.Item.Title, item) {
				return u
			}
		}
		t.Fatalf("attempt %d has no %q", attempt, item)
		return portfolio.Use{}
	}
	for _, c := range []struct {
		attempt            int
		item, rests, bears string
		files              []int
	}{
		{1, "The rig as you find it", "1.1", "", []int{1, 2}},
		{1, "Wiring sheet", "", "", []int{3, 4, 5}},
		{1, "Pump noise", "", "1.2", nil},
		{1, "Flow temperature", "1.2", "", nil},
		{2, "Pump noise", "1.2", "", nil},
		{2, "Heat output", "", "2.1", nil}, // its decision names nothing
	} {
		u := find(c.attempt, c.item)
		if codes(u.Rests) != c.rests || codes(u.Bears) != c.bears || !slices.Equal(u.Files, c.files) {
			t.Errorf("attempt %d, %s: rests %q, bears %q, files %v; want %q, %q, %v", c.attempt, c.item, codes(u.Rests), codes(u.Bears), u.Files, c.rests, c.bears, c.files)
		}
	}
	for _, u := range d.Uses {
		if u.Task == 2 {
			t.Errorf("%s of the task that nobody started counts as handed in", u.Item.Title)
		}
		for _, r := range append(slices.Clone(u.Rests), u.Bears...) {
			if !strings.Contains(r.Anchor, "criterion") {
				t.Errorf("%s leads to %q", u.Item.Title, r.Anchor)
			}
		}
	}
}

// A sample leads to the attempt that it drew, and says so where that is not in the document.
func TestSamples(t *testing.T) {
	src, _ := portfoliotest.Source(t)
	src.Samples = []portfolio.Sample{{Attempt: src.Tasks[0].Attempts[1].ID, Outcome: decision.Agree}, {Attempt: uuid.New()}}
	d := portfolio.Assemble(src)
	if got := d.Samples[0].Where; got.Title != "Task 1, attempt 2" || got.Anchor != d.Tasks[0].Attempts[1].Anchor || !d.Samples[0].Looked() {
		t.Errorf("the first leads to %+v, looked at %v", got, d.Samples[0].Looked())
	}
	if got := d.Samples[1].Where; got.Anchor != "" || d.Samples[1].Looked() {
		t.Errorf("one of elsewhere leads to %+v, looked at %v", got, d.Samples[1].Looked())
	}
}

// What was asked aloud about an item or its stage is heard beside the criteria whose evidence it was about, and no others.
func TestHeardBesideItsCriteria(t *testing.T) {
	src, _ := portfoliotest.Source(t)
	at := &src.Tasks[0].Attempts[0]
	for i, subject := range []string{"before", "wire"} {
		at.Records = append(at.Records, decision.Record{ID: uuid.New(), Attempt: at.ID, Kind: decision.KindOral, Subject: subject, Words: []string{"about the rig", "about the wiring"}[i]})
	}
	heard := map[string]string{}
	for _, c := range portfolio.Assemble(src).Tasks[0].Attempts[0].Decisions {
		for _, a := range c.Heard {
			heard[c.Code] += a.Words
		}
	}
	if heard["1.1"] != "about the rig" || heard["1.2"] != "about the wiring" || heard["2.1"] != "" {
		t.Errorf("heard %v", heard)
	}
}
