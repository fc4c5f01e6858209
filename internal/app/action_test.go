package app_test

import (
	"fmt"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/store"
)

// Nothing is left out of a long list of actions: each is on one page, the earliest day first.
func TestEveryActionIsOnAPage(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	assurer := c.person(t, "quinn", account.QualityAssurer)
	const many = 101
	must(t, c.db.Write(ctx, c.id, func(tx *store.Tx) error {
		for i := range many {
			err := tx.AddAction(ctx, store.Action{ID: uuid.New(), Source: app.ActionFromVisit, SourceID: uuid.New(), Words: fmt.Sprint("Do ", i), Owner: c.tutor.Person,
				Due: morning.AddDate(0, 0, many-i), RaisedBy: assurer.Person, RaisedAt: morning})
			if err != nil {
				return err
			}
		}
		return nil
	}))
	for name, who := range map[string]account.Caller{"whoever closes them": assurer, "whose they are": c.tutor} {
		seen := 0
		for page, want := range []int{50, 50, 1, 0} {
			l, err := c.OpenActions(ctx, who, page+1)
			must(t, err)
			if l.All != many || l.Page.Of != 3 || len(l.Rows) != want {
				t.Fatalf("%s, page %d: %d of %d, %+v", name, page+1, len(l.Rows), l.All, l.Page)
			}
			for _, x := range l.Rows {
				if seen++; x.Words != fmt.Sprint("Do ", many-seen) {
					t.Fatalf("%s: %q is in place %d", name, x.Words, seen)
				}
			}
		}
	}
}
