package app

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"

	"witnessmark/internal/account"
	"witnessmark/internal/store"
	"witnessmark/internal/table"
)

// PeoplePlan is what taking a list of people in changes, or what there is to mend in it first.
type PeoplePlan struct {
	Problems []table.Problem // nothing is taken in before there are none
	New      []store.PeopleRow
	Changes  []PersonChange // of people who are here already
	store.TakenIn
	Rows   int
	Digest string // of all that is shown; ImportPeople asks for it
}

// PersonChange is how the list has somebody who is here already.
type PersonChange struct {
	Line                 int
	SignInName           string
	Was, Now             string // the name
	WasEmail, NowEmail   string
	Renamed, Readdressed bool
}

// CheckPeople says what taking a list in would change, and keeps nothing.
func (a *App) CheckPeople(ctx context.Context, c account.Caller, list []byte) (PeoplePlan, error) {
	plan, err := a.takePeopleIn(ctx, c, list, func(PeoplePlan) error { return errShown })
	if errors.Is(err, errShown) {
		err = nil
	}
	return plan, err
}

// ImportPeople takes a list in, as it was shown: digest is the one of the plan that somebody read. Where it would change
// something else by now, that is Conflict; a list with problems is Invalid. The same list once more changes nothing.
func (a *App) ImportPeople(ctx context.Context, c account.Caller, list []byte, digest string) (PeoplePlan, error) {
	plan, err := a.takePeopleIn(ctx, c, list, func(p PeoplePlan) error { return asShown(p.Digest, digest) })
	return plan, mended(plan.Problems, err)
}

// takePeopleIn does all that a list asks for in one transaction, then asks whether it is to stay.
func (a *App) takePeopleIn(ctx context.Context, c account.Caller, list []byte, stay func(PeoplePlan) error) (PeoplePlan, error) {
	for _, act := range []account.Action{account.ManagePeople, account.ManageCohorts} {
		if err := account.May(c, act); err != nil {
			return PeoplePlan{}, err
		}
	}
	rows, problems := readPeople(list)
	if len(problems) > 0 {
		return PeoplePlan{Problems: problems, Rows: len(rows)}, nil
	}
	if err := nameRows(rows); err != nil {
		return PeoplePlan{}, err
	}
	var plan PeoplePlan
	err := a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		known, err := t.StagePeople(ctx, rows)
		if err != nil {
			return err
		}
		plan = planOf(rows, known)
		if plan.TakenIn, err = t.TakePeopleIn(ctx, c.Person, a.now(), newID); err != nil {
			return err
		}
		for _, line := range plan.Elsewhere {
			plan.Problems = append(plan.Problems, table.Problem{Line: line, Column: "Sign-in name",
				Message: "Somebody at another centre signs in with this name. Choose another, for example with a number behind it."})
		}
		for _, line := range plan.OtherPart {
			plan.Problems = append(plan.Problems, table.Problem{Line: line, Column: "Cohort",
				Message: "They belong to this cohort in another part. Nobody is trainee and tutor of one cohort: take them out first, or name another."})
		}
		if len(plan.Problems) > 0 {
			return errShown
		}
		plan.sum()
		return stay(plan)
	})
	if errors.Is(err, errShown) && len(plan.Problems) > 0 {
		err = nil
	}
	return plan, err
}

// nameRows gives every row the ids for what is new in it.
func nameRows(rows []store.PeopleRow) (err error) {
	for i := range rows {
		if rows[i].Person, err = newID(); err != nil {
			return err
		}
		if rows[i].Number == "" {
			continue
		}
		if rows[i].Registration, err = newID(); err != nil {
			return err
		}
	}
	return nil
}

// planOf tells who is new from who is here already, and what is different of those.
func planOf(rows []store.PeopleRow, known []store.KnownPerson) PeoplePlan {
	p, k := PeoplePlan{Rows: len(rows)}, 0
	for _, r := range rows {
		if k == len(known) || known[k].Line != r.Line {
			p.New = append(p.New, r)
			continue
		}
		was := known[k]
		k++
		ch := PersonChange{Line: r.Line, SignInName: r.SignInName, Was: was.Name, Now: r.Name, WasEmail: was.Email, NowEmail: r.Email,
			Renamed: was.Name != r.Name, Readdressed: r.Email != "" && was.Email != r.Email}
		if ch.Renamed || ch.Readdressed {
			p.Changes = append(p.Changes, ch)
		}
	}
	return p
}

// sum makes the digest of everything that the plan shows.
func (p *PeoplePlan) sum() {
	h := sha256.New()
	for _, r := range p.New {
		field(h, r.SignInName, r.Name, r.Email)
	}
	for _, ch := range p.Changes {
		field(h, ch.SignInName, ch.Was, ch.Now, ch.WasEmail, ch.NowEmail)
	}
	field(h, p.Cohorts...)
	field(h, fmt.Sprint(p.People, p.Changed, p.Roles, p.Members, p.Registrations))
	p.Digest = hex.EncodeToString(h.Sum(nil))
}

// field writes texts so that no two lists of them read alike.
func field(h hash.Hash, texts ...string) {
	for _, s := range texts {
		_, _ = fmt.Fprintf(h, "%d:%s", len(s), s)
	}
	_, _ = h.Write([]byte{'\n'})
}
