package main

import (
	"crypto/sha256"
	"fmt"
	"strconv"
	"strings"

	"github.com/google/uuid"
)

// A hand-over is known by its number, and everything that is fresh in it follows from the number: pgbench has only whole
// numbers and what SQL makes of them, so both sides reckon the same ids. A number has exactly twelve digits, which are
// hexadecimal digits too, and later ones sort later, as the ids of the program's users do.
const (
	firstNumber  = 100_000_000_000
	trainees     = 256
	firstTrainee = 1000 // four digits
)

// number is the nth hand-over's, from 0.
type number int64

func numberOf(n int64) number { return number(firstNumber + n) }

// trainee is whose attempt it is. Neighbouring numbers have different trainees, so that clients working side by side do not
// meet on one person's row.
func (n number) trainee() int { return firstTrainee + int(n%trainees) }

func (n number) attempt() string { return fmt.Sprintf("01900000-0000-7000-8000-%d", n) }

// entry is the id of the kth entry, from 0.
func (n number) entry(k int) string {
	s := strconv.FormatInt(int64(n), 10)
	return fmt.Sprintf("01900000-0000-7000-%s-%s%04d", s[:4], s[4:], k)
}

func personID(trainee int) string { return fmt.Sprintf("01900000-0000-7000-a000-00000000%d", trainee) }

// token is the session cookie of a trainee.
func token(trainee int) string { return fmt.Sprintf("bench-%d", trainee) }

// Marks in a text that pgbench puts the number, or the trainee, in the place of.
const (
	numberMark  = "<n>"
	traineeMark = "<t>"
)

// marks finds what is fresh in the hand-over with the number, in the text form of its arguments, and puts marks for what
// differs.
func marks(n number, entries int) *strings.Replacer {
	swap := []string{
		n.attempt(), "01900000-0000-7000-8000-" + numberMark,
		personID(n.trainee()), "01900000-0000-7000-a000-00000000" + traineeMark,
	}
	for k := range entries {
		// Of the hyphens in a UUID's text PostgreSQL needs none.
		swap = append(swap, n.entry(k), fmt.Sprintf("0190000000007000%s%04d", numberMark, k))
	}
	return strings.NewReplacer(swap...)
}

// digest is the SHA-256 of a trainee's token in PostgreSQL's text form.
func digest(trainee int) string { return fmt.Sprintf(`\x%x`, sha256.Sum256([]byte(token(trainee)))) }

// digestSQL is digest as an expression of the variable t.
const digestSQL = `sha256(('bench-' || :t)::bytea)`

// id reads an id that was written here.
func id(text string) (uuid.UUID, error) {
	u, err := uuid.Parse(text)
	if err != nil {
		return uuid.Nil, fmt.Errorf("read the id %s: %w", text, err)
	}
	return u, nil
}
