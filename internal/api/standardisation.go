package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// NewStandardisation sets attempts for several people to judge blind.
type NewStandardisation struct {
	Title    string      `json:"title" validate:"required,max=200"`
	Words    string      `json:"words" validate:"omitempty,max=4000" about:"To those who judge; may be left out."`
	Brief    uuid.UUID   `json:"brief" validate:"required"`
	Version  int         `json:"version" validate:"required,min=1"`
	Attempts []uuid.UUID `json:"attempts" validate:"required,min=1,max=20" about:"At that version of the brief."`
	Judges   []uuid.UUID `json:"judges" validate:"required,min=2,max=20" about:"Tutors and quality assurers."`
}

// StandardisationHead is how far a standardisation has come.
type StandardisationHead struct {
	ID      uuid.UUID `json:"id"`
	Title   string    `json:"title"`
	Words   string    `json:"words"`
	Brief   uuid.UUID `json:"brief"`
	Version int       `json:"version"`
	By      string    `json:"by"`
	At      time.Time `json:"at"`
	Due     int       `json:"due" about:"Attempts times judges, without those who had part in them."`
	Done    int       `json:"done" about:"Of them judged."`
	Shown   bool      `json:"shown" about:"All have judged, or it is closed: what was said may be seen."`
	Closed  time.Time `json:"closed,omitzero"`
}

// Standardisation is one with what was said, once it may be seen.
type Standardisation struct {
	StandardisationHead
	Own       []OwnBlind           `json:"own" about:"What the caller judges."`
	Agreement *Agreement           `json:"agreement,omitempty" about:"Over all; absent until it is shown."`
	Criteria  []CriterionAgreement `json:"criteria" about:"Empty until it is shown."`
}

// OwnBlind is an attempt that the caller judges.
type OwnBlind struct {
	Attempt uuid.UUID `json:"attempt"`
	Place   int       `json:"place"`
	Done    bool      `json:"done"`
	Part    bool      `json:"part" about:"The caller had part in it, and does not judge it."`
}

// Agreement is how far people agreed; a figure that cannot be known is absent.
type Agreement struct {
	Things   int      `json:"things" about:"Judged by two or more."`
	Pairs    int      `json:"pairs" about:"Of judgements on the same thing."`
	Raw      *float64 `json:"raw,omitempty" about:"Share of pairs that agree."`
	Positive *float64 `json:"positive,omitempty" about:"Share of those of a met that agree."`
	Negative *float64 `json:"negative,omitempty" about:"Share of those of a not yet met that agree."`
	Alpha    *float64 `json:"alpha,omitempty" about:"Krippendorff's, nominal."`
	Low      *float64 `json:"low,omitempty" about:"Lower end of alpha's 95 % interval, by seeded resampling."`
	High     *float64 `json:"high,omitempty"`
	TooFew   bool     `json:"too_few" about:"Under ten things: the figures say little."`
}

// CriterionAgreement is how far people agreed on one criterion, and what each said.
type CriterionAgreement struct {
	Ref       string      `json:"ref"`
	Agreement Agreement   `json:"agreement"`
	Said      []BlindSaid `json:"said"`
}

// BlindSaid is what one person said of one criterion of one attempt.
type BlindSaid struct {
	Attempt uuid.UUID        `json:"attempt"`
	Judge   string           `json:"judge"`
	Outcome decision.Outcome `json:"outcome"`
	Reason  decision.Reason  `json:"reason,omitzero"`
	Words   string           `json:"words"`
}

// BlindJudged is what the caller says of every criterion of an attempt.
type BlindJudged struct {
	Criteria []BlindCriterion `json:"criteria" validate:"required,min=1,max=500,dive"`
}

// BlindCriterion is what is said of one.
type BlindCriterion struct {
	Criterion string           `json:"criterion" validate:"required,max=100"`
	Outcome   decision.Outcome `json:"outcome" validate:"required,oneof=met not_yet_met"`
	Reason    decision.Reason  `json:"reason" validate:"omitempty,max=20" about:"In which respect it falls short; for not yet met."`
	Words     string           `json:"words" validate:"omitempty,max=4000"`
}

type blindPath struct {
	ID      uuid.UUID `path:"id"`
	Attempt uuid.UUID `path:"attempt"`
}

func figure(f app.Figure) *float64 {
	if !f.Known {
		return nil
	}
	return &f.Value
}

func agreementOf(a app.Agreement) Agreement {
	return Agreement{
		Things: a.Things, Pairs: a.Pairs, Raw: figure(a.Raw), Positive: figure(a.Positive), Negative: figure(a.Negative),
		Alpha: figure(a.Alpha), Low: figure(a.Low), High: figure(a.High), TooFew: a.TooFew,
	}
}

func standardisationHead(s app.StandardisationRow) StandardisationHead {
	return StandardisationHead{
		ID: s.ID, Title: s.Title, Words: s.Words, Brief: s.Brief, Version: s.Version, By: s.ByName, At: s.At, Due: s.Due, Done: s.Done,
		Shown: s.Shown(), Closed: s.ClosedAt,
	}
}

func standardisationOf(s app.Standardisation) Standardisation {
	out := Standardisation{StandardisationHead: standardisationHead(s.StandardisationSheet.Standardisation), Own: []OwnBlind{}, Criteria: []CriterionAgreement{}}
	for _, o := range s.Own {
		out.Own = append(out.Own, OwnBlind(o))
	}
	if !s.Shown() {
		return out
	}
	whole := agreementOf(s.Agreement)
	out.Agreement = &whole
	for _, k := range s.Criteria {
		ka := CriterionAgreement{Ref: k.Ref, Agreement: agreementOf(k.Agreement), Said: []BlindSaid{}}
		for _, at := range k.Attempts {
			for i, j := range at.Said {
				if j != nil {
					ka.Said = append(ka.Said, BlindSaid{Attempt: at.Attempt, Judge: s.Judges[i].Name, Outcome: j.Outcome, Reason: j.Reason, Words: j.Words})
				}
			}
		}
		out.Criteria = append(out.Criteria, ka)
	}
	return out
}

func (s *service) standardisations(ctx context.Context, who account.Caller, _ none, _ none, _ none) ([]StandardisationHead, error) {
	rows, err := s.app.Standardisations(ctx, who)
	return each(rows, standardisationHead), err
}

func (s *service) standardise(ctx context.Context, who account.Caller, _ none, _ none, b NewStandardisation) (Created, error) {
	id, err := s.app.Standardise(ctx, who, app.NewStandardisation(b))
	return Created{ID: id}, err
}

func (s *service) standardisation(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (Standardisation, error) {
	r, err := s.app.Standardisation(ctx, who, p.ID)
	return standardisationOf(r), err
}

func (s *service) judgeBlind(ctx context.Context, who account.Caller, p blindPath, _ none, b BlindJudged) (none, error) {
	return none{}, s.app.JudgeBlind(ctx, who, p.ID, p.Attempt, each(b.Criteria, func(k BlindCriterion) decision.Judgement {
		return decision.Judgement{Criterion: k.Criterion, Outcome: k.Outcome, Reason: k.Reason, Words: k.Words}
	}))
}

func (s *service) closeStandardisation(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.CloseStandardisation(ctx, who, p.ID)
}

func (s *service) standardRoutes() []Route {
	return append(s.commentRoutes(), []Route{
		route("standardisations", get, "/api/standardisations", account.SeeStandard, "Lists standardisations, the newest hundred: a tutor those in which they judge.", s.standardisations),
		route("standardise", post, "/api/standardisations", account.Standardise, "Sets attempts for several people to judge, none of whom sees what the others say before all have.", s.standardise),
		route("standardisation", get, "/api/standardisations/{id}", account.SeeStandard, "Says how far one has come and, once it may be seen, what was said and how far people agree.", s.standardisation),
		route("judgeBlind", post, "/api/standardisations/{id}/attempts/{attempt}", account.JudgeBlind, "Keeps what the caller says of every criterion of an attempt; it changes nothing of the attempt.", s.judgeBlind),
		route("closeStandardisation", post, "/api/standardisations/{id}/close", account.Standardise, "Has nobody judge any more, and shows what was said.", s.closeStandardisation),
		route("rulings", get, "/api/rulings", account.SeeStandard, "Lists the rulings on criteria, the newest two hundred.", s.rulings),
		route("makeRuling", post, "/api/rulings", account.Rule, "Says how a criterion is to be read from a day on; it changes no decision.", s.makeRuling),
		route("ruling", get, "/api/rulings/{id}", account.SeeStandard, "Gives a ruling with the earlier decisions that it puts in question, a hundred at once.", s.ruling),
		route("actOnStandardisation", post, "/api/standardisations/{id}/actions", account.RaiseAction, "Asks somebody to do something by a day because of a standardisation that is shown.", s.actOnStandardisation),
		route("actOnRuling", post, "/api/rulings/{id}/actions", account.RaiseAction, "Asks somebody to do something by a day because of a ruling.", s.actOnRuling),
		route("lookUnderRuling", post, "/api/rulings/{id}/looks", account.LookUnderRuling, "Keeps what the caller found of a decision in question in which they had no part; nothing is undone by it.", s.lookUnderRuling),
	}...)
}
