package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// PersonExport says that everything kept of a person was given out.
type PersonExport struct {
	ID            uuid.UUID
	Person        uuid.UUID
	BeforeResults bool // what was not out was left away
	By            uuid.UUID
	At            time.Time
}

// AddPersonExport keeps that everything kept of a person was given out.
func (t *Tx) AddPersonExport(ctx context.Context, x PersonExport) error {
	_, err := t.exec(ctx, "add export", `
		INSERT INTO person_export (centre_id, export_id, person_id, before_results, by_id, at) VALUES (@centre, @export, @person, @before, @by, @at)`,
		args{"centre": t.centre, "export": x.ID, "person": x.Person, "before": x.BeforeResults, "by": x.By, "at": x.At})
	return err
}

// JobSheetsOf reads every attempt of a trainee: by the time the task was set, then by number.
func (s *Store) JobSheetsOf(ctx context.Context, centre int64, trainee uuid.UUID) ([]JobSheet, error) {
	r := s.reading(ctx, centre)
	var ids []uuid.UUID
	queueColumn(r, &ids, `
		SELECT a.attempt_id FROM attempt a JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		WHERE a.trainee_id = @trainee ORDER BY t.set_at, t.task_id, a.number`, args{"trainee": trainee})
	if err := r.send("attempts"); err != nil {
		return nil, err
	}
	return readSheets(s.reading(ctx, centre), ids)
}

// PriorSheetsOf reads every claim of prior learning of a trainee, the first first.
func (s *Store) PriorSheetsOf(ctx context.Context, centre int64, trainee uuid.UUID) ([]PriorSheet, error) {
	r := s.reading(ctx, centre)
	var ids []uuid.UUID
	queueColumn(r, &ids, `SELECT l.prior_id FROM prior_learning l WHERE l.trainee_id = @trainee ORDER BY l.claimed_at, l.prior_id`, args{"trainee": trainee})
	if err := r.send("prior learning"); err != nil {
		return nil, err
	}
	out := make([]PriorSheet, len(ids))
	for i, id := range ids {
		var err error
		if out[i], err = s.PriorSheet(ctx, centre, id); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// ClosedInquiry is an inquiry that is over, as it may be given out about whom it concerned.
type ClosedInquiry struct {
	ID       uuid.UUID `db:"inquiry_id"`
	Words    string
	OpenedAt time.Time
	Outcome  InquiryOutcome
	Found    string
	ClosedAt time.Time
	Notes    []InquiryNote    `db:"-"`
	Attempts []InquiryAttempt `db:"-"` // that it froze
}

// InquiriesOn reads the inquiries that concerned a person and are over, the first first: all of them for that person themselves, for
// any other reader those that name the reader.
func (s *Store) InquiriesOn(ctx context.Context, centre int64, person, reader uuid.UUID) ([]ClosedInquiry, error) {
	found, err := all[ClosedInquiry](s.reading(ctx, centre), "inquiries", `
		SELECT i.inquiry_id, i.words, i.opened_at, i.outcome, i.found, i.closed_at FROM inquiry i
		WHERE i.concerns = @person AND i.closed_at IS NOT NULL AND (@reader = i.concerns
			OR EXISTS (SELECT FROM inquiry_person n WHERE n.centre_id = i.centre_id AND n.inquiry_id = i.inquiry_id AND n.person_id = @reader))
		ORDER BY i.opened_at, i.inquiry_id`, args{"person": person, "reader": reader})
	if err != nil {
		return nil, err
	}
	for k := range found {
		r, a := s.reading(ctx, centre), args{"id": found[k].ID}
		queue(r, &found[k].Notes, inquiryNoteSQL, a)
		queue(r, &found[k].Attempts, inquiryFrozenSQL, a)
		if err := r.send("inquiry"); err != nil {
			return nil, err
		}
	}
	return found, nil
}

// NamesBut lists the names of everybody of the centre but one, each once.
func (s *Store) NamesBut(ctx context.Context, centre int64, person uuid.UUID) ([]string, error) {
	r := s.reading(ctx, centre)
	var names []string
	queueColumn(r, &names, `SELECT DISTINCT p.name FROM person p WHERE p.person_id <> @person ORDER BY p.name`, args{"person": person})
	return names, r.send("names")
}
