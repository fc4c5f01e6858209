package api

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// Release releases the hold point before a stage.
type Release struct {
	Stage string `json:"stage" validate:"required,max=200" about:"The stage's key."`
	Words string `json:"words" validate:"omitempty,max=4000"`
}

func (s *service) releaseHold(ctx context.Context, who account.Caller, p idPath, _ none, b Release) (none, error) {
	return none{}, s.app.ReleaseHold(ctx, who, p.ID, b.Stage, b.Words)
}

// CheckReading is a tutor's own reading beside a safety-critical one.
type CheckReading struct {
	Item    string      `json:"item" validate:"required,max=200"`
	Phase   brief.Phase `json:"phase" validate:"omitempty,oneof=as-found as-left"`
	Text    string      `json:"text" validate:"omitempty,max=4000" about:"In the trainee's unit; left out where the tutor saw the instrument show the trainee's value."`
	InPlace string      `json:"in_place" validate:"omitempty,max=500" about:"As of an observation."`
	// Others rest on the name there.
	Password string `json:"password" validate:"required,max=1024" about:"The caller's own, again."`
}

func (s *service) checkReading(ctx context.Context, who account.Caller, p idPath, _ none, b CheckReading) (none, error) {
	return none{}, s.app.EnterCheckReading(ctx, who, p.ID, app.CheckReading{Item: b.Item, Phase: b.Phase, Text: b.Text, InPlace: b.InPlace}, b.Password)
}

// Decision judges one criterion.
type Decision struct {
	Revision  int              `json:"revision" validate:"min=0" about:"The sheet's, as the tutor saw it."`
	Criterion string           `json:"criterion" validate:"required,max=200" about:"UNIT/code."`
	Outcome   decision.Outcome `json:"outcome" validate:"required,oneof=met not_yet_met"`
	Reason    decision.Reason  `json:"reason" validate:"omitempty,oneof=valid authentic current sufficient safe" about:"In which respect the evidence falls short; asked for with not_yet_met."`
	Words     string           `json:"words" validate:"omitempty,max=4000" about:"What is missing; asked for with not_yet_met."`
	Evidence  []string         `json:"evidence" validate:"omitempty,max=200,dive,max=200" about:"Keys of the items that the decision rests on."`
}

func (s *service) decide(ctx context.Context, who account.Caller, p idPath, _ none, b Decision) (none, error) {
	return none{}, s.app.Decide(ctx, who, p.ID, b.Revision, decision.Judgement{
		Criterion: b.Criterion, Outcome: b.Outcome, Reason: b.Reason, Words: b.Words, Evidence: b.Evidence,
	})
}

// TakeBack takes the decision on a criterion back.
type TakeBack struct {
	Revision  int    `json:"revision" validate:"min=0" about:"The sheet's, as the tutor saw it."`
	Criterion string `json:"criterion" validate:"required,max=200" about:"UNIT/code."`
	Words     string `json:"words" validate:"omitempty,max=4000" about:"Why."`
}

func (s *service) takeBack(ctx context.Context, who account.Caller, p idPath, _ none, b TakeBack) (none, error) {
	return none{}, s.app.TakeBack(ctx, who, p.ID, b.Revision, b.Criterion, b.Words)
}

// Override puts a tutor's verdict in place of the marker's, with a reason. The marker's own stays as it is.
type Override struct {
	Revision int             `json:"revision" validate:"min=0" about:"The sheet's, as the tutor saw it."`
	Item     string          `json:"item" validate:"required,max=200"`
	Part     string          `json:"part" validate:"omitempty,max=200"`
	Phase    brief.Phase     `json:"phase" validate:"omitempty,oneof=as-found as-left"`
	Verdict  marking.Verdict `json:"verdict" validate:"required,oneof=correct wrong"`
	Words    string          `json:"words" validate:"required,max=4000"`
}

func (s *service) override(ctx context.Context, who account.Caller, p idPath, _ none, b Override) (none, error) {
	return none{}, s.app.Override(ctx, who, p.ID, b.Revision, app.Override{
		Item: b.Item, Part: b.Part, Phase: b.Phase, Verdict: b.Verdict, Words: b.Words,
	})
}

// TakeIn takes something that is held back into the set.
type TakeIn struct {
	ID    uuid.UUID `json:"id" validate:"required" about:"Of what is held."`
	Words string    `json:"words" validate:"required,max=4000" about:"Why."`
}

func (s *service) takeIn(ctx context.Context, who account.Caller, p idPath, _ none, b TakeIn) (none, error) {
	return none{}, s.app.TakeIn(ctx, who, p.ID, b.ID, b.Words)
}

// GoOn says why an attempt is marked without all that was handed over.
type GoOn struct {
	Words string `json:"words" validate:"required,max=4000"`
}

func (s *service) goOnWithout(ctx context.Context, who account.Caller, p idPath, _ none, b GoOn) (none, error) {
	return none{}, s.app.GoOnWithout(ctx, who, p.ID, b.Words)
}

// SignOff closes an attempt whose criteria are all met. It cannot be taken back, so it asks for the password again.
type SignOff struct {
	Revision int    `json:"revision" validate:"min=0" about:"The sheet's, as the tutor saw it."`
	Password string `json:"password" validate:"required,max=1024"`
	Words    string `json:"words" validate:"omitempty,max=4000"`
}

func (s *service) signOff(ctx context.Context, who account.Caller, p idPath, _ none, b SignOff) (none, error) {
	return none{}, s.app.SignOff(ctx, who, p.ID, b.Revision, b.Password, b.Words)
}

// MoreToDo sends an attempt back.
type MoreToDo struct {
	Revision int    `json:"revision" validate:"min=0" about:"The sheet's, as the tutor saw it."`
	Good     string `json:"good" validate:"required,max=4000" about:"What was good."`
	Missing  string `json:"missing" validate:"required,max=4000" about:"What is missing."`
	ToDo     string `json:"to_do" validate:"required,max=4000" about:"What to do about it."`
	By       Date   `json:"by" about:"The day by which."`
}

func (s *service) askForMore(ctx context.Context, who account.Caller, p idPath, _ none, b MoreToDo) (none, error) {
	m := decision.More{Good: b.Good, Missing: b.Missing, ToDo: b.ToDo}
	return none{}, s.app.AskForMore(ctx, who, p.ID, b.Revision, m, b.By.Time)
}
