package app_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// Lists that grow go on page after page, each thing once, and end.
func TestListsAreReadToTheirEnd(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	const most = 103
	for i := range most {
		_, err := c.OpenInquiry(ctx, c.manager, c.trainee.Person, fmt.Sprintf("Sheet %d.", i))
		must(t, err)
	}
	must(t, c.db.Write(ctx, c.id, func(tx *store.Tx) error {
		for i := range most {
			at := c.now.Add(time.Duration(i) * time.Second)
			if err := tx.AddClaim(ctx, store.ClaimMade{ID: newID(t), Unit: "H2", Words: "Spring.", By: c.manager.Person, At: at}, nil); err != nil {
				return err
			}
			if err := tx.AddPrior(ctx, store.Prior{ID: newID(t), Trainee: c.trainee.Person, Unit: "H2", Criteria: []string{"H2/1.1"}, Words: "Shown before.", By: c.trainee.Person, At: at}); err != nil {
				return err
			}
		}
		return nil
	}))
	id := c.set(t)
	for i := range most {
		must(t, c.Adjust(ctx, c.tutor, id, decision.Adjustment{What: decision.OtherEvidence, Item: "why", Instead: "Told aloud.", Words: fmt.Sprintf("Dyslexia, said %d times.", i)}))
	}
	files := func(page int) app.SmallFiles {
		f, err := c.SmallFiles(ctx, c.manager, page)
		must(t, err)
		if f.Page.Of != 2 {
			t.Errorf("small files come on %d pages, want 2", f.Page.Of)
		}
		return f
	}
	for name, list := range map[string]func(page int) (ids []any){
		"inquiries": func(page int) (ids []any) {
			for _, x := range files(page).Inquiries {
				ids = append(ids, x.ID)
			}
			return ids
		},
		"prior learning": func(page int) (ids []any) {
			for _, x := range files(page).Priors {
				ids = append(ids, x.ID)
			}
			return ids
		},
		"adjustments": func(page int) (ids []any) {
			for _, x := range files(page).OnAttempts {
				ids = append(ids, x.Words)
			}
			return ids
		},
		"claims": func(page int) (ids []any) {
			l, err := c.Claims(ctx, c.manager, page)
			if must(t, err); l.All != most || l.Page.Of != 2 {
				t.Errorf("%d claims on %d pages", l.All, l.Page.Of)
			}
			for _, x := range l.Made {
				ids = append(ids, x.ID)
			}
			return ids
		},
	} {
		seen := map[any]bool{}
		for page, want := range map[int]int{1: 100, 2: most - 100, 3: 0} {
			ids := list(page)
			if len(ids) != want {
				t.Errorf("page %d of %s has %d rows, want %d", page, name, len(ids), want)
			}
			for _, id := range ids {
				seen[id] = true
			}
		}
		if len(seen) != most {
			t.Errorf("of %s %d are read, want %d", name, len(seen), most)
		}
	}
}

// What waits for a second person is counted and paged as far as it is the caller's to look at.
func TestSecondLooksArePaged(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	trainees := []account.Caller{c.trainee, c.person(t, "una", account.Trainee)}
	must(t, c.AddMember(ctx, c.manager, c.cohort, trainees[1].Person, store.PartTrainee))
	set := c.published(t, sample.Brief())
	_, err := c.SetBrief(ctx, c.tutor, set)
	must(t, err)
	left := map[uuid.UUID]bool{}
	for _, c.trainee = range trainees {
		mine, err := c.MyTasks(ctx, c.trainee)
		must(t, err)
		id := mine[0].Attempt
		c.do(t, id)
		s := c.mark(t, id)
		for i, k := range s.Criteria {
			o := decision.Met
			if i == 0 {
				o = decision.NotYetMet
			}
			s = c.decide(t, id, k.Ref, o)
		}
		must(t, c.AskForMore(ctx, c.tutor, id, s.Revision, more, c.now.AddDate(0, 0, 7)))
		must(t, c.Appeal(ctx, c.trainee, id, "I measured it twice."))
		left[id] = true
	}
	assurer := c.person(t, "iris", account.QualityAssurer)
	for from := range 2 {
		rows, in, err := c.db.SecondLooks(ctx, c.id, store.SecondAsked{Reader: assurer.Person, Appeals: true, Span: store.Span{Limit: 1, Offset: from}})
		if must(t, err); in != 2 || len(rows) != 1 || !left[rows[0].Attempt] {
			t.Fatalf("from %d on: %+v of %d", from, rows, in)
		}
		delete(left, rows[0].Attempt)
	}
	for page, want := range map[int]int{1: 2, 2: 0} {
		if l, err := c.SecondLooks(ctx, assurer, page); err != nil || l.All != 2 || len(l.Rows) != want {
			t.Errorf("page %d has %d of %d (%v)", page, len(l.Rows), l.All, err)
		}
	}
	if l, err := c.SecondLooks(ctx, c.tutor, 1); err != nil || l.All != 0 {
		t.Errorf("a tutor, who hears no appeal, is told of %d (%v)", l.All, err)
	}
}
