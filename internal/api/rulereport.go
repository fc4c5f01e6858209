package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// RuleReport says what an edition changes against the one before it, and which briefs and attempts that concerns.
type RuleReport struct {
	Edition  RuleEdition        `json:"edition"`
	Before   *RuleEdition       `json:"before,omitempty" about:"Left out where there is none: then nothing changes."`
	Changes  []RuleChange       `json:"changes"`
	Briefs   []ConcernedBrief   `json:"briefs"`
	Attempts []ConcernedAttempt `json:"attempts" about:"Those marked under another edition since its first day come first."`
	Hidden   int                `json:"hidden" about:"Attempts concerned that the caller may not see."`
}

// RuleChange is a rule that differs between two editions.
type RuleChange struct {
	Key string `json:"key"`
	Is  string `json:"is"`
	Was string `json:"was,omitzero" about:"In words; left out where the rule is new."`
	Now string `json:"now,omitzero" about:"In words; left out where the rule is gone."`
}

// ConcernedBrief is a brief version that names changed rules.
type ConcernedBrief struct {
	BriefVersion BriefVersion `json:"brief_version"`
	Changes      []RuleChange `json:"changes"`
	Problems     []string     `json:"problems" about:"What the checker says of the brief under the new edition."`
}

// ConcernedAttempt is an attempt that a change concerns.
type ConcernedAttempt struct {
	Attempt      uuid.UUID       `json:"attempt"`
	TraineeName  string          `json:"trainee_name"`
	CohortName   string          `json:"cohort_name"`
	Title        string          `json:"title"`
	Number       int             `json:"number"`
	State        decision.State  `json:"state"`
	Revision     int             `json:"revision"`
	HandedOverAt time.Time       `json:"handed_over_at,omitzero"`
	MarkedAt     time.Time       `json:"marked_at,omitzero"`
	Edition      string          `json:"edition,omitzero" about:"That it was marked with; left out before."`
	Late         bool            `json:"late" about:"Marked with that edition on or after the first day of the new one."`
	HandedLate   bool            `json:"handed_over_late" about:"Handed over then, too."`
	MayMarkAgain bool            `json:"may_mark_again" about:"By the caller, now."`
	Lines        []ConcernedLine `json:"lines" about:"What comes out otherwise, and where a changed limit stands."`
}

// ConcernedLine is one line of a marked attempt under both editions.
type ConcernedLine struct {
	Item    string          `json:"item" about:"Its title."`
	Stated  string          `json:"stated"`
	Was     string          `json:"was,omitzero" about:"The limit, or the reference, as it was marked."`
	Now     string          `json:"now,omitzero"`
	Verdict marking.Verdict `json:"verdict"`
	Would   marking.Verdict `json:"would" about:"Under the new edition."`
}

func ruleChangeOf(c app.RuleChange) RuleChange { return RuleChange(c) }

func concernedBriefOf(b app.ConcernedBrief) ConcernedBrief {
	return ConcernedBrief{BriefVersion: briefVersionOf(b.BriefVersion), Changes: each(b.Changes, ruleChangeOf), Problems: each(b.Problems, same)}
}

func concernedAttemptOf(a app.ConcernedAttempt) ConcernedAttempt {
	return ConcernedAttempt{
		Attempt: a.Attempt, TraineeName: a.Trainee, CohortName: a.Cohort, Title: a.Brief, Number: a.Number, State: a.State, Revision: a.Revision,
		HandedOverAt: a.HandedAt.UTC(), MarkedAt: a.MarkedAt.UTC(), Edition: a.Under, Late: a.Late, HandedLate: a.HandedLate, MayMarkAgain: a.MayMark,
		Lines: each(a.Lines, func(l app.ConcernedLine) ConcernedLine { return ConcernedLine(l) }),
	}
}

func (s *service) ruleReport(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (RuleReport, error) {
	r, err := s.app.RuleReport(ctx, who, p.ID)
	return RuleReport{
		Edition: ruleEditionOf(r.Edition), Before: maybe(r.Before, ruleEditionOf), Changes: each(r.Changes, ruleChangeOf),
		Briefs: each(r.Briefs, concernedBriefOf), Attempts: each(r.Attempts, concernedAttemptOf), Hidden: r.Hidden,
	}, err
}

// MarkAgain asks for an attempt to be marked under another edition of one of its rule sets. The old result is kept.
type MarkAgain struct {
	Revision int       `json:"revision" validate:"min=0" about:"The sheet's, as the tutor saw it."`
	Edition  uuid.UUID `json:"edition" validate:"required" about:"A checked one."`
	Words    string    `json:"words" validate:"required,max=4000" about:"Why another edition holds for this attempt."`
}

func (s *service) markAgain(ctx context.Context, who account.Caller, p idPath, _ none, b MarkAgain) (none, error) {
	return none{}, s.app.MarkAgain(ctx, who, p.ID, b.Revision, b.Edition, b.Words)
}
