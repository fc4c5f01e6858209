package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// NewInquiry opens an inquiry.
type NewInquiry struct {
	Concerns uuid.UUID `json:"concerns" validate:"required" about:"The person."`
	Words    string    `json:"words" validate:"required,max=4000" about:"What is suspected, and what it rests on."`
}

// Inquiry is the head of an inquiry's file.
type Inquiry struct {
	ID         uuid.UUID          `json:"id"`
	Concerns   uuid.UUID          `json:"concerns"`
	ConcernsOf string             `json:"concerns_name"`
	Words      string             `json:"words"`
	By         string             `json:"by"`
	At         time.Time          `json:"at"`
	Outcome    app.InquiryOutcome `json:"outcome,omitzero" about:"nothing_found, minor or upheld; absent while it runs."`
	Found      string             `json:"found,omitzero"`
	ClosedBy   string             `json:"closed_by,omitzero"`
	ClosedAt   time.Time          `json:"closed_at,omitzero"`
}

// InquiryFile is an inquiry with everything in it.
type InquiryFile struct {
	Inquiry
	Named    []string         `json:"named" about:"Who may see it."`
	Notes    []InquiryNote    `json:"notes"`
	Attempts []InquiryAttempt `json:"attempts" about:"Frozen by it, now or before."`
}

// InquiryNote is something that somebody put into the file.
type InquiryNote struct {
	Words string    `json:"words"`
	By    string    `json:"by"`
	At    time.Time `json:"at"`
}

// InquiryAttempt is an attempt that it froze.
type InquiryAttempt struct {
	Attempt uuid.UUID      `json:"attempt"`
	Title   string         `json:"title"`
	State   decision.State `json:"state"`
}

// FileWords are words for a file.
type FileWords struct {
	Words string `json:"words" validate:"required,max=4000"`
}

// PersonNamed names a person.
type PersonNamed struct {
	Person uuid.UUID `json:"person" validate:"required"`
}

// AttemptNamed names an attempt.
type AttemptNamed struct {
	Attempt uuid.UUID `json:"attempt" validate:"required"`
}

// SuspensionLifted names an attempt that goes on.
type SuspensionLifted struct {
	Attempt uuid.UUID `json:"attempt" validate:"required"`
	Words   string    `json:"words" validate:"omitempty,max=4000"`
}

// InquiryClosed is what came of an inquiry.
type InquiryClosed struct {
	Outcome app.InquiryOutcome `json:"outcome" validate:"required,oneof=nothing_found minor upheld"`
	Found   string             `json:"found" validate:"required,max=4000"`
}

func inquiryOf(i app.InquiryRow) Inquiry {
	return Inquiry{
		ID: i.ID, Concerns: i.Concerns, ConcernsOf: i.ConcernsOf, Words: i.Words, By: i.ByName, At: i.At, Outcome: i.Outcome, Found: i.Found,
		ClosedBy: i.ClosedBy, ClosedAt: i.ClosedAt,
	}
}

func inquiryFile(f app.InquiryFile) InquiryFile {
	out := InquiryFile{Inquiry: inquiryOf(f.Inquiry), Named: []string{}, Notes: []InquiryNote{}, Attempts: []InquiryAttempt{}}
	for _, n := range f.Named {
		out.Named = append(out.Named, n.Name)
	}
	for _, n := range f.Notes {
		out.Notes = append(out.Notes, InquiryNote{Words: n.Words, By: n.ByName, At: n.At})
	}
	for _, a := range f.Attempts {
		out.Attempts = append(out.Attempts, InquiryAttempt{Attempt: a.Attempt, Title: a.Title, State: a.State})
	}
	return out
}

func (s *service) inquiries(ctx context.Context, who account.Caller, _ none, q listPage, _ none) ([]Inquiry, error) {
	rows, err := s.app.Inquiries(ctx, who, q.Page+1)
	return each(rows, inquiryOf), err
}

func (s *service) openInquiry(ctx context.Context, who account.Caller, _ none, _ none, b NewInquiry) (Created, error) {
	id, err := s.app.OpenInquiry(ctx, who, b.Concerns, b.Words)
	return Created{ID: id}, err
}

func (s *service) inquiry(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (InquiryFile, error) {
	f, err := s.app.Inquiry(ctx, who, p.ID)
	return inquiryFile(f), err
}

func (s *service) noteInquiry(ctx context.Context, who account.Caller, p idPath, _ none, b FileWords) (none, error) {
	return none{}, s.app.NoteInquiry(ctx, who, p.ID, b.Words)
}

func (s *service) nameInInquiry(ctx context.Context, who account.Caller, p idPath, _ none, b PersonNamed) (none, error) {
	return none{}, s.app.NameInInquiry(ctx, who, p.ID, b.Person)
}

func (s *service) suspend(ctx context.Context, who account.Caller, p idPath, _ none, b AttemptNamed) (none, error) {
	return none{}, s.app.Suspend(ctx, who, p.ID, b.Attempt)
}

func (s *service) liftSuspension(ctx context.Context, who account.Caller, p idPath, _ none, b SuspensionLifted) (none, error) {
	return none{}, s.app.LiftSuspension(ctx, who, p.ID, b.Attempt, b.Words)
}

func (s *service) closeInquiry(ctx context.Context, who account.Caller, p idPath, _ none, b InquiryClosed) (none, error) {
	return none{}, s.app.CloseInquiry(ctx, who, p.ID, b.Outcome, b.Found)
}
