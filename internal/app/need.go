package app

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// soon is how near a date has to be, and how long nothing started, before a tutor is told (our own value: "this week").
const soon = 7 * 24 * time.Hour

// Need is a trainee who needs the tutor this week, with why, the most pressing first.
type Need struct {
	store.Need
	Why   []string // sentences
	Stage string   // the key of the stage before whose hold point they wait; "" for none
	rank  int
}

// Needs lists who needs the caller this week although nothing of theirs waits to be judged: work is stopped, a date is near or
// past, a hold point waits, more was to do twice, or nothing was started.
func (a *App) Needs(ctx context.Context, c account.Caller) ([]Need, error) {
	if err := account.May(c, account.Decide, account.Teaches); err != nil {
		return nil, err
	}
	rows, err := a.db.NeedsOf(ctx, c.Centre, c.Person)
	if err != nil {
		return nil, err
	}
	var needs []Need
	for _, row := range rows {
		n := Need{Need: row, rank: 9}
		if err := a.whyNeeded(ctx, c.Centre, &n); err != nil {
			return nil, err
		}
		if len(n.Why) > 0 {
			needs = append(needs, n)
		}
	}
	slices.SortStableFunc(needs, func(x, y Need) int {
		return cmp.Or(x.rank-y.rank, due(x.DueOn).Compare(due(y.DueOn)))
	})
	return needs, nil
}

// due puts what has no date last.
func due(day time.Time) time.Time {
	if day.IsZero() {
		return day.AddDate(9000, 0, 0)
	}
	return day
}

// whyNeeded fills in the reasons.
func (a *App) whyNeeded(ctx context.Context, centre int64, n *Need) error {
	add := func(rank int, why string) { n.Why, n.rank = append(n.Why, why), min(n.rank, rank) }
	today := date(a.today())
	day := func(t time.Time) string { return t.Format("2 January") }
	if n.State == decision.SafetyStopped {
		add(0, "Stopped for safety.")
	}
	hold, err := a.heldAt(ctx, centre, n)
	if err != nil {
		return err
	}
	if hold > 0 {
		since := ""
		if !n.LastAt.IsZero() {
			since = ", nothing new since " + day(n.LastAt.In(London()))
		}
		add(1, fmt.Sprintf("Waits at the hold point before stage %d%s.", hold, since))
	}
	switch {
	case n.DueOn.IsZero():
	case n.DueOn.Before(today):
		add(2, "Was due "+day(n.DueOn)+".")
	case n.DueOn.Sub(today) <= soon:
		add(3, "Due "+day(n.DueOn)+".")
	}
	if n.SentBack > 1 {
		add(2, "More was to do "+times(n.SentBack)+".")
	}
	begun := n.SetAt
	if n.FromOn.After(begun) {
		begun = n.FromOn
	}
	if n.State == decision.Planned && a.now().Sub(begun) > soon {
		add(4, "Nothing started since "+day(begun.In(London()))+".")
	}
	return nil
}

func times(n int) string {
	if n == 2 {
		return "twice"
	}
	return strconv.Itoa(n) + " times"
}

// heldAt is the number of the stage before whose hold point an open attempt waits; 0 for none.
func (a *App) heldAt(ctx context.Context, centre int64, n *Need) (int, error) {
	if n.State != decision.Open {
		return 0, nil
	}
	b, err := a.briefs.brief(n.Digest, func() (string, error) {
		v, err := a.db.BriefVersion(ctx, centre, n.Brief, n.Version)
		return v.Source, err
	})
	if err != nil {
		return 0, err
	}
	at := store.Standing{State: n.State, OpenedAt: n.OpenedAt, Released: n.Released, Items: n.Items}
	_, hold := where(store.Task{SetAt: n.SetAt}, b, at, stamps(b, at))
	if hold > 0 {
		n.Stage = b.Stages[hold-1].Key
	}
	return hold, nil
}
