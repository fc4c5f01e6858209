package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// VisitFinding is what a verifier found.
type VisitFinding string

// The findings: of an attempt, that what the centre decided holds or does not; of that or of all of it, a remark.
const (
	VisitConfirmed    VisitFinding = "confirmed"
	VisitNotConfirmed VisitFinding = "not_confirmed"
	VisitRemark       VisitFinding = "remark"
)

// VisitNote is one note of the verifier's own record.
type VisitNote struct {
	ID      uuid.UUID `db:"note_id"`
	Attempt uuid.UUID `db:"attempt_id"` // zero where it is about all of the visit
	About   string    // the attempt in words, "" for all of it; only read
	Finding VisitFinding
	Words   string
	By      uuid.UUID `db:"by_id"`
	At      time.Time
}

// VisitNotes lists a visit's notes, the first first; of more than VisitsMost the newest.
func (s *Store) VisitNotes(ctx context.Context, centre int64, visit uuid.UUID) ([]VisitNote, error) {
	return all[VisitNote](s.reading(ctx, centre), "visit's notes", `
		SELECT * FROM (SELECT n.note_id, coalesce(n.attempt_id, '00000000-0000-0000-0000-000000000000') AS attempt_id,
			coalesce(p.name || ', ' || b.title, '') AS about, n.finding, n.words, n.by_id, n.at
		FROM visit_note n
		LEFT JOIN attempt a ON a.centre_id = n.centre_id AND a.attempt_id = n.attempt_id
		LEFT JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		LEFT JOIN brief_version b ON b.centre_id = t.centre_id AND b.brief_id = t.brief_id AND b.version = t.version
		LEFT JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
		WHERE n.visit_id = @visit ORDER BY n.at DESC, n.note_id DESC LIMIT @most) n ORDER BY n.at, n.note_id`, args{"visit": visit, "most": VisitsMost})
}

// AddVisitNote keeps a note; what it is about in words is not written.
func (t *Tx) AddVisitNote(ctx context.Context, visit uuid.UUID, n VisitNote) error {
	_, err := t.exec(ctx, "add visit's note", `
		INSERT INTO visit_note (centre_id, visit_id, note_id, attempt_id, finding, words, by_id, at)
		VALUES (@centre, @visit, @note, @attempt, @finding, @words, @by, @at)`,
		args{"centre": t.centre, "visit": visit, "note": n.ID, "attempt": uuidOrNull(n.Attempt), "finding": string(n.Finding), "words": n.Words,
			"by": n.By, "at": n.At})
	return err
}

// VisitLook says what a verifier looked at.
type VisitLook string

// What is looked at on a visit.
const (
	LookedOpened    VisitLook = "opened" // the link was used
	LookedList      VisitLook = "list"
	LookedAttempt   VisitLook = "attempt"
	LookedFile      VisitLook = "file"
	LookedPortfolio VisitLook = "portfolio"
	LookedLog       VisitLook = "log" // the centre's decision log
)

// VisitView is one thing that a verifier looked at.
type VisitView struct {
	ID      uuid.UUID `db:"view_id"`
	What    VisitLook
	Subject uuid.UUID `db:"subject_id"` // zero where it was the list or the log
	About   string    // in words; only read
	By      uuid.UUID `db:"by_id"`
	At      time.Time
}

// VisitViews lists what was looked at, the last first, at most VisitsMost.
func (s *Store) VisitViews(ctx context.Context, centre int64, visit uuid.UUID) ([]VisitView, error) {
	return all[VisitView](s.reading(ctx, centre), "visit's views", `
		SELECT w.view_id, w.what, coalesce(w.subject_id, '00000000-0000-0000-0000-000000000000') AS subject_id,
			coalesce(p.name || ', ' || b.title || coalesce(', ' || nullif(e.name, ''), ''), q.name, '') AS about, w.by_id, w.at
		FROM visit_view w
		LEFT JOIN evidence e ON e.centre_id = w.centre_id AND e.evidence_id = w.subject_id AND w.what = 'file'
		LEFT JOIN attempt a ON a.centre_id = w.centre_id AND a.attempt_id = CASE w.what WHEN 'attempt' THEN w.subject_id WHEN 'file' THEN e.attempt_id END
		LEFT JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		LEFT JOIN brief_version b ON b.centre_id = t.centre_id AND b.brief_id = t.brief_id AND b.version = t.version
		LEFT JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
		LEFT JOIN portfolio f ON f.centre_id = w.centre_id AND f.portfolio_id = w.subject_id AND w.what = 'portfolio'
		LEFT JOIN person q ON q.centre_id = f.centre_id AND q.person_id = f.trainee_id
		WHERE w.visit_id = @visit ORDER BY w.at DESC, w.view_id DESC LIMIT @most`, args{"visit": visit, "most": VisitsMost})
}

// AddVisitView keeps that something was looked at.
func (t *Tx) AddVisitView(ctx context.Context, visit uuid.UUID, w VisitView) error {
	_, err := t.exec(ctx, "add visit's view", `
		INSERT INTO visit_view (centre_id, visit_id, view_id, what, subject_id, by_id, at) VALUES (@centre, @visit, @view, @what, @subject, @by, @at)`,
		args{"centre": t.centre, "visit": visit, "view": w.ID, "what": string(w.What), "subject": uuidOrNull(w.Subject), "by": w.By, "at": w.At})
	return err
}
