package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/sampling"
)

// SamplingWeight is what a reason to look closer adds to a piece of work's chance.
type SamplingWeight struct {
	Reason sampling.Factor `json:"reason" validate:"required"`
	Adds   int             `json:"adds" validate:"min=0,max=9"`
}

// NewSamplingPlan is a plan to be kept.
type NewSamplingPlan struct {
	Name    string           `json:"name" validate:"required,max=200"`
	Stage   app.SampleStage  `json:"stage" validate:"required,oneof=interim final" about:"interim: while it is being judged; final: signed off, before a claim."`
	Unit    string           `json:"unit,omitzero" validate:"omitempty,max=100" about:"Absent for every unit."`
	Cohort  uuid.UUID        `json:"cohort,omitzero" validate:"omitempty" about:"Absent for every cohort."`
	Share   int              `json:"share" validate:"required,min=1,max=100" about:"How much to draw, in per cent; at least one of every stratum is drawn."`
	Weights []SamplingWeight `json:"weights" validate:"omitempty,max=20,dive"`
	Words   string           `json:"words" validate:"required,max=4000" about:"Why it is so."`
}

// SamplingPlan is a plan that is followed.
type SamplingPlan struct {
	ID uuid.UUID `json:"id"`
	NewSamplingPlan
	By      string    `json:"by"`
	At      time.Time `json:"at"`
	Samples int       `json:"samples" about:"Drawn so far."`
}

// SampleRow is a sample in a list.
type SampleRow struct {
	ID        uuid.UUID       `json:"id"`
	Plan      uuid.UUID       `json:"plan"`
	Number    int             `json:"number" about:"Among the plan's."`
	Stage     app.SampleStage `json:"stage"`
	Listed    int             `json:"listed" about:"How many it was drawn from."`
	Size      int             `json:"size"`
	Looked    int             `json:"looked" about:"How many somebody has looked at."`
	Found     int             `json:"found" about:"How many were disagreed with."`
	Words     string          `json:"words" about:"What it would show, as was said before it was drawn."`
	By        string          `json:"by"`
	At        time.Time       `json:"at"`
	SettledAt time.Time       `json:"settled_at,omitzero"`
	Seed      string          `json:"seed"`
	Digest    string          `json:"digest" about:"SHA-256 of the list that it was drawn from."`
}

// SamplingList is the plans and the newest samples.
type SamplingList struct {
	Plans   []SamplingPlan `json:"plans"`
	Samples []SampleRow    `json:"samples"`
}

func samplingPlanOf(n app.SamplingPlan) SamplingPlan {
	p := SamplingPlan{ID: n.ID, By: n.ByName, At: n.At.UTC(), Samples: n.Samples,
		NewSamplingPlan: NewSamplingPlan{Name: n.Name, Stage: n.Stage, Unit: n.Unit, Cohort: n.Cohort, Share: n.Share, Words: n.Words}}
	for _, f := range sampling.Factors() {
		p.Weights = append(p.Weights, SamplingWeight{f, n.Weights[f]})
	}
	return p
}

func sampleRowOf(m app.SampleDrawn) SampleRow {
	return SampleRow{ID: m.ID, Plan: m.Plan, Number: m.Number, Stage: m.Stage, Listed: m.Listed, Size: m.Size, Looked: m.Looked, Found: m.Found,
		Words: m.Words, By: m.ByName, At: m.At.UTC(), SettledAt: m.SettledAt.UTC(), Seed: m.Seed, Digest: m.Digest}
}

func (s *service) sampling(ctx context.Context, who account.Caller, _ none, _ none, _ none) (SamplingList, error) {
	l, err := s.app.Sampling(ctx, who)
	return SamplingList{each(l.Plans, samplingPlanOf), each(l.Samples, sampleRowOf)}, err
}

func (s *service) addSamplingPlan(ctx context.Context, who account.Caller, _ none, _ none, b NewSamplingPlan) (Created, error) {
	weights := sampling.Weights{}
	for _, w := range b.Weights {
		weights[w.Reason] = w.Adds
	}
	id, err := s.app.AddSamplingPlan(ctx, who, app.SamplingPlan{Name: b.Name, Stage: b.Stage, Unit: b.Unit, Cohort: b.Cohort, Share: b.Share, Weights: weights, Words: b.Words})
	return Created{id}, err
}

// PlannedSample is what a draw under a plan would be now.
type PlannedSample struct {
	Plan   SamplingPlan `json:"plan"`
	Listed int          `json:"listed"`
	Size   int          `json:"size"`
	Words  string       `json:"words" about:"What a clean sample of that size would show."`
}

func (s *service) samplingPlan(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (PlannedSample, error) {
	n, err := s.app.PlanSample(ctx, who, p.ID)
	return PlannedSample{Plan: samplingPlanOf(n.Plan), Listed: n.Listed, Size: n.Size, Words: n.Words}, err
}

func (s *service) endSamplingPlan(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.EndSamplingPlan(ctx, who, p.ID)
}

// DrawAsked asks for a plan's next sample.
type DrawAsked struct {
	Number int `json:"number" validate:"required,min=1" about:"One more than the plan has samples; anything else is a conflict."`
}

func (s *service) drawSample(ctx context.Context, who account.Caller, p idPath, _ none, b DrawAsked) (Created, error) {
	id, err := s.app.DrawSample(ctx, who, p.ID, b.Number)
	return Created{id}, err
}

// SampledAttempt is an attempt that was drawn.
type SampledAttempt struct {
	Attempt  uuid.UUID              `json:"attempt"`
	Trainee  string                 `json:"trainee"`
	Title    string                 `json:"title"`
	State    decision.State         `json:"state"`
	Revision int                    `json:"revision"`
	Assessor string                 `json:"assessor"`
	Units    string                 `json:"units"`
	Method   string                 `json:"method"`
	Site     string                 `json:"site"`
	Risk     int                    `json:"risk"`
	Why      []sampling.Factor      `json:"why"`
	Outcome  decision.SampleOutcome `json:"outcome,omitzero"`
	Words    string                 `json:"words,omitzero"`
	By       string                 `json:"by,omitzero"`
	HadPart  bool                   `json:"had_part" about:"The caller had part in it, so that somebody else looks."`
}

// Sample is a sample with what was drawn.
type Sample struct {
	SampleRow
	Shows     string           `json:"shows" about:"What it shows so far."`
	Clearable int              `json:"clearable" about:"Attempts that can be cleared for claim."`
	Drawn     []SampledAttempt `json:"drawn" about:"A page of what was drawn, in the order of the strata."`
	More      bool             `json:"more" about:"There is a page after this one."`
}

func sampledOf(d app.Drawn) SampledAttempt {
	return SampledAttempt{Attempt: d.Attempt, Trainee: d.TraineeName, Title: d.Title, State: d.State, Revision: d.Revision, Assessor: d.AssessorName, Units: d.Units,
		Method: d.Method, Site: d.Site, Risk: d.Risk, Why: each(d.Why, func(f sampling.Factor) sampling.Factor { return f }), Outcome: d.Outcome, Words: d.Words, By: d.ByName, HadPart: d.HadPart}
}

func (s *service) sample(ctx context.Context, who account.Caller, p idPath, q listPage, _ none) (Sample, error) {
	m, err := s.app.Sample(ctx, who, p.ID, q.Page+1)
	return Sample{sampleRowOf(m.Sample), m.Shows, m.Clearable, each(m.Drawn, sampledOf), m.Page.Next() > 0}, err
}

// DrawnAgain says whether a sample comes to the same when it is drawn again.
type DrawnAgain struct {
	Same  bool        `json:"same"`
	Drawn []uuid.UUID `json:"drawn"`
	List  string      `json:"list" about:"What it was drawn from, as it was digested."`
}

func (s *service) drawAgain(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (DrawnAgain, error) {
	a, err := s.app.DrawAgain(ctx, who, p.ID)
	return DrawnAgain{a.Same, a.Drawn, string(a.List)}, err
}

// SayOutcome is what a sampler found.
type SayOutcome struct {
	Revision int                    `json:"revision" validate:"required"`
	Outcome  decision.SampleOutcome `json:"outcome" validate:"required,oneof=agree agree_with_action disagree"`
	Words    string                 `json:"words,omitzero" validate:"omitempty,max=4000" about:"Compulsory but for agreement."`
	Criteria []string               `json:"criteria,omitzero" validate:"omitempty,max=200,dive,required,max=200" about:"UNIT/code; those that a disagreement is about."`
	Action   string                 `json:"action,omitzero" validate:"omitempty,max=4000" about:"What is to be done; compulsory for agree_with_action."`
	Owner    uuid.UUID              `json:"owner,omitzero" validate:"omitempty" about:"A tutor of the cohort."`
	Due      Date                   `json:"due,omitzero" validate:"omitempty"`
}

// sampledPath names an attempt of a sample.
type sampledPath struct {
	ID      uuid.UUID `path:"id"`
	Attempt uuid.UUID `path:"attempt"`
}

func (s *service) sayOutcome(ctx context.Context, who account.Caller, p sampledPath, _ none, b SayOutcome) (none, error) {
	return none{}, s.app.SayOutcome(ctx, who, p.ID, p.Attempt, b.Revision,
		app.SayOutcome{Outcome: b.Outcome, Words: b.Words, Criteria: b.Criteria, Action: b.Action, Owner: b.Owner, Due: b.Due.Time})
}

// Cleared is how many attempts were cleared at once.
type Cleared struct {
	Cleared int      `json:"cleared" about:"At most 500."`
	Left    int      `json:"left" about:"That the caller may clear by asking again."`
	Apart   []string `json:"apart,omitempty" about:"The trainees whose work is left for somebody else, because of the caller's conflict of interest."`
}

func (s *service) clearSample(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (Cleared, error) {
	done, err := s.app.ClearForClaim(ctx, who, p.ID)
	return Cleared(done), err
}

func (s *service) endSample(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.EndSample(ctx, who, p.ID)
}

func (s *service) samplingRoutes() []Route {
	return []Route{
		route("sampling", get, "/api/sampling", account.SeeSampling, "Lists the sampling plans that are followed, and the newest samples.", s.sampling),
		route("addSamplingPlan", post, "/api/sampling", account.PlanSample, "Keeps a sampling plan.", s.addSamplingPlan),
		route("samplingPlan", get, "/api/sampling/{id}", account.SeeSampling, "Says what a draw under a plan would show, before it is drawn.", s.samplingPlan),
		route("endSamplingPlan", post, "/api/sampling/{id}/end", account.PlanSample, "Ends a plan; what was drawn under it stays.", s.endSamplingPlan),
		route("drawSample", post, "/api/sampling/{id}/samples", account.DrawSample, "Draws a plan's next sample.", s.drawSample),
		route("sample", get, "/api/samples/{id}", account.SeeSampling, "Gives a sample with what was drawn and found.", s.sample),
		route("drawAgain", get, "/api/samples/{id}/again", account.SeeSampling, "Draws a sample again from its list and seed, and says whether it comes to the same.", s.drawAgain),
		route("sayOutcome", post, "/api/samples/{id}/attempts/{attempt}", account.SaySample, "Keeps what a sampler found of a drawn attempt; where they disagree it goes back to be decided afresh.", s.sayOutcome),
		route("clearSample", post, "/api/samples/{id}/clear", account.ClearClaim, "Clears for claim what a final sample found in order.", s.clearSample),
		route("endSample", post, "/api/samples/{id}/end", account.DrawSample, "Ends a sample before all of it was looked at.", s.endSample),
		route("actions", get, "/api/actions", account.SeeActions, "Lists the open actions a page at a time, the earliest day first: a tutor's own, everybody's for those who close them.", s.actions),
		route("closeAction", post, "/api/actions/{id}/close", account.CloseAction, "Closes an action, by somebody other than its owner.", s.closeAction),
		route("claims", get, "/api/claims", account.SeeClaims, "Lists the claims, the newest first.", s.claims),
		route("claimable", get, "/api/claims/ready", account.SeeClaims, "Says who of a cohort is ready for a unit's certificate, and why the rest are not.", s.claimable),
		route("makeClaim", post, "/api/claims", account.MakeClaim, "Claims a unit for trainees who are all ready.", s.makeClaim),
		route("claim", get, "/api/claims/{id}", account.SeeClaims, "Gives one claim with its trainees.", s.claim),
	}
}
