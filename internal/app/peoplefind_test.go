package app_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/fault"
)

// A long list of people comes in pages, and a search finds by any part of names and address, by cohort, and by unit.
func TestFindPeople(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	var b strings.Builder
	b.WriteString("Name,Sign-in name,E-mail,Cohort\n")
	for i := range 2*app.PeoplePage + 1 {
		fmt.Fprintf(&b, "Zoë Müller %03d,z%[1]d,z%[1]d@example.org,Cohort %[2]d\n", i, i%2)
	}
	plan, err := c.CheckPeople(ctx, c.manager, []byte(b.String()))
	must(t, err)
	_, err = c.ImportPeople(ctx, c.manager, []byte(b.String()), plan.Digest)
	must(t, err)
	c.set(t) // a brief of unit H2, to the cohort of tess, ruben and tom

	find := func(s app.PeopleSearch) app.PeopleFound {
		t.Helper()
		f, err := c.FindPeople(ctx, c.manager, s)
		must(t, err)
		return f
	}
	var all []string
	for page := 1; page <= 3; page++ {
		f := find(app.PeopleSearch{Page: page})
		if f.All != 2*app.PeoplePage+6 || f.Page.Of != 3 || f.Page.Number != page || len(f.Cohorts) != 3 || len(f.Units) != 2 {
			t.Fatalf("page %d: %d in all, %+v, %d cohorts, %d units", page, f.All, f.Page, len(f.Cohorts), len(f.Units))
		}
		for _, p := range f.People {
			all = append(all, p.Name)
		}
	}
	if len(all) != 2*app.PeoplePage+6 || !slices.IsSorted(all) {
		t.Errorf("the pages have %d people, in order: %v", len(all), slices.IsSorted(all))
	}
	if f := find(app.PeopleSearch{Page: 99}); f.Page.Number != 3 || len(f.People) != 6 {
		t.Errorf("a page after the last is %+v with %d people, want the last", f.Page, len(f.People))
	}
	first := find(app.PeopleSearch{Words: "zoë 000"})
	cohort := slices.IndexFunc(first.Cohorts, func(k app.Titled) bool { return k.Title == "Cohort 0" })
	for name, x := range map[string]struct {
		search app.PeopleSearch
		want   int
	}{
		"words in any order, capitals or not": {app.PeopleSearch{Words: " 007  MÜLLER z"}, 1},
		"an address":                          {app.PeopleSearch{Words: "z12@example"}, 1},
		"a sign-in name":                      {app.PeopleSearch{Words: "ruben"}, 1},
		"nothing that anybody has":            {app.PeopleSearch{Words: "%"}, 0},
		"marks that mean something to SQL":    {app.PeopleSearch{Words: "_' --"}, 0},
		"what the database has no place for":  {app.PeopleSearch{Words: "ru\x00ben\xff", Unit: "\x00"}, 1},
		"a cohort":                            {app.PeopleSearch{Cohort: uuid.MustParse(first.Cohorts[cohort].Key)}, app.PeoplePage + 1},
		"a cohort and words":                  {app.PeopleSearch{Cohort: uuid.MustParse(first.Cohorts[cohort].Key), Words: "001"}, 0},
		"a cohort that is not here":           {app.PeopleSearch{Cohort: uuid.New()}, 0},
		"a unit that a cohort works on":       {app.PeopleSearch{Unit: "H2"}, 3},
		"a unit that is nobody's":             {app.PeopleSearch{Unit: "H9"}, 0},
	} {
		if f := find(x.search); f.All != x.want || len(f.People) != min(x.want, app.PeoplePage) {
			t.Errorf("%s: %d people, %d on the page, want %d", name, f.All, len(f.People), x.want)
		}
	}
	if f := find(app.PeopleSearch{Words: "tess"}); len(f.People) != 1 || len(f.People[0].Registrations) != 2 || f.People[0].Registrations[1].Number != "E-1" {
		t.Errorf("registrations do not come with who has them: %+v", f.People)
	}
	_, err = c.FindPeople(ctx, c.trainee, app.PeopleSearch{})
	wantKind(t, "a trainee looks for people", err, fault.KindForbidden)
}

// Who is registered for a unit is found by it without any cohort that works on it.
func TestFindPeopleByRegistration(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id, err := c.AddAwardRegistration(ctx, c.manager, c.trainee.Person, app.NewAwardRegistration{Unit: "H3", Number: "AO-1", RegisteredOn: time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC)})
	must(t, err)
	find := func() int {
		f, err := c.FindPeople(ctx, c.manager, app.PeopleSearch{Unit: "H3"})
		must(t, err)
		return f.All
	}
	if n := find(); n != 1 {
		t.Errorf("found %d, want 1", n)
	}
	must(t, c.EndAwardRegistration(ctx, c.manager, c.trainee.Person, id, time.Time{}, true))
	if n := find(); n != 0 {
		t.Errorf("found %d once the registration was taken back, want none", n)
	}
}
