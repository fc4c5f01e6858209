package app

import (
	"context"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/store"
)

// PeoplePage is how many people a page of them has (our own value).
const PeoplePage = 200

// searchMost is how many words somebody is looked for by; what is typed after them is left out.
const searchMost = 8

// PeopleSearch says whom somebody looks for.
type PeopleSearch struct {
	Words  string    // parts of the name, the sign-in name or the address, in any order; "" for everybody
	Cohort uuid.UUID // zero for any
	Unit   string    // "" for any
	Page   int       // from 1; one after the last is the last
}

// PeopleFound is one page of them, by name.
type PeopleFound struct {
	store.PeopleFound
	Page Page
}

// FindPeople lists a page of those of the caller's centre who fit.
func (a *App) FindPeople(ctx context.Context, c account.Caller, s PeopleSearch) (PeopleFound, error) {
	if err := account.May(c, account.SeePeople); err != nil {
		return PeopleFound{}, err
	}
	q := store.PeopleSearch{Words: searchWords(s.Words), Cohort: s.Cohort, Unit: storable(s.Unit), Limit: PeoplePage}
	_, q.Offset = pageOf(s.Page, PeoplePage, 0)
	found, err := a.db.FindPeople(ctx, c.Centre, q)
	page, _ := pageOf(s.Page, PeoplePage, found.All)
	if err == nil && page.Number > page.Of {
		page, q.Offset = pageOf(page.Of, PeoplePage, found.All)
		found, err = a.db.FindPeople(ctx, c.Centre, q)
	}
	return PeopleFound{found, page}, err
}

// searchWords are the words of what was typed, each once, as the database compares them.
func searchWords(typed string) []string {
	words := strings.Fields(strings.ToLower(storable(typed)))
	slices.Sort(words)
	words = slices.Compact(words)
	return words[:min(len(words), searchMost)]
}

// storable is text without what PostgreSQL has no place for.
func storable(s string) string {
	return strings.ReplaceAll(strings.ToValidUTF8(s, ""), "\x00", "")
}
