package store_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/store"
)

// The owner comes with the session, and is the person as they are read by themselves; nobody comes where there is no
// session, nor where the person asked for is another or may no longer sign in.
func TestOwnerComesWithTheSession(t *testing.T) {
	b := newBench(t)
	id, day := uuid.New(), time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	b.write(t, func(tx *store.Tx) error {
		return tx.AddPerson(t.Context(), store.Person{Centre: b.centre, ID: id, Name: "Owner", SignInName: "owner", CreatedAt: time.Now(),
			Roles:         []account.Role{account.Tutor},
			Registrations: []account.Registration{{Kind: "gas", Number: "1", ValidFrom: day, ValidTo: day}, {Kind: "unvented", Number: "2", ValidFrom: day, ValidTo: day}}})
	})
	b.keepSession(t, "one", id)
	want, err := b.Person(t.Context(), b.centre, id)
	if err != nil || len(want.Registrations) != 2 {
		t.Fatalf("%d registrations, %v; want 2", len(want.Registrations), err)
	}
	find := func(token string) func(centre int64, person uuid.UUID) (store.Person, bool) {
		ctx := store.WithOwner(t.Context())
		if _, _, err := b.Sessions().FindCtx(ctx, token); err != nil {
			t.Fatal(err)
		}
		return func(centre int64, person uuid.UUID) (store.Person, bool) { return store.Owner(ctx, centre, person) }
	}
	got, ok := find("one")(b.centre, id)
	if d := cmp.Diff(want, got); !ok || d != "" {
		t.Errorf("the owner (-want +got), %v:\n%s", ok, d)
	}
	for _, c := range []struct {
		name, token string
		centre      int64
		person      uuid.UUID
	}{
		{"no session", "none", b.centre, id},
		{"somebody else", "one", b.centre, b.tutor},
		{"another centre", "one", b.centre + 1, id},
	} {
		if p, ok := find(c.token)(c.centre, c.person); ok {
			t.Errorf("%s: got %s, want nobody", c.name, p.Name)
		}
	}
	if p, ok := store.Owner(t.Context(), b.centre, id); ok {
		t.Errorf("a context without room gave %s", p.Name)
	}
	// Disabling ends sessions as well, so the row is changed behind the program's back.
	if _, err := connect(t, b.urls.Super).Exec(t.Context(), `UPDATE person SET disabled_at = now() WHERE person_id = $1`, id); err != nil {
		t.Fatal(err)
	}
	if p, ok := find("one")(b.centre, id); ok {
		t.Errorf("got %s, who may no longer sign in", p.Name)
	}
}
