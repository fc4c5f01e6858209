package app_test

import (
	"testing"

	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/insight"
)

// One attempt is counted line by line; its coefficient is not given, and nobody is named.
func TestHowABriefDid(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.set(t)
	none, err := c.Insight(ctx, c.tutor, c.brief, 1)
	must(t, err)
	if none.Attempts != 0 || len(none.Figures) == 0 || none.Figures[0].Answered != 0 {
		t.Errorf("before anything is marked: %+v", none)
	}
	c.do(t, id)
	c.mark(t, id)
	in, err := c.Insight(ctx, c.second, c.brief, 1)
	must(t, err)
	got := map[string]app.FigureInsight{}
	for _, f := range in.Figures {
		got[f.Key] = f
	}
	if in.Attempts != 1 || got["heat"].Answered != 1 || got["heat"].Right != 1 || got["heat"].Known || got["heat"].Suspect || got["heat"].Strong.Answered > insight.Enough {
		t.Errorf("after one attempt: %+v", got["heat"])
	}
	_, err = c.Insight(ctx, c.trainee, c.brief, 1)
	wantKind(t, "a trainee", err, fault.KindForbidden)
	_, err = c.Insight(ctx, c.tutor, c.brief, 2)
	wantKind(t, "a version that is not there", err, fault.KindNotFound)
}
