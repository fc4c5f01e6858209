package store

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/riverqueue/river"
)

// Letter is what a letter to a person is for.
type Letter string

// The letters. Both bring a link for choosing a password.
const (
	LetterInvitation Letter = "invitation"
	LetterForgotten  Letter = "forgotten"
)

// LetterArgs asks for a letter to a person. It holds no token: whoever sends the letter makes one.
type LetterArgs struct {
	Centre int64     `json:"centre"`
	Person uuid.UUID `json:"person"`
	What   Letter    `json:"what"`
}

// Kind names the job in the queue.
func (LetterArgs) Kind() string { return "letter" }

// letterOnce is the time in which asking again sends no second letter, so that nobody's letter box is filled by others (our own value).
const letterOnce = 15 * time.Minute

// InsertOpts keeps one letter of a kind to a person at a time. After some twenty minutes of trying it is given up: what it was to
// bring can be asked for again.
func (LetterArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{MaxAttempts: 6, Queue: quickQueue, UniqueOpts: river.UniqueOpts{ByArgs: true, ByPeriod: letterOnce}}
}

// EnqueueLetter asks, within the transaction, for a letter to a person.
func (t *Tx) EnqueueLetter(ctx context.Context, person uuid.UUID, what Letter) error {
	return t.enqueue(ctx, LetterArgs{Centre: t.centre, Person: person, What: what})
}

// AskForLetter asks for a letter on behalf of somebody who is not signed in; what is asked for may be nobody's.
func (s *Store) AskForLetter(ctx context.Context, l LetterArgs) error {
	if _, err := s.jobs.Insert(ctx, l, nil); err != nil {
		return fmt.Errorf("enqueue the job %s: %w", l.Kind(), err)
	}
	return nil
}
