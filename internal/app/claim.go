package app

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// The rows of claims, for the ways in.
type (
	ClaimMade = store.ClaimMade
	ClaimItem = store.ClaimItem
)

// Claims is where claims are chosen, and those that were made, a page of them.
type Claims struct {
	Units   []Unit
	Cohorts []CohortRow
	Made    []ClaimMade // the newest first
	All     int         // on every page
	Page    Page
}

// Claims lists the units and cohorts to choose from, and the claims that were made. Page counts from 1; one after the last is empty.
func (a *App) Claims(ctx context.Context, c account.Caller, page int) (p Claims, err error) {
	if err := account.May(c, account.SeeClaims); err != nil {
		return Claims{}, err
	}
	if p.Units, err = a.db.UnitsOn(ctx, c.Centre, date(a.today())); err != nil {
		return Claims{}, err
	}
	if p.Cohorts, err = a.db.Cohorts(ctx, c.Centre); err != nil {
		return Claims{}, err
	}
	p.Made, p.All, err = a.db.Claims(ctx, c.Centre, spanOf(page))
	p.Page, _ = pageOf(page, listPage, p.All)
	return p, err
}

// ClaimAtOnce is for how many trainees a unit is claimed at once: as many as a request may take its time for (our own value).
const ClaimAtOnce = 200

// Claimable is one unit for the trainees of cohorts: who is ready for a certificate, and why the rest are not.
type Claimable struct {
	Unit      Unit
	Cohorts   []uuid.UUID // none for every one
	Names     []string    // theirs
	Ready     []ClaimRow
	Rest      []ClaimRow
	ClaimedAt []ClaimRow // claimed before
	Without   int        // trainees of several cohorts who have done nothing for the unit, and stand nowhere else
	Withdrawn int        // trainees who were withdrawn from every cohort of theirs and are not ready, and stand nowhere else
	May       bool
}

// Several says whether it is about more than one cohort.
func (p Claimable) Several() bool { return len(p.Cohorts) != 1 }

// ClaimRow is how one trainee's unit stands.
type ClaimRow struct {
	Trainee uuid.UUID
	Name    string
	Cohorts []string  // that they are in
	At      time.Time // of the claim, where it was made before
	decision.Claim
}

// Claimable reads how a unit stands for cohorts, for every one where none is named.
func (a *App) Claimable(ctx context.Context, c account.Caller, unit string, cohorts []uuid.UUID) (Claimable, error) {
	if err := account.May(c, account.SeeClaims); err != nil {
		return Claimable{}, err
	}
	u, err := a.db.UnitOn(ctx, c.Centre, unit, date(a.today()))
	if err != nil {
		return Claimable{}, err
	}
	slices.SortFunc(cohorts, compareIDs)
	cohorts = slices.Compact(cohorts)
	k, err := a.db.Claiming(ctx, c.Centre, unit, cohorts, c.Person)
	if err != nil {
		return Claimable{}, err
	}
	p := a.claimable(u, k)
	p.Cohorts, p.Names, p.May = cohorts, k.Cohorts, account.As(c, account.MakeClaim) != ""
	p.leaveOutLeft(k)
	if p.Several() {
		p.leaveOut(k)
	}
	return p, nil
}

// leaveOutLeft counts those who were withdrawn and are not ready, in place of listing them; what they finished can still be claimed.
func (p *Claimable) leaveOutLeft(k store.Claiming) {
	left := map[uuid.UUID]bool{}
	for _, t := range k.Trainees {
		left[t.Trainee] = t.Left
	}
	n := len(p.Rest)
	p.Rest = slices.DeleteFunc(p.Rest, func(r ClaimRow) bool { return left[r.Trainee] })
	p.Withdrawn = n - len(p.Rest)
}

// leaveOut counts those who have done nothing for the unit in place of listing them.
func (p *Claimable) leaveOut(k store.Claiming) {
	idle := map[uuid.UUID]bool{}
	for _, t := range k.Trainees {
		idle[t.Trainee] = len(t.Attempts) == 0 && !slices.ContainsFunc(slices.Collect(maps.Keys(t.Prior)), func(ref string) bool { return strings.HasPrefix(ref, p.Unit.Code+"/") })
	}
	n := len(p.Rest)
	p.Rest = slices.DeleteFunc(p.Rest, func(r ClaimRow) bool { return idle[r.Trainee] })
	p.Without = n - len(p.Rest)
}

// claimable decides who is ready.
func (a *App) claimable(u Unit, k store.Claiming) Claimable {
	p := Claimable{Unit: u}
	var criteria []string
	for _, o := range u.Outcomes {
		for _, cr := range o.Criteria {
			criteria = append(criteria, u.Code+"/"+cr.Code)
		}
	}
	for _, t := range k.Trainees {
		var registrations []decision.ClaimRegistration
		for _, g := range t.Registrations {
			registrations = append(registrations, decision.ClaimRegistration{Number: g.Number, From: g.RegisteredOn, To: g.EndsOn})
		}
		row := ClaimRow{Trainee: t.Trainee, Name: t.Name, Cohorts: t.Cohorts, At: t.ClaimedAt}
		row.Claim = decision.Ready(criteria, t.Prior, t.Attempts, registrations, date(a.today()), func(at time.Time) time.Time { return date(dayOf(at)) })
		switch {
		case !t.ClaimedAt.IsZero():
			p.ClaimedAt = append(p.ClaimedAt, row)
		case len(row.Why) == 0:
			p.Ready = append(p.Ready, row)
		default:
			p.Rest = append(p.Rest, row)
		}
	}
	return p
}

// MakeClaim claims a unit for trainees, at most ClaimAtOnce and of whatever cohorts, who are all ready when it is made; the attempts
// that it rests on are claimed with it.
func (a *App) MakeClaim(ctx context.Context, c account.Caller, unit string, trainees []uuid.UUID, words string) (uuid.UUID, error) {
	if err := account.May(c, account.MakeClaim); err != nil {
		return uuid.Nil, err
	}
	words, err := sayable("words", words, "")
	if err != nil {
		return uuid.Nil, err
	}
	switch n := len(trainees); {
	case n == 0:
		return uuid.Nil, fault.Invalid("trainees", "Choose at least one trainee to claim for.")
	case n > ClaimAtOnce:
		return uuid.Nil, fault.Invalid("trainees", "That is more than %d trainees. Claim for some of them first, then for the others.", ClaimAtOnce)
	}
	u, err := a.db.UnitOn(ctx, c.Centre, unit, date(a.today()))
	if err != nil {
		return uuid.Nil, err
	}
	made := ClaimMade{Unit: unit, Words: words, By: c.Person, At: a.now().Truncate(time.Microsecond)}
	if made.ID, err = newID(); err != nil {
		return uuid.Nil, err
	}
	return made.ID, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		k, err := t.LockClaiming(ctx, unit, trainees, c.Person)
		if err != nil {
			return err
		}
		items, fresh, err := a.claimed(a.claimable(u, k), k, trainees)
		if err != nil {
			return err
		}
		if err := t.AddClaim(ctx, made, items); err != nil {
			return err
		}
		records, err := a.moving(c, account.MakeClaim, fresh, decision.Record{Kind: decision.KindClaim, Outcome: "claimed", Value: made.ID.String()})
		if err != nil {
			return err
		}
		return t.MoveAttempts(ctx, decision.Claimed, records)
	})
}

// claimed is the rows of a claim, and the attempts that are claimed by it for the first time; it is Conflict where somebody named is not ready.
func (a *App) claimed(p Claimable, k store.Claiming, trainees []uuid.UUID) (items []ClaimItem, fresh []uuid.UUID, err error) {
	cleared := map[uuid.UUID]bool{}
	for _, t := range k.Trainees {
		for _, at := range t.Attempts {
			cleared[at.ID] = at.State == decision.Cleared
		}
	}
	slices.SortFunc(trainees, compareIDs)
	for _, id := range slices.Compact(trainees) {
		i := slices.IndexFunc(p.Ready, func(r ClaimRow) bool { return r.Trainee == id })
		if i < 0 {
			return nil, nil, fault.Conflict("%s Nothing is claimed yet: load the page again, and choose afresh.", notReady(p, id))
		}
		r := p.Ready[i]
		items = append(items, ClaimItem{Trainee: id, Number: r.Number, MetOn: r.MetOn, Attempts: r.Attempts, Prior: r.Prior})
		for _, at := range r.Attempts {
			if cleared[at] {
				fresh = append(fresh, at)
			}
		}
	}
	return items, fresh, nil
}

// notReady says why a claim cannot be made for somebody.
func notReady(p Claimable, id uuid.UUID) string {
	for _, r := range p.Rest {
		if r.Trainee == id {
			return fmt.Sprintf("%s is not ready: %s", r.Name, r.Why[0])
		}
	}
	for _, r := range p.ClaimedAt {
		if r.Trainee == id {
			return r.Name + " has this unit claimed already."
		}
	}
	return "Somebody you chose is no trainee of any cohort here."
}

// compareIDs orders ids.
func compareIDs(x, y uuid.UUID) int { return slices.Compare(x[:], y[:]) }

// Claim reads one claim with its trainees.
func (a *App) Claim(ctx context.Context, c account.Caller, id uuid.UUID) (ClaimMade, []ClaimItem, error) {
	if err := account.May(c, account.SeeClaims); err != nil {
		return ClaimMade{}, nil, err
	}
	return a.db.Claim(ctx, c.Centre, id)
}
