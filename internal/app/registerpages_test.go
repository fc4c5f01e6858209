package app_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/store"
)

// The register is read page after page, each instrument once; what is looked for is found on whatever page it would stand, and what waits
// is told of from the whole.
func TestTheRegisterIsPagedAndFound(t *testing.T) {
	c := newCentre(t)
	const most = 103
	for i := range most {
		c.registered(t, fmt.Sprintf("P-%03d", i))
	}
	c.calibrated(t, c.registered(t, "ZZ-9"), 400, true, "2026-01-05")
	find := func(typed string, page int) app.RegisterPage {
		p, err := c.FindRegister(t.Context(), c.tutor, typed, page)
		must(t, err)
		return p
	}
	seen := map[uuid.UUID]bool{}
	for page, want := range map[int]int{1: 100, 2: most + 1 - 100, 3: 0} {
		p := find("", page)
		if len(p.Rows) != want || p.In != most+1 || p.All != most+1 || p.Page.Of != 2 || len(p.Waiting) != 1 || p.Waiting[0].Serial != "ZZ-9" || p.Waits.Overdue != 1 {
			t.Errorf("page %d has %d of %d, on %d pages; waiting are %+v", page, len(p.Rows), p.In, p.Page.Of, p.Waiting)
		}
		for _, r := range p.Rows {
			seen[r.ID] = true
		}
	}
	if len(seen) != most+1 {
		t.Errorf("%d are read, want %d", len(seen), most+1)
	}
	for typed, want := range map[string]int{"zz-9": 1, "OHMMETER p-10": 3, "low-resistance zz": 1, "gauge": 0} {
		if p := find(typed, 1); p.In != want || len(p.Rows) != want || p.All != most+1 {
			t.Errorf("%q finds %d of %d, want %d", typed, p.In, p.All, want)
		}
	}
}

// Conflicts of interest are read to their end.
func TestConflictsArePaged(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	const most = 103
	must(t, c.db.Write(ctx, c.id, func(tx *store.Tx) error {
		for i := range most {
			p := store.Person{ID: newID(t), Name: fmt.Sprintf("Trainee %d", i), SignInName: fmt.Sprintf("t%d", i), Roles: []account.Role{account.Trainee}, CreatedAt: c.now}
			if err := tx.AddPerson(ctx, p); err != nil {
				return err
			}
			x := store.Conflict{ID: newID(t), Person: c.tutor.Person, Other: p.ID, Words: "We share a house.", DeclaredBy: c.tutor.Person, DeclaredAt: c.now.Add(time.Duration(i) * time.Second)}
			if err := tx.AddConflict(ctx, x); err != nil {
				return err
			}
		}
		return nil
	}))
	seen := map[uuid.UUID]bool{}
	for page, want := range map[int]int{1: 100, 2: most - 100, 3: 0} {
		l, err := c.Conflicts(ctx, c.tutor, page)
		if err != nil || len(l.Rows) != want || l.All != most || l.Page.Of != 2 {
			t.Errorf("page %d has %d of %d, on %d pages (%v)", page, len(l.Rows), l.All, l.Page.Of, err)
		}
		for _, x := range l.Rows {
			seen[x.ID] = true
		}
	}
	if len(seen) != most {
		t.Errorf("%d are read, want %d", len(seen), most)
	}
}
