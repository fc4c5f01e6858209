package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
)

// Inquiry is the file of one inquiry into suspected malpractice or maladministration. Only the people whom it names may see it.
type Inquiry struct {
	ID         uuid.UUID `db:"inquiry_id"`
	Concerns   uuid.UUID // the person
	ConcernsOf string    // their name; only read
	Words      string
	By         uuid.UUID `db:"opened_by"`
	ByName     string    // only read
	At         time.Time `db:"opened_at"`
	Outcome    InquiryOutcome
	Found      string
	ClosedBy   string    // the name; only read
	ClosedAt   time.Time // zero while it runs
}

// InquiryOutcome is what came of an inquiry; "" while it runs.
type InquiryOutcome string

// The outcomes.
const (
	NothingFound InquiryOutcome = "nothing_found"
	MinorFound   InquiryOutcome = "minor"  // nothing that touches what was decided
	FoundUpheld  InquiryOutcome = "upheld" // what was suspected
)

// InquiryFile is an inquiry with everything in it.
type InquiryFile struct {
	Inquiry
	Named    []BlindJudge // who may see it, by name
	Notes    []InquiryNote
	Attempts []InquiryAttempt // frozen by it, now or before
	Others   []InquiryAttempt // further attempts of whom it concerns, the newest first, two hundred at most
}

// InquiryNote is something that somebody put into the file.
type InquiryNote struct {
	Words  string
	ByName string
	At     time.Time `db:"said_at"`
}

// InquiryAttempt is an attempt of whom an inquiry concerns.
type InquiryAttempt struct {
	Attempt    uuid.UUID `db:"attempt_id"`
	Title      string    // of the brief version
	CohortName string
	Number     int
	State      decision.State
}

const inquiryColumns = `i.inquiry_id, i.concerns, w.name AS concerns_of, i.words, i.opened_by, p.name AS by_name, i.opened_at,
	coalesce(i.outcome, '') AS outcome, i.found, coalesce(q.name, '') AS closed_by, coalesce(i.closed_at, '0001-01-01 00:00Z') AS closed_at `

const inquiryFrom = ` FROM inquiry i
	JOIN person w ON w.centre_id = i.centre_id AND w.person_id = i.concerns
	JOIN person p ON p.centre_id = i.centre_id AND p.person_id = i.opened_by
	LEFT JOIN person q ON q.centre_id = i.centre_id AND q.person_id = i.closed_by
	JOIN inquiry_person n ON n.centre_id = i.centre_id AND n.inquiry_id = i.inquiry_id AND n.person_id = @reader `

// Inquiries lists those that name the reader, the newest first, and says how many there are.
func (s *Store) Inquiries(ctx context.Context, centre int64, reader uuid.UUID, span Span) ([]Inquiry, int, error) {
	return paged[Inquiry](s.reading(ctx, centre), "inquiries", inquiryColumns, inquiryFrom, `i.opened_at DESC, i.inquiry_id DESC`, args{"reader": reader}, span)
}

const inquiryAttemptSQL = `SELECT a.attempt_id, v.title, c.name AS cohort_name, a.number, a.state FROM attempt a
	JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
	JOIN cohort c ON c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
	JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version `

// What is in the file of one inquiry: its notes, and the attempts that it froze.
const (
	inquiryNoteSQL = `SELECT n.words, p.name AS by_name, n.said_at FROM inquiry_note n JOIN person p ON p.centre_id = n.centre_id AND p.person_id = n.said_by
		WHERE n.inquiry_id = @id ORDER BY n.said_at, n.note_id`
	inquiryFrozenSQL = inquiryAttemptSQL + `JOIN inquiry_attempt x ON x.centre_id = a.centre_id AND x.attempt_id = a.attempt_id
		WHERE x.inquiry_id = @id ORDER BY a.attempt_id`
)

// InquiryFile reads one that names the reader, with everything in it; NotFound for everybody else.
func (s *Store) InquiryFile(ctx context.Context, centre int64, id, reader uuid.UUID) (InquiryFile, error) {
	r := s.reading(ctx, centre)
	var heads []Inquiry
	var f InquiryFile
	a := args{"id": id}
	queue(r, &heads, `SELECT `+inquiryColumns+inquiryFrom+`WHERE i.inquiry_id = @id`, args{"id": id, "reader": reader})
	queue(r, &f.Named, `SELECT n.person_id, p.name FROM inquiry_person n JOIN person p ON p.centre_id = n.centre_id AND p.person_id = n.person_id
		WHERE n.inquiry_id = @id ORDER BY p.name, n.person_id`, a)
	queue(r, &f.Notes, inquiryNoteSQL, a)
	queue(r, &f.Attempts, inquiryFrozenSQL, a)
	queue(r, &f.Others, inquiryAttemptSQL+`JOIN inquiry i ON i.centre_id = a.centre_id AND i.concerns = a.trainee_id
		WHERE i.inquiry_id = @id AND NOT EXISTS (SELECT FROM inquiry_attempt x WHERE x.centre_id = a.centre_id AND x.inquiry_id = @id AND x.attempt_id = a.attempt_id)
			AND a.state NOT IN ('suspended', 'withdrawn', 'set_aside', 'destroyed')
		ORDER BY t.set_at DESC, a.attempt_id LIMIT 200`, a)
	err := r.send("inquiry")
	f.Inquiry, err = first(heads, "inquiry", err)
	return f, err
}

// LockInquiry reads one that names the reader and holds it until the transaction ends; NotFound for everybody else.
func (t *Tx) LockInquiry(ctx context.Context, id, reader uuid.UUID) (Inquiry, error) {
	return one[Inquiry](t.reading(ctx), "inquiry", `SELECT `+inquiryColumns+inquiryFrom+`WHERE i.inquiry_id = @id FOR UPDATE OF i`, args{"id": id, "reader": reader})
}

// AddInquiry opens a file; whoever opens it is the first whom it names.
func (t *Tx) AddInquiry(ctx context.Context, i Inquiry) error {
	_, err := t.exec(ctx, "open inquiry", `
		WITH i AS (INSERT INTO inquiry (centre_id, inquiry_id, concerns, words, opened_by, opened_at) VALUES (@centre, @id, @concerns, @words, @by, @at) RETURNING *)
		INSERT INTO inquiry_person (centre_id, inquiry_id, person_id, concerns, named_by, named_at)
		SELECT i.centre_id, i.inquiry_id, i.opened_by, i.concerns, i.opened_by, i.opened_at FROM i`,
		args{"centre": t.centre, "id": i.ID, "concerns": i.Concerns, "words": i.Words, "by": i.By, "at": i.At})
	return err
}

// NameInInquiry has one more person see the file. Whom it concerns is Forbidden.
func (t *Tx) NameInInquiry(ctx context.Context, id, person, by uuid.UUID, at time.Time) error {
	_, err := t.exec(ctx, "name in an inquiry", `
		INSERT INTO inquiry_person (centre_id, inquiry_id, person_id, concerns, named_by, named_at)
		SELECT i.centre_id, i.inquiry_id, @person, i.concerns, @by, @at FROM inquiry i WHERE i.inquiry_id = @id`,
		args{"id": id, "person": person, "by": by, "at": at})
	return err
}

// NoteInquiry puts something into the file.
func (t *Tx) NoteInquiry(ctx context.Context, note, id, by uuid.UUID, at time.Time, words string) error {
	_, err := t.exec(ctx, "note in an inquiry", `INSERT INTO inquiry_note (centre_id, note_id, inquiry_id, words, said_by, said_at) VALUES (@centre, @note, @id, @words, @by, @at)`,
		args{"centre": t.centre, "note": note, "id": id, "words": words, "by": by, "at": at})
	return err
}

// FreezeFor says that an inquiry froze an attempt; again has no effect.
func (t *Tx) FreezeFor(ctx context.Context, id, attempt uuid.UUID) error {
	_, err := t.exec(ctx, "freeze for an inquiry", `INSERT INTO inquiry_attempt (centre_id, inquiry_id, attempt_id) VALUES (@centre, @id, @attempt) ON CONFLICT DO NOTHING`,
		args{"centre": t.centre, "id": id, "attempt": attempt})
	return err
}

// FrozenBy counts the attempts that an inquiry froze and that still are; attempt narrows it to one, zero is all.
func (t *Tx) FrozenBy(ctx context.Context, id, attempt uuid.UUID) (int, error) {
	r := t.reading(ctx)
	var n []int
	queueColumn(r, &n, `SELECT count(*) FROM inquiry_attempt x JOIN attempt a ON a.centre_id = x.centre_id AND a.attempt_id = x.attempt_id
		WHERE x.inquiry_id = @id AND a.state = 'suspended' AND (@attempt::uuid IS NULL OR a.attempt_id = @attempt)`, args{"id": id, "attempt": uuidOrNull(attempt)})
	return first(n, "frozen attempts", r.send("frozen attempts"))
}

// CloseInquiry keeps what came of an inquiry.
func (t *Tx) CloseInquiry(ctx context.Context, id, by uuid.UUID, at time.Time, outcome InquiryOutcome, found string) error {
	_, err := t.exec(ctx, "close inquiry", `UPDATE inquiry SET outcome = @outcome, found = @found, closed_by = @by, closed_at = @at WHERE inquiry_id = @id AND closed_at IS NULL`,
		args{"id": id, "outcome": string(outcome), "found": found, "by": by, "at": at})
	return err
}
