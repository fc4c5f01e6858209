package api

import (
	"context"
	"net/http"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// Visit is an external verifier's visit.
type Visit struct {
	ID         uuid.UUID `json:"id"`
	Verifier   string    `json:"verifier"`
	Unit       string    `json:"unit"`
	Words      string    `json:"words" about:"What it is for."`
	ArrangedBy string    `json:"arranged_by"`
	ArrangedAt time.Time `json:"arranged_at"`
	EndsAt     time.Time `json:"ends_at"`
	OpenedAt   time.Time `json:"opened_at,omitzero" about:"First; absent until then."`
	EndedAt    time.Time `json:"ended_at,omitzero" about:"Before its time; absent where nobody ended it."`
	Reach      int       `json:"reach" about:"Attempts that can be chosen and drawn."`
	Listed     int       `json:"listed" validate:"omitempty" about:"Of these, on the list."`
	Views      int       `json:"views" about:"Things looked at."`
}

func visitOf(v app.Visit) Visit {
	return Visit{
		ID: v.ID, Verifier: v.VerifierName, Unit: v.Unit, Words: v.Words, ArrangedBy: v.ArrangedByName, ArrangedAt: v.ArrangedAt.UTC(), EndsAt: v.EndsAt.UTC(),
		OpenedAt: v.OpenedAt.UTC(), EndedAt: v.EndedAt.UTC(), Reach: v.Reach, Listed: v.Listed, Views: v.Views,
	}
}

// Visits is the centre's visits, the newest first.
type Visits struct {
	Visits []Visit `json:"visits"`
}

func (s *service) visits(ctx context.Context, who account.Caller, _ none, _ none, _ none) (Visits, error) {
	vs, err := s.app.Visits(ctx, who)
	return Visits{each(vs, visitOf)}, err
}

// NewVisit is a visit to be arranged, for a verifier who came before or for a new one.
type NewVisit struct {
	Verifier uuid.UUID `json:"verifier" validate:"omitempty" about:"Somebody who came before; absent where a name is given."`
	Name     string    `json:"name" validate:"omitempty,max=200" about:"Of a new verifier."`
	Email    string    `json:"email" validate:"omitempty,max=320"`
	Unit     string    `json:"unit" validate:"required,max=64"`
	Cohort   uuid.UUID `json:"cohort" validate:"omitempty" about:"Absent for every cohort."`
	Words    string    `json:"words" validate:"required,max=4000" about:"What it is for."`
	EndsOn   Date      `json:"ends_on" about:"Its last day."`
	Listed   bool      `json:"listed" validate:"omitempty" about:"Everything is on the list at once; else the verifier chooses and draws."`
}

// Arranged is a visit with the token of its link, which is told only now.
type Arranged struct {
	ID      uuid.UUID `json:"id"`
	Token   string    `json:"token"`
	Expires time.Time `json:"expires"`
}

func (Arranged) status() int { return http.StatusCreated }

func (s *service) arrangeVisit(ctx context.Context, who account.Caller, _ none, _ none, b NewVisit) (Arranged, error) {
	id, inv, err := s.app.ArrangeVisit(ctx, who, app.NewVisit{
		Verifier: b.Verifier, Name: b.Name, Email: b.Email, Unit: b.Unit, Cohort: b.Cohort, Words: b.Words, EndsOn: b.EndsOn.Time, Listed: b.Listed,
	})
	return Arranged{id, inv.Token, inv.Expires.UTC()}, err
}

func (s *service) relinkVisit(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (Arranged, error) {
	inv, err := s.app.RelinkVisit(ctx, who, p.ID)
	return Arranged{p.ID, inv.Token, inv.Expires.UTC()}, err
}

func (s *service) endVisit(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.EndVisit(ctx, who, p.ID)
}

func (s *service) visitInvited(ctx context.Context, _ account.Caller, p tokenPath, _ none, _ none) (Visit, error) {
	v, err := s.app.VisitInvited(ctx, p.Token)
	return visitOf(v), err
}

func (s *service) openVisit(ctx context.Context, _ account.Caller, p tokenPath, _ none, _ none) (Caller, error) {
	who, err := s.app.OpenVisit(ctx, p.Token)
	if err != nil {
		return Caller{}, err
	}
	return callerOf(who), s.sessions.Start(ctx, who)
}

// VisitNote is one note of a verifier's own record.
type VisitNote struct {
	ID      uuid.UUID `json:"id"`
	Attempt uuid.UUID `json:"attempt,omitzero" about:"Absent where it is about all of the visit."`
	Finding string    `json:"finding" about:"confirmed, not_confirmed or remark."`
	Words   string    `json:"words"`
	At      time.Time `json:"at"`
}

func visitNoteOf(n app.VisitNote) VisitNote {
	return VisitNote{ID: n.ID, Attempt: n.Attempt, Finding: string(n.Finding), Words: n.Words, At: n.At.UTC()}
}

// VisitView is one thing that a verifier looked at.
type VisitView struct {
	What    string    `json:"what" about:"opened, list, attempt, file or portfolio."`
	Subject uuid.UUID `json:"subject,omitzero"`
	At      time.Time `json:"at"`
}

func visitViewOf(w app.VisitView) VisitView {
	return VisitView{What: string(w.What), Subject: w.Subject, At: w.At.UTC()}
}

// VisitDraw is a draw of the verifier's own, which can be made again from its seed.
type VisitDraw struct {
	Number int       `json:"number"`
	Seed   string    `json:"seed"`
	SHA256 string    `json:"sha256" about:"Of the list it was drawn from."`
	Listed int       `json:"listed"`
	Size   int       `json:"size"`
	At     time.Time `json:"at"`
}

func visitDrawOf(d app.VisitDraw) VisitDraw {
	return VisitDraw{Number: d.Number, Seed: d.Seed, SHA256: d.Digest, Listed: d.Listed, Size: d.Size, At: d.At.UTC()}
}

// VisitReport is all that is kept of a visit.
type VisitReport struct {
	Visit
	Notes  []VisitNote `json:"notes"`
	Draws  []VisitDraw `json:"draws"`
	Looked []VisitView `json:"looked" about:"The last first, at most two hundred."`

	Portfolios []PortfolioSet `json:"portfolios" about:"The portfolios of everybody on its list that were asked for last; none or one."`
}

func (s *service) visitReport(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (VisitReport, error) {
	r, err := s.app.VisitReport(ctx, who, p.ID)
	return VisitReport{visitOf(r.Visit), each(r.Notes, visitNoteOf), each(r.Draws, visitDrawOf), each(r.Looked, visitViewOf), each(r.Sets, portfolioSetOf)}, err
}

func (s *service) requestVisitPortfolios(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (Requested, error) {
	id, err := s.app.RequestVisitPortfolios(ctx, who, p.ID)
	return Requested{id}, err
}
