package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// Action is something that somebody is to do by a day.
type Action struct {
	ID       uuid.UUID `json:"id"`
	Source   string    `json:"source" about:"sample, visit, standardisation or ruling."`
	SourceID uuid.UUID `json:"source_id"`
	Attempt  uuid.UUID `json:"attempt,omitzero"`
	Words    string    `json:"words"`
	Owner    uuid.UUID `json:"owner"`
	Name     string    `json:"owner_name"`
	Due      Date      `json:"due"`
	Late     bool      `json:"late"`
	RaisedBy string    `json:"raised_by"`
	RaisedAt time.Time `json:"raised_at"`
}

// ActionList is a page of the open actions.
type ActionList struct {
	Actions []Action `json:"actions"`
	All     int      `json:"all" about:"How many there are, on every page."`
	More    bool     `json:"more" about:"There is a page after this one."`
}

func actionOf(a app.ActionRow) Action {
	return Action{ID: a.ID, Source: string(a.Source), SourceID: a.SourceID, Attempt: a.Attempt, Words: a.Words, Owner: a.Owner, Name: a.OwnerName,
		Due: Date{a.Due}, Late: a.Late, RaisedBy: a.RaisedByName, RaisedAt: a.RaisedAt.UTC()}
}

func (s *service) actions(ctx context.Context, who account.Caller, _ none, q pageQuery, _ none) (ActionList, error) {
	l, err := s.app.OpenActions(ctx, who, q.Page+1)
	return ActionList{each(l.Rows, actionOf), l.All, l.Page.Next() > 0}, err
}

// NewAction is something that somebody is to do by a day.
type NewAction struct {
	Attempt uuid.UUID `json:"attempt" validate:"omitempty" about:"Of a standardisation: the attempt that it is about, which it then keeps from being claimed; left out for none."`
	Words   string    `json:"words" validate:"required,max=4000"`
	Owner   uuid.UUID `json:"owner" validate:"required"`
	Due     Date      `json:"due" validate:"required"`
}

func (n NewAction) action() app.Action {
	return app.Action{Attempt: n.Attempt, Words: n.Words, Owner: n.Owner, Due: n.Due.Time}
}

func (s *service) actOnStandardisation(ctx context.Context, who account.Caller, p idPath, _ none, b NewAction) (none, error) {
	return none{}, s.app.ActOnStandardisation(ctx, who, p.ID, b.action())
}

func (s *service) actOnRuling(ctx context.Context, who account.Caller, p idPath, _ none, b NewAction) (none, error) {
	return none{}, s.app.ActOnRuling(ctx, who, p.ID, b.action())
}

// CloseAction says what was done.
type CloseAction struct {
	Words string `json:"words" validate:"required,max=4000" about:"What was done, and how the caller knows."`
}

func (s *service) closeAction(ctx context.Context, who account.Caller, p idPath, _ none, b CloseAction) (none, error) {
	return none{}, s.app.CloseAction(ctx, who, p.ID, b.Words)
}

// Claim is certificates of one unit that were claimed together.
type Claim struct {
	ID    uuid.UUID   `json:"id"`
	Unit  string      `json:"unit"`
	Title string      `json:"title"`
	Words string      `json:"words,omitzero"`
	By    string      `json:"by"`
	At    time.Time   `json:"at"`
	Count int         `json:"count"`
	Items []ClaimItem `json:"items,omitzero" about:"Of one claim alone; the list leaves them out."`
}

// ClaimItem is one trainee's unit in a claim.
type ClaimItem struct {
	Trainee  uuid.UUID   `json:"trainee"`
	Name     string      `json:"name"`
	Number   string      `json:"number" about:"Of the registration with the awarding organisation."`
	MetOn    Date        `json:"met_on"`
	Attempts []uuid.UUID `json:"attempts" about:"What it rests on."`
	Prior    []string    `json:"prior_learning,omitzero" about:"The criteria that it rests on by prior learning, of which no sample is drawn; left out of claims from before this was kept."`
}

// ClaimList is a page of the claims, the newest first.
type ClaimList struct {
	Claims []Claim `json:"claims"`
	All    int     `json:"all" about:"On every page."`
	More   bool    `json:"more" about:"There is a page after this one."`
}

// listPage asks for a page of a list.
type listPage struct {
	Page int `query:"page" validate:"omitempty,min=0,max=10000" about:"From 0, a hundred at a time; one after the last is empty."`
}

func claimOf(m app.ClaimMade) Claim {
	return Claim{ID: m.ID, Unit: m.Unit, Title: m.Title, Words: m.Words, By: m.ByName, At: m.At.UTC(), Count: m.Count}
}

func (s *service) claims(ctx context.Context, who account.Caller, _ none, q listPage, _ none) (ClaimList, error) {
	c, err := s.app.Claims(ctx, who, q.Page+1)
	return ClaimList{each(c.Made, claimOf), c.All, c.Page.Next() > 0}, err
}

func (s *service) claim(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (Claim, error) {
	m, items, err := s.app.Claim(ctx, who, p.ID)
	c := claimOf(m)
	c.Items = each(items, func(i app.ClaimItem) ClaimItem {
		return ClaimItem{Trainee: i.Trainee, Name: i.Name, Number: i.Number, MetOn: Date{i.MetOn}, Attempts: i.Attempts, Prior: i.Prior}
	})
	return c, err
}

// claimQuery names a unit, and a cohort unless it is about every one.
type claimQuery struct {
	Unit   string    `query:"unit" validate:"required,max=100"`
	Cohort uuid.UUID `query:"cohort" validate:"omitempty" about:"Left out for every cohort; then those who have done nothing for the unit are left out. Who was withdrawn is there only where ready."`
}

// Claimable is one trainee's unit before a claim.
type Claimable struct {
	Trainee   uuid.UUID `json:"trainee"`
	Name      string    `json:"name"`
	Ready     bool      `json:"ready"`
	ClaimedAt time.Time `json:"claimed_at,omitzero"`
	Prior     []string  `json:"prior_learning" about:"The criteria of the unit that it rests on by prior learning, each looked at by an internal quality assurer."`
	Why       []string  `json:"why" about:"Why it cannot be claimed, in sentences."`
}

// ClaimableList is trainees: those who are ready first, then the others, then those claimed for before.
type ClaimableList struct {
	Trainees []Claimable `json:"trainees"`
}

func claimableOf(r app.ClaimRow) Claimable {
	return Claimable{Trainee: r.Trainee, Name: r.Name, Ready: len(r.Why) == 0 && r.At.IsZero(), ClaimedAt: r.At.UTC(), Prior: append([]string{}, r.Prior...), Why: append([]string{}, r.Why...)}
}

func (s *service) claimable(ctx context.Context, who account.Caller, _ none, q claimQuery, _ none) (ClaimableList, error) {
	var cohorts []uuid.UUID
	if q.Cohort != uuid.Nil {
		cohorts = append(cohorts, q.Cohort)
	}
	p, err := s.app.Claimable(ctx, who, q.Unit, cohorts)
	rows := append(append(p.Ready, p.Rest...), p.ClaimedAt...)
	return ClaimableList{each(rows, claimableOf)}, err
}

// MakeClaim claims a unit for trainees, of whatever cohorts.
type MakeClaim struct {
	Unit     string      `json:"unit" validate:"required,max=100"`
	Trainees []uuid.UUID `json:"trainees" validate:"min=1,max=200,unique"`
	Words    string      `json:"words,omitzero" validate:"omitempty,max=4000"`
}

func (s *service) makeClaim(ctx context.Context, who account.Caller, _ none, _ none, b MakeClaim) (Created, error) {
	id, err := s.app.MakeClaim(ctx, who, b.Unit, b.Trainees, b.Words)
	return Created{id}, err
}
