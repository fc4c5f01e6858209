package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// SetAside has an attempt count for nothing.
type SetAside struct {
	Revision int    `json:"revision" validate:"required,min=1" about:"That the caller saw."`
	Words    string `json:"words" validate:"required,max=4000"`
	Again    bool   `json:"again" validate:"omitempty" about:"Plan another attempt in its place."`
}

// NewPrior claims what was learned and shown elsewhere.
type NewPrior struct {
	Trainee  uuid.UUID `json:"trainee" validate:"required"`
	Unit     string    `json:"unit" validate:"required,max=100"`
	Criteria []string  `json:"criteria" validate:"required,min=1,max=200" about:"UNIT/code."`
	Words    string    `json:"words" validate:"required,max=4000" about:"What, where and when, and what proves it."`
}

// Prior is a claim of prior learning.
type Prior struct {
	ID          uuid.UUID `json:"id"`
	Trainee     uuid.UUID `json:"trainee"`
	TraineeName string    `json:"trainee_name"`
	Unit        string    `json:"unit"`
	Criteria    []string  `json:"criteria"`
	Words       string    `json:"words"`
	By          string    `json:"by"`
	At          time.Time `json:"at"`
	Decided     int       `json:"decided" about:"Of the criteria."`
	Unseen      int       `json:"unseen" about:"Of the criteria, those that were recognised and that no internal quality assurer has looked at."`
}

// PriorSheet is a claim with what proves it and what was decided.
type PriorSheet struct {
	Prior
	Files     []PriorProof    `json:"files"`
	Decisions []PriorDecision `json:"decisions"`
}

// PriorProof is a file that proves a claim.
type PriorProof struct {
	ID        uuid.UUID `json:"id"`
	Name      string    `json:"name"`
	MediaType string    `json:"media_type"`
	Size      int64     `json:"size"`
	SHA256    string    `json:"sha256"`
}

// PriorDecision is what was decided of one criterion.
type PriorDecision struct {
	Criterion string           `json:"criterion"`
	Outcome   decision.Outcome `json:"outcome"`
	Words     string           `json:"words"`
	By        string           `json:"by"`
	At        time.Time        `json:"at"`
	Look      *PriorLook       `json:"look,omitempty" about:"What an internal quality assurer found; left out before. What they disagree with is out of use."`
}

// PriorLook is what an internal quality assurer found of a criterion that was recognised.
type PriorLook struct {
	Outcome decision.SampleOutcome `json:"outcome"`
	Words   string                 `json:"words"`
	By      string                 `json:"by"`
	At      time.Time              `json:"at"`
}

// PriorLooked says what an internal quality assurer found of recognised criteria.
type PriorLooked struct {
	Criteria []string               `json:"criteria" validate:"required,min=1,max=200" about:"UNIT/code."`
	Outcome  decision.SampleOutcome `json:"outcome" validate:"required,oneof=agree agree_with_action disagree"`
	Words    string                 `json:"words,omitzero" validate:"omitempty,max=4000" about:"Compulsory but for agreement."`
	Action   string                 `json:"action,omitzero" validate:"omitempty,max=4000" about:"What is to be done; compulsory for agree_with_action."`
	Owner    uuid.UUID              `json:"owner,omitzero" validate:"omitempty" about:"A tutor of the trainee."`
	Due      Date                   `json:"due,omitzero" validate:"omitempty"`
}

// PriorDecided decides on one criterion of a claim.
type PriorDecided struct {
	Criterion string           `json:"criterion" validate:"required,max=100"`
	Outcome   decision.Outcome `json:"outcome" validate:"required,oneof=met not_yet_met"`
	Words     string           `json:"words" validate:"required,max=4000" about:"What it rests on."`
}

type priorFileQuery struct {
	Name string `query:"name" validate:"required,max=255" about:"The file's name."`
}

type priorFilePath struct {
	ID   uuid.UUID `path:"id" about:"The claim's."`
	File uuid.UUID `path:"file"`
}

func priorOf(p app.PriorRow) Prior {
	return Prior{ID: p.ID, Trainee: p.Trainee, TraineeName: p.TraineeName, Unit: p.Unit, Criteria: p.Criteria, Words: p.Words, By: p.ByName, At: p.At, Decided: p.Decided, Unseen: p.Unseen}
}

func priorSheet(p app.Prior) PriorSheet {
	out := PriorSheet{Prior: priorOf(p.PriorSheet.Prior), Files: []PriorProof{}, Decisions: []PriorDecision{}}
	for _, f := range p.Files {
		out.Files = append(out.Files, PriorProof{ID: f.ID, Name: f.Name, MediaType: f.MediaType, Size: f.Size, SHA256: f.Digest})
	}
	for _, d := range p.Decisions {
		o := PriorDecision{Criterion: d.Criterion, Outcome: d.Outcome, Words: d.Words, By: d.ByName, At: d.At}
		if k := d.Look; k != nil {
			o.Look = &PriorLook{k.Outcome, k.Words, k.ByName, k.At}
		}
		out.Decisions = append(out.Decisions, o)
	}
	return out
}

func (s *service) setAside(ctx context.Context, who account.Caller, p idPath, _ none, b SetAside) (none, error) {
	return none{}, s.app.SetAside(ctx, who, p.ID, b.Revision, b.Words, b.Again)
}

func (s *service) priors(ctx context.Context, who account.Caller, _ none, q listPage, _ none) ([]Prior, error) {
	p, err := s.app.Priors(ctx, who, q.Page+1)
	return each(p.Rows, priorOf), err
}

func (s *service) claimPrior(ctx context.Context, who account.Caller, _ none, _ none, b NewPrior) (Created, error) {
	id, err := s.app.ClaimPrior(ctx, who, app.NewPrior(b))
	return Created{ID: id}, err
}

func (s *service) prior(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (PriorSheet, error) {
	r, err := s.app.Prior(ctx, who, p.ID)
	return priorSheet(r), err
}

func (s *service) addPriorFile(ctx context.Context, who account.Caller, p idPath, q priorFileQuery, b upload) (none, error) {
	return none{}, s.app.AddPriorFile(ctx, who, p.ID, q.Name, b)
}

func (s *service) priorFile(ctx context.Context, who account.Caller, p priorFilePath, _ none, _ none) (content, error) {
	f, err := s.app.OpenPriorFile(ctx, who, p.ID, p.File)
	return opened(contentOf(f), err)
}

func (s *service) decidePrior(ctx context.Context, who account.Caller, p idPath, _ none, b PriorDecided) (none, error) {
	return none{}, s.app.DecidePrior(ctx, who, p.ID, b.Criterion, b.Outcome, b.Words)
}

func (s *service) lookAtPrior(ctx context.Context, who account.Caller, p idPath, _ none, b PriorLooked) (none, error) {
	return none{}, s.app.LookAtPrior(ctx, who, p.ID, app.LookPrior{Criteria: b.Criteria, Outcome: b.Outcome, Words: b.Words, Action: b.Action, Owner: b.Owner, Due: b.Due.Time})
}

func (s *service) smallFileRoutes() []Route {
	return []Route{
		route("setAside", post, "/api/attempts/{id}/set-aside", account.SetAside, "Has an attempt count for nothing from now on; nothing of it is removed.", s.setAside),
		route("priors", get, "/api/prior-learning", account.SeePrior, "Lists claims of prior learning, what waits first: a trainee's own, those of a tutor's trainees, or the centre's.", s.priors),
		route("claimPrior", post, "/api/prior-learning", account.ClaimPrior, "Claims prior learning for criteria of a unit.", s.claimPrior),
		route("prior", get, "/api/prior-learning/{id}", account.SeePrior, "Gives a claim with what proves it and what was decided.", s.prior),
		route("addPriorFile", post, "/api/prior-learning/{id}/files", account.ClaimPrior, "Adds a file that proves a claim.", s.addPriorFile),
		route("priorFile", get, "/api/prior-learning/{id}/files/{file}", account.SeePrior, "Gives the bytes of a file that proves a claim.", s.priorFile),
		route("decidePrior", post, "/api/prior-learning/{id}/decide", account.DecidePrior, "Decides on one criterion of a claim that somebody else made; what is met so counts as met.", s.decidePrior),
		route("lookAtPrior", post, "/api/prior-learning/{id}/look", account.LookAtPrior, "Keeps what an internal quality assurer found of recognised criteria, before a claim can rest on them; what they disagree with is out of use.", s.lookAtPrior),
		route("inquiries", get, "/api/inquiries", account.SeeFiles, "Lists the inquiries that name the caller.", s.inquiries),
		route("openInquiry", post, "/api/inquiries", account.Inquire, "Opens an inquiry, which nobody else sees until they are named.", s.openInquiry),
		route("inquiry", get, "/api/inquiries/{id}", account.SeeFiles, "Gives the file of an inquiry to those whom it names; for all others it is not there.", s.inquiry),
		route("noteInquiry", post, "/api/inquiries/{id}/notes", account.SeeFiles, "Puts something into the file.", s.noteInquiry),
		route("nameInInquiry", post, "/api/inquiries/{id}/people", account.Inquire, "Has one more person see the file; never whom it concerns.", s.nameInInquiry),
		route("suspend", post, "/api/inquiries/{id}/suspend", account.Inquire, "Freezes an attempt of whom it concerns: every write to it is refused, and what a phone still sends is held back.", s.suspend),
		route("liftSuspension", post, "/api/inquiries/{id}/lift", account.Inquire, "Has a frozen attempt go on from where it was.", s.liftSuspension),
		route("closeInquiry", post, "/api/inquiries/{id}/close", account.Inquire, "Closes an inquiry with what came of it, once nothing is frozen by it.", s.closeInquiry),
	}
}
