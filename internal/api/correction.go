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

// CorrectionAsked asks for a version of a brief to be applied to the attempts of an earlier one.
type CorrectionAsked struct {
	From  int    `json:"from" validate:"required,min=1" about:"The version that was wrong."`
	To    int    `json:"to" validate:"required,min=1" about:"The version that corrects it; both are published."`
	Words string `json:"words" validate:"required,max=4000" about:"What was wrong."`
}

// Correction is how far a correction has come, and what it changes.
type Correction struct {
	ID      uuid.UUID       `json:"id"`
	Brief   uuid.UUID       `json:"brief"`
	Title   string          `json:"title"`
	From    int             `json:"from"`
	To      int             `json:"to"`
	Words   string          `json:"words"`
	By      string          `json:"by"`
	At      time.Time       `json:"at"`
	State   app.RemarkState `json:"state"`
	Total   int             `json:"total" about:"Attempts to be marked again."`
	Done    int             `json:"done" about:"Of them, those that are."`
	Took    int             `json:"took" about:"Attempts on which it has taken effect."`
	Taking  int             `json:"taking" about:"Attempts on which it has yet to, were it to."`
	Coming  int             `json:"coming" about:"Of them, those that have not been marked."`
	Changes []CorrectionRow `json:"changes" about:"A page of the attempts that come out otherwise, those that lose first."`
	All     int             `json:"all" about:"Changes that the caller may see, on every page."`
	More    bool            `json:"more" about:"There is a page after this one."`
	Hidden  int             `json:"hidden" about:"Changes that the caller may not see."`
	Beyond  int             `json:"beyond" about:"Attempts on which it would take effect that the caller may not see, so that they may not let it."`
}

type correctionPage struct {
	Page int `query:"page" validate:"omitempty,min=0,max=10000" about:"From 0, two hundred changes at a time; one after the last is empty."`
}

// CorrectionRow is one attempt that comes out otherwise.
type CorrectionRow struct {
	Attempt     uuid.UUID        `json:"attempt"`
	TraineeName string           `json:"trainee_name"`
	CohortName  string           `json:"cohort_name"`
	Number      int              `json:"number"`
	State       decision.State   `json:"state"`
	Shift       marking.Shift    `json:"shift"`
	WasMarks    int              `json:"was_marks"`
	NowMarks    int              `json:"now_marks"`
	Rests       []string         `json:"rests" about:"Criteria with a decision that rests on a line that gains or loses."`
	Lacking     string           `json:"lacking,omitzero" about:"Why it cannot be marked."`
	Touched     bool             `json:"touched" about:"Neither signed off nor closed, so that the correction takes effect on it."`
	Lines       []app.RemarkLine `json:"lines"`
}

func (s *service) askCorrection(ctx context.Context, who account.Caller, p idPath, _ none, b CorrectionAsked) (Requested, error) {
	id, err := s.app.AskRemark(ctx, who, app.AskRemark{Brief: p.ID, From: b.From, To: b.To, Words: b.Words})
	return Requested{id}, err
}

func (s *service) correction(ctx context.Context, who account.Caller, p idPath, q correctionPage, _ none) (Correction, error) {
	r, err := s.app.RemarkReport(ctx, who, p.ID, q.Page+1)
	if err != nil {
		return Correction{}, err
	}
	return Correction{
		ID: r.ID, Brief: r.Brief, Title: r.Title, From: r.From, To: r.To, Words: r.Words, By: r.ByName, At: r.At.UTC(), State: r.State,
		Total: r.Total, Done: r.Done, Took: r.Took, Taking: r.Taking, Coming: r.Coming, Hidden: r.Hidden, Beyond: r.Beyond,
		Changes: each(r.Rows, correctionRow), All: r.All, More: r.Page.Next() > 0,
	}, nil
}

func correctionRow(row app.RemarkRow) CorrectionRow {
	return CorrectionRow{
		Attempt: row.Attempt, TraineeName: row.TraineeName, CohortName: row.CohortName, Number: row.Number, State: row.State,
		Shift: marking.Shift(row.Shift), WasMarks: row.WasMarks, NowMarks: row.NowMarks, Rests: row.Rests, Lacking: row.Lacking, Touched: row.Live, Lines: row.Lines,
	}
}

func (s *service) stopCorrection(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.StopRemark(ctx, who, p.ID)
}

func (s *service) goOnCorrection(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.GoOnRemark(ctx, who, p.ID)
}

func (s *service) takeCorrection(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.TakeRemark(ctx, who, p.ID)
}

func (s *service) dropCorrection(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.DropRemark(ctx, who, p.ID)
}

func (s *service) correctionRoutes() []Route {
	return []Route{
		route("askCorrection", post, "/api/briefs/{id}/corrections", account.RemarkBrief, "Has every attempt that was marked under one version of a brief marked again under a later one; nothing of it counts before it is let take effect.", s.askCorrection),
		route("correction", get, "/api/corrections/{id}", account.RemarkBrief, "Says how far a correction has come, and what it changes.", s.correction),
		route("stopCorrection", post, "/api/corrections/{id}/stop", account.RemarkBrief, "Has the marking pause after what is under way.", s.stopCorrection),
		route("goOnCorrection", post, "/api/corrections/{id}/go-on", account.RemarkBrief, "Has a stopped correction go on where it stopped.", s.goOnCorrection),
		route("takeCorrection", post, "/api/corrections/{id}/take", account.TakeRemark, "Lets a correction take effect on what is neither signed off nor closed: a record and a result more on each; a tutor may where they teach all whom it concerns.", s.takeCorrection),
		route("dropCorrection", post, "/api/corrections/{id}/drop", account.RemarkBrief, "Gives a correction up before it takes effect.", s.dropCorrection),
	}
}
