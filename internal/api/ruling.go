package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// NewRuling says how a criterion is to be read from a day on.
type NewRuling struct {
	Standardisation uuid.UUID  `json:"standardisation" validate:"omitempty" about:"That led to it; may be left out."`
	Criterion       string     `json:"criterion" validate:"required,max=100" about:"UNIT/code."`
	Words           string     `json:"words" validate:"required,max=4000"`
	Doubts          app.Doubts `json:"doubts" validate:"required,oneof=met not_yet_met both none" about:"Which earlier decisions it puts in question."`
	EffectiveOn     Date       `json:"effective_on" validate:"required"`
	Since           Date       `json:"since" validate:"omitempty" about:"How far back; may be left out."`
}

// Ruling is a ruling.
type Ruling struct {
	ID          uuid.UUID  `json:"id"`
	Criterion   string     `json:"criterion"`
	Words       string     `json:"words"`
	Doubts      app.Doubts `json:"doubts"`
	EffectiveOn Date       `json:"effective_on"`
	Since       Date       `json:"since,omitzero"`
	By          string     `json:"by"`
	At          time.Time  `json:"at"`
}

// RulingSheet is a ruling with the decisions that it puts in question.
type RulingSheet struct {
	Ruling
	All       int          `json:"all" about:"Decisions in question."`
	Looked    int          `json:"looked" about:"Of them looked at."`
	Decisions []Questioned `json:"decisions" about:"A hundred at most, the earliest first."`
	More      bool         `json:"more"`
}

// Questioned is an earlier decision that a ruling puts in question.
type Questioned struct {
	Record      uuid.UUID        `json:"record"`
	Attempt     uuid.UUID        `json:"attempt"`
	TraineeName string           `json:"trainee_name"`
	CohortName  string           `json:"cohort_name"`
	Outcome     decision.Outcome `json:"outcome"`
	Words       string           `json:"words"`
	By          string           `json:"by"`
	At          time.Time        `json:"at"`
	Looked      string           `json:"looked,omitzero" about:"stands, afresh, or absent where nobody has looked."`
	LookedWords string           `json:"looked_words,omitzero"`
	LookedBy    string           `json:"looked_by,omitzero"`
}

// RulingLook is what the caller found of a decision in question.
type RulingLook struct {
	Record  uuid.UUID `json:"record" validate:"required"`
	Outcome string    `json:"outcome" validate:"required,oneof=stands afresh"`
	Words   string    `json:"words" validate:"omitempty,max=4000"`
	Due     Date      `json:"due" validate:"omitempty" about:"By when it is decided afresh."`
}

// questionedAfter is where a list of decisions goes on.
type questionedAfter struct {
	At     time.Time `query:"at" validate:"omitempty" about:"The moment of the last decision of the page before."`
	Record uuid.UUID `query:"record" validate:"omitempty" about:"Its id."`
}

func rulingOf(g app.RulingRow) Ruling {
	return Ruling{ID: g.ID, Criterion: g.Criterion, Words: g.Words, Doubts: g.Doubts, EffectiveOn: Date{g.EffectiveOn}, Since: Date{g.Since}, By: g.ByName, At: g.At}
}

func questionedOf(q app.Questioned) Questioned {
	return Questioned{
		Record: q.Record, Attempt: q.Attempt, TraineeName: q.TraineeName, CohortName: q.CohortName, Outcome: q.Outcome, Words: q.Words, By: q.ByName, At: q.At,
		Looked: q.Looked, LookedWords: q.LookedWords, LookedBy: q.LookedBy,
	}
}

func (s *service) rulings(ctx context.Context, who account.Caller, _ none, _ none, _ none) ([]Ruling, error) {
	rows, err := s.app.Rulings(ctx, who)
	return each(rows, rulingOf), err
}

func (s *service) makeRuling(ctx context.Context, who account.Caller, _ none, _ none, b NewRuling) (Created, error) {
	id, err := s.app.MakeRuling(ctx, who, app.NewRuling{
		Standardisation: b.Standardisation, Criterion: b.Criterion, Words: b.Words, Doubts: b.Doubts, EffectiveOn: b.EffectiveOn.Time, Since: b.Since.Time,
	})
	return Created{ID: id}, err
}

func (s *service) ruling(ctx context.Context, who account.Caller, p idPath, q questionedAfter, _ none) (RulingSheet, error) {
	r, err := s.app.Ruling(ctx, who, p.ID, app.After{At: q.At, Record: q.Record})
	return RulingSheet{Ruling: rulingOf(r.RulingSheet.Ruling), All: r.All, Looked: r.Looked, Decisions: each(r.Rows, questionedOf), More: r.More}, err
}

func (s *service) lookUnderRuling(ctx context.Context, who account.Caller, p idPath, _ none, b RulingLook) (none, error) {
	return none{}, s.app.LookUnderRuling(ctx, who, app.RulingLook{Ruling: p.ID, Record: b.Record, Outcome: b.Outcome, Words: b.Words, Due: b.Due.Time})
}
