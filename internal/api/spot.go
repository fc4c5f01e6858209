package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// SpotClaim is what a trainee's phone tells of a hold point that was released where nobody had signal. By itself it releases
// nothing.
type SpotClaim struct {
	ID     uuid.UUID `json:"id" validate:"required" about:"Made on the phone: the same again has no effect."`
	Stage  string    `json:"stage" validate:"required,max=200" about:"The stage's key."`
	Day    Date      `json:"day" about:"Of the code, in London."`
	At     time.Time `json:"at" validate:"required" about:"When the digits were typed, by the phone's clock."`
	Clock  *int64    `json:"clock_offset_ms,omitempty" validate:"omitempty" about:"As of an entry."`
	SentAt time.Time `json:"sent_at,omitzero" validate:"omitempty" about:"By the phone's clock, as it sends this."`
	Items  []Listed  `json:"items" validate:"max=5000,dive" about:"What the phone had of the attempt."`
	MAC    string    `json:"mac" validate:"required,len=64,hexadecimal" about:"HMAC-SHA256, under the twelve digits of the code, of attempt, stage, day and the digest of the list of items, joined by |. The list's digest is SHA-256 over a line, id, space, digest and line feed, for each item, sorted by id."`
}

// SpotRelease is what the releaser's phone tells of it.
type SpotRelease struct {
	ID     uuid.UUID `json:"id" validate:"required" about:"Made on the phone: the same again has no effect."`
	Stage  string    `json:"stage" validate:"required,max=200" about:"The stage's key."`
	Day    Date      `json:"day" about:"Of the code, in London."`
	At     time.Time `json:"released_at" validate:"required" about:"By the phone's clock."`
	Clock  *int64    `json:"clock_offset_ms,omitempty" validate:"omitempty" about:"As of an entry."`
	SentAt time.Time `json:"sent_at,omitzero" validate:"omitempty" about:"By the phone's clock, as it sends this."`
	Number string    `json:"evidence_number" validate:"required,len=6" about:"The six digits that the trainee's phone showed."`
	Words  string    `json:"words" validate:"omitempty,max=4000" about:"What was seen; a numbered tag that was hung is named here."`
}

// SpotStanding is where a release on the spot stands.
type SpotStanding struct {
	State   decision.SpotState `json:"state"`
	Refusal decision.Refusal   `json:"refusal,omitzero"`
	Why     string             `json:"why,omitzero" about:"In a sentence, for both people."`
}

func spotStanding(v decision.SpotVerdict, err error) (SpotStanding, error) {
	return SpotStanding(v), err
}

func (s *service) claimSpot(ctx context.Context, who account.Caller, p idPath, _ none, b SpotClaim) (SpotStanding, error) {
	return spotStanding(s.app.ClaimSpot(ctx, who, p.ID, app.NewSpotClaim{
		ID: b.ID, Stage: b.Stage, Day: b.Day.Format(time.DateOnly), At: b.At, PhoneClock: app.PhoneClock{SentAt: b.SentAt, Believed: b.Clock},
		Items: listOf(b.Items), MAC: b.MAC,
	}))
}

func (s *service) releaseOnTheSpot(ctx context.Context, who account.Caller, p idPath, _ none, b SpotRelease) (SpotStanding, error) {
	return spotStanding(s.app.ReleaseOnTheSpot(ctx, who, p.ID, app.NewSpotRelease{
		ID: b.ID, Stage: b.Stage, Day: b.Day.Format(time.DateOnly), At: b.At, PhoneClock: app.PhoneClock{SentAt: b.SentAt, Believed: b.Clock},
		Number: b.Number, Words: b.Words,
	}))
}
