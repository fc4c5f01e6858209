package app_test

import (
	"testing"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// Corrections that took effect while somebody was withdrawn do so on their work as they come back, each with its record; one from before
// they left, or that nobody let take effect, does not.
func TestWhoComesBackIsCorrectedToo(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.set(t)
	c.do(t, id)
	was := c.mark(t, id)
	c.leaves(t)
	correct := func(from int, take bool, change func(*brief.Brief)) int {
		c.now = c.now.Add(time.Hour)
		to := c.next(t, change)
		w, err := c.AskRemark(ctx, c.tutor, app.AskRemark{Brief: c.brief, From: from, To: to, Words: "The pump runs at both ends."})
		must(t, err)
		c.works(t, w)
		if take {
			must(t, c.TakeRemark(ctx, c.tutor, w))
			if r := c.works(t, w); r.State != app.RemarkTaken || r.Took != 0 {
				t.Fatalf("it is %s and took effect on %d, want none while they are away", r.State, r.Took)
			}
		}
		return to
	}
	second := correct(1, true, func(b *brief.Brief) { b.Title += ", again" })
	third := correct(second, true, doubled)
	correct(third, false, func(b *brief.Brief) { doubled(b); b.Title += ", and again" })
	must(t, c.TakeBackWithdrawal(ctx, c.manager, c.withdrawal(t).ID, "It was another one."))

	got := c.mark(t, id) // the queue's part
	if v, _ := c.verdict(t, id, "share"); got.Version != third || v != marking.Wrong || got.Marks >= was.Marks || got.State != was.State {
		t.Errorf("back, it is %s under version %d, share is %s, %d marks of %d before; want version %d", got.State, got.Version, v, got.Marks, was.Marks, third)
	}
	var corrected int
	for _, r := range got.Records {
		if r.Kind == decision.KindCorrected {
			corrected++
		}
	}
	if l := decision.Latest(got.Records, decision.KindCorrected, sample.Brief().Key); corrected != 2 || l.ByName != c.tutor.Name || l.Words == "" {
		t.Errorf("%d records of corrections, the last %+v; want 2", corrected, l)
	}
}
