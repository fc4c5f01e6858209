package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
)

// Conflict is a conflict of interest between two people.
type Conflict struct {
	ID             uuid.UUID `db:"conflict_id"`
	Person         uuid.UUID `db:"person_id"`
	PersonName     string    // only read
	Other          uuid.UUID `db:"other_id"`
	OtherName      string    // only read
	Words          string
	DeclaredBy     uuid.UUID
	DeclaredByName string // only read
	DeclaredAt     time.Time
	EndedByName    string    // only read; "" while it stands
	EndedAt        time.Time // zero while it stands
	EndedWords     string
}

// Stands says whether the conflict keeps the two apart.
func (c Conflict) Stands() bool { return c.EndedAt.IsZero() }

// Conflicts lists the conflicts of the centre, those that stand first, then the newest, and says how many there are; of one person only
// where it is not zero.
func (s *Store) Conflicts(ctx context.Context, centre int64, person uuid.UUID, span Span) ([]Conflict, int, error) {
	return paged[Conflict](s.reading(ctx, centre), "conflicts of interest", `
		c.conflict_id, c.person_id, p.name AS person_name, c.other_id, o.name AS other_name, c.words, c.declared_by, d.name AS declared_by_name,
			c.declared_at, coalesce(e.name, '') AS ended_by_name, coalesce(c.ended_at, '0001-01-01 00:00Z') AS ended_at, c.ended_words`, `
		FROM conflict c
		JOIN person p ON p.centre_id = c.centre_id AND p.person_id = c.person_id
		JOIN person o ON o.centre_id = c.centre_id AND o.person_id = c.other_id
		JOIN person d ON d.centre_id = c.centre_id AND d.person_id = c.declared_by
		LEFT JOIN person e ON e.centre_id = c.centre_id AND e.person_id = c.ended_by
		WHERE @person::uuid IS NULL OR @person IN (c.person_id, c.other_id)`,
		`c.ended_at IS NOT NULL, c.declared_at DESC, c.conflict_id`, args{"person": uuidOrNull(person)}, span)
}

// AddConflict keeps a conflict. One between the same two that stands already is Conflict.
func (t *Tx) AddConflict(ctx context.Context, c Conflict) error {
	_, err := t.exec(ctx, "add conflict of interest", `
		INSERT INTO conflict (centre_id, conflict_id, person_id, other_id, words, declared_by, declared_at)
		VALUES (@centre, @id, @person, @other, @words, @by, @at)`,
		args{"centre": t.centre, "id": c.ID, "person": c.Person, "other": c.Other, "words": c.Words, "by": c.DeclaredBy, "at": c.DeclaredAt})
	if err == nil {
		t.logStatement(ledger.KindConflict, c.ID)
	}
	return err
}

// EndConflict ends a conflict that stands; whom it concerns may not.
func (t *Tx) EndConflict(ctx context.Context, id, by uuid.UUID, at time.Time, words string) error {
	n, err := t.exec(ctx, "end conflict of interest", `
		UPDATE conflict SET ended_by = @by, ended_at = @at, ended_words = @words WHERE conflict_id = @id AND ended_at IS NULL`,
		args{"id": id, "by": by, "at": at, "words": words})
	if err == nil && n == 0 {
		return fault.Conflict("This conflict of interest was ended already, or is not here. Load the page again to see.")
	}
	if err == nil {
		t.logStatement(ledger.KindConflictEnded, id)
	}
	return err
}
