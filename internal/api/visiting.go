package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// VisitAttempt is one attempt that a visit can reach.
type VisitAttempt struct {
	ID      uuid.UUID `json:"id"`
	Trainee string    `json:"trainee"`
	Brief   string    `json:"brief"`
	Cohort  string    `json:"cohort"`
	Number  int       `json:"number"`
	State   string    `json:"state"`
	Tutor   string    `json:"tutor,omitzero" about:"Who signed it off, or sent it back."`
	At      time.Time `json:"at,omitzero"`
	Draw    int       `json:"draw,omitzero" about:"In which draw it came on the list; absent where it was not drawn."`
}

func visitAttemptOf(x app.VisitAttempt) VisitAttempt {
	return VisitAttempt{ID: x.ID, Trainee: x.TraineeName, Brief: x.BriefTitle, Cohort: x.CohortName, Number: x.Number, State: string(x.State), Tutor: x.Tutor, At: x.DecidedAt.UTC(), Draw: x.Draw}
}

// MyVisit is the visit as its verifier sees it, a page of it at a time.
type MyVisit struct {
	Visit
	Attempts   []VisitAttempt `json:"attempts"`
	Portfolios []Portfolio    `json:"portfolios"`
	Notes      []VisitNote    `json:"notes"`
}

// pageQuery names a page of a long list.
type pageQuery struct {
	Page int `query:"page" validate:"omitempty,min=0,max=10000" about:"From 0, fifty at a time."`
}

func (s *service) myVisit(ctx context.Context, who account.Caller, _ none, q pageQuery, _ none) (MyVisit, error) {
	m, err := s.app.MyVisit(ctx, who, q.Page)
	return MyVisit{visitOf(m.Visit), each(m.Attempts, visitAttemptOf), each(m.Portfolios, portfolioOf), each(m.Notes, visitNoteOf)}, err
}

// VisitReach is what a verifier can still choose and draw from, a page of it at a time.
type VisitReach struct {
	Attempts []VisitAttempt `json:"attempts"`
	Draws    []VisitDraw    `json:"draws"`
}

func (s *service) visitReach(ctx context.Context, who account.Caller, _ none, q pageQuery, _ none) (VisitReach, error) {
	r, err := s.app.VisitReach(ctx, who, q.Page)
	return VisitReach{each(r.Attempts, visitAttemptOf), each(r.Draws, visitDrawOf)}, err
}

// VisitedSheet is an attempt on the list: who decided what, on which evidence, when, under which rules.
type VisitedSheet struct {
	Sheet       Sheet       `json:"sheet"`
	BriefSHA256 string      `json:"brief_sha256" about:"Of the version's text."`
	WrittenBy   string      `json:"written_by"`
	PublishedBy string      `json:"published_by" about:"Who checked the brief and published it."`
	PublishedAt time.Time   `json:"published_at"`
	Engine      string      `json:"engine,omitzero" about:"The marker's edition."`
	Notes       []VisitNote `json:"notes"`
}

func (s *service) visitSheet(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (VisitedSheet, error) {
	v, err := s.app.VisitSheet(ctx, who, p.ID)
	return VisitedSheet{sheetOf(v.Sheet), v.BriefDigest, v.WrittenBy, v.PublishedBy, v.PublishedAt.UTC(), v.Engine, each(v.Notes, visitNoteOf)}, err
}

func (s *service) visitFile(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (content, error) {
	f, err := s.app.VisitFile(ctx, who, p.ID, false)
	return opened(contentOf(f), err)
}

func (s *service) visitPortfolio(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (content, error) {
	f, err := s.app.VisitPortfolio(ctx, who, p.ID)
	return opened(content{ReadSeekCloser: f.Content, name: f.Unit + " " + f.TraineeName + ".pdf", media: "application/pdf", digest: f.Digest}, err)
}

// VisitChoice is attempts for a verifier's list.
type VisitChoice struct {
	Attempts []uuid.UUID `json:"attempts" validate:"min=1,max=50,unique"`
}

func (s *service) chooseForVisit(ctx context.Context, who account.Caller, _ none, _ none, b VisitChoice) (none, error) {
	return none{}, s.app.ChooseForVisit(ctx, who, b.Attempts)
}

// NewVisitDraw says how many to draw.
type NewVisitDraw struct {
	Size int `json:"size" validate:"min=1,max=100000"`
}

func (s *service) drawForVisit(ctx context.Context, who account.Caller, _ none, _ none, b NewVisitDraw) (none, error) {
	return none{}, s.app.DrawForVisit(ctx, who, b.Size)
}

// NewVisitNote is what a verifier found, of one attempt or of all.
type NewVisitNote struct {
	Attempt uuid.UUID        `json:"attempt" validate:"omitempty" about:"Absent for all of the visit."`
	Finding app.VisitFinding `json:"finding" validate:"required,oneof=confirmed not_confirmed remark"`
	Words   string           `json:"words" validate:"omitempty,max=4000" about:"May be left out where what the centre decided is confirmed."`
}

func (s *service) noteOnVisit(ctx context.Context, who account.Caller, _ none, _ none, b NewVisitNote) (none, error) {
	return none{}, s.app.NoteOnVisit(ctx, who, b.Attempt, b.Finding, b.Words)
}

// NewVisitAction is what a verifier asks somebody at the centre to do.
type NewVisitAction struct {
	Attempt uuid.UUID `json:"attempt" validate:"omitempty" about:"Absent where it is about all of the visit."`
	Words   string    `json:"words" validate:"required,max=4000"`
	Owner   uuid.UUID `json:"owner" validate:"required"`
	Due     Date      `json:"due"`
}

func (s *service) actOnVisit(ctx context.Context, who account.Caller, _ none, _ none, b NewVisitAction) (none, error) {
	return none{}, s.app.ActOnVisit(ctx, who, app.VisitAction{Attempt: b.Attempt, Words: b.Words, Owner: b.Owner, Due: b.Due.Time})
}

func (s *service) visitRoutes() []Route {
	return []Route{
		route("visits", get, "/api/visits", account.ArrangeVisit, "Lists verifiers' visits.", s.visits),
		route("arrangeVisit", post, "/api/visits", account.ArrangeVisit, "Arranges a visit and makes the link that opens it.", s.arrangeVisit),
		route("visitReport", get, "/api/visits/{id}", account.ArrangeVisit, "Gives all that is kept of a visit.", s.visitReport),
		route("relinkVisit", post, "/api/visits/{id}/link", account.ArrangeVisit, "Makes another link for a visit; the one before opens nothing any more.", s.relinkVisit),
		route("requestVisitPortfolios", post, "/api/visits/{id}/portfolios", account.ArrangeVisit, "Asks for the portfolios of everybody on a visit's list; they are built in the background, several at once.", s.requestVisitPortfolios),
		route("endVisit", post, "/api/visits/{id}/end", account.ArrangeVisit, "Ends a visit before its time.", s.endVisit),
		slowly(route("visitInvited", get, "/api/visit-links/{token}", "", "Says which visit a link opens, and changes nothing.", s.visitInvited)),
		slowly(route("openVisit", post, "/api/visit-links/{token}", "", "Opens a visit; the answer sets the session's cookie.", s.openVisit)),
		route("myVisit", get, "/api/visit", account.Visit, "Gives a verifier the list of their visit.", s.myVisit),
		route("visitReach", get, "/api/visit/reach", account.Visit, "Lists what a verifier can still choose and draw from.", s.visitReach),
		route("drawForVisit", post, "/api/visit/draws", account.Visit, "Draws for a verifier's list.", s.drawForVisit),
		route("chooseForVisit", post, "/api/visit/choices", account.Visit, "Puts attempts on a verifier's list.", s.chooseForVisit),
		route("visitSheet", get, "/api/visit/attempts/{id}", account.Visit, "Gives a verifier an attempt with who decided what, on which evidence, when, under which rules.", s.visitSheet),
		route("visitFile", get, "/api/visit/files/{id}", account.Visit, "Gives a verifier the bytes of one file.", s.visitFile),
		route("visitPortfolio", get, "/api/visit/portfolios/{id}", account.Visit, "Gives a verifier a portfolio's PDF.", s.visitPortfolio),
		route("noteOnVisit", post, "/api/visit/notes", account.Visit, "Keeps what a verifier found.", s.noteOnVisit),
		route("actOnVisit", post, "/api/visit/actions", account.Visit, "Keeps what a verifier asks the centre to do.", s.actOnVisit),
	}
}
