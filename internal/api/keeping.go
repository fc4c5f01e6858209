package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// RetentionRule says how long something is kept.
type RetentionRule struct {
	Unit   string            `json:"unit,omitzero" validate:"omitempty,max=64" about:"Absent for every unit."`
	Kind   app.RetentionKind `json:"kind" validate:"required,oneof=decisions work details"`
	Months int               `json:"months" validate:"min=1,max=600" about:"After the last thing that happened."`
	Words  string            `json:"words" validate:"required,max=4000" about:"Where the rule comes from."`
}

// LegalHold keeps something from being erased.
type LegalHold struct {
	ID       uuid.UUID `json:"id"`
	Person   uuid.UUID `json:"person"`
	Attempt  uuid.UUID `json:"attempt,omitzero" about:"Absent for all of the person's."`
	Words    string    `json:"words"`
	PlacedAt time.Time `json:"placed_at"`
	LiftedAt time.Time `json:"lifted_at,omitzero" about:"Absent while it holds."`
}

// Purge is what one person proposes to erase and another approves.
type Purge struct {
	ID         uuid.UUID `json:"id"`
	ProposedBy string    `json:"proposed_by"`
	ProposedAt time.Time `json:"proposed_at"`
	ApprovedBy string    `json:"approved_by,omitzero"`
	ApprovedAt time.Time `json:"approved_at,omitzero"`
	DroppedAt  time.Time `json:"dropped_at,omitzero"`
	DoneAt     time.Time `json:"done_at,omitzero"`
	Items      int       `json:"items"`
	Erased     int       `json:"erased"`
}

func purgeOf(p app.Purge) Purge {
	return Purge{p.ID, p.ProposedByName, p.ProposedAt.UTC(), p.ApprovedByName, p.ApprovedAt.UTC(), p.DroppedAt.UTC(), p.DoneAt.UTC(), p.Items, p.Erased}
}

// Keeping is how a centre keeps and erases.
type Keeping struct {
	Rules  []RetentionRule `json:"rules"`
	Holds  []LegalHold     `json:"holds"`
	Purges []Purge         `json:"purges"`
}

func (s *service) keeping(ctx context.Context, who account.Caller, _ none, _ none, _ none) (Keeping, error) {
	k, err := s.app.Keeping(ctx, who)
	return Keeping{
		each(k.Rules, func(r app.RetentionRule) RetentionRule { return RetentionRule{r.Unit, r.Kind, r.Months, r.Words} }),
		each(k.Holds, func(h app.LegalHold) LegalHold {
			return LegalHold{h.ID, h.Person, h.Attempt, h.Words, h.PlacedAt.UTC(), h.LiftedAt.UTC()}
		}),
		each(k.Purges, purgeOf),
	}, err
}

func (s *service) setRetention(ctx context.Context, who account.Caller, _ none, _ none, b RetentionRule) (none, error) {
	return none{}, s.app.SetRetention(ctx, who, app.RetentionRule{Unit: b.Unit, Kind: b.Kind, Months: b.Months, Words: b.Words})
}

// NewHold is something to be held.
type NewHold struct {
	Person  uuid.UUID `json:"person" validate:"required"`
	Attempt uuid.UUID `json:"attempt" validate:"omitempty" about:"Absent for all of the person's."`
	Words   string    `json:"words" validate:"required,max=4000"`
}

func (s *service) placeHold(ctx context.Context, who account.Caller, _ none, _ none, b NewHold) (none, error) {
	return none{}, s.app.PlaceHold(ctx, who, app.LegalHold{Person: b.Person, Attempt: b.Attempt, Words: b.Words})
}

// LiftedHold says why something is let go.
type LiftedHold struct {
	Words string `json:"words" validate:"required,max=4000"`
}

func (s *service) liftHold(ctx context.Context, who account.Caller, p idPath, _ none, b LiftedHold) (none, error) {
	return none{}, s.app.LiftHold(ctx, who, p.ID, b.Words)
}

func (s *service) proposePurge(ctx context.Context, who account.Caller, _ none, _ none, _ none) (Created, error) {
	id, err := s.app.ProposePurge(ctx, who)
	return Created{id}, err
}

func (s *service) approvePurge(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.ApprovePurge(ctx, who, p.ID)
}

func (s *service) dropPurge(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.DropPurge(ctx, who, p.ID)
}

func (s *service) keepingRoutes() []Route {
	return []Route{
		route("keeping", get, "/api/keeping", account.Erase, "Says how long things are kept, what is held, and what is to be erased.", s.keeping),
		route("setRetention", post, "/api/keeping/rules", account.KeepRecords, "Changes how long something is kept; of several rules that apply the longest counts.", s.setRetention),
		route("placeHold", post, "/api/keeping/holds", account.KeepRecords, "Keeps something from being erased until it is let go.", s.placeHold),
		route("liftHold", post, "/api/keeping/holds/{id}/lift", account.KeepRecords, "Lets go what was held.", s.liftHold),
		route("proposePurge", post, "/api/keeping/purges", account.Erase, "Proposes to erase what is past its time.", s.proposePurge),
		route("approvePurge", post, "/api/keeping/purges/{id}/approve", account.Erase, "Approves, a fortnight later, that what another person proposed is erased.", s.approvePurge),
		route("dropPurge", post, "/api/keeping/purges/{id}/drop", account.Erase, "Drops what was proposed.", s.dropPurge),
	}
}
