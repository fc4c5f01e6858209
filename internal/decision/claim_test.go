package decision

import (
	"slices"
	"testing"
	"time"

	"github.com/google/uuid"
)

func TestReady(t *testing.T) {
	monday := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	whole := func(at time.Time) time.Time { return at.Truncate(24 * time.Hour) }
	criteria := []string{"U1/1.1", "U1/1.2"}
	good := func() ClaimAttempt {
		return ClaimAttempt{ID: uuid.New(), Title: "Fill", State: Cleared, Met: criteria, FirstAt: monday.Add(9 * time.Hour), LastAt: monday.Add(10 * time.Hour)}
	}
	registered := []ClaimRegistration{{Number: "A", From: monday.AddDate(0, -1, 0)}}
	for _, c := range []struct {
		name   string
		change func(a *ClaimAttempt)
		prior  map[string]time.Time
		from   []ClaimRegistration
		want   []string
	}{
		{"all in order", func(*ClaimAttempt) {}, nil, registered, nil},
		{"one criterion", func(a *ClaimAttempt) { a.Met = a.Met[:1] }, nil, registered, []string{"1 of 2 criteria not met: 1.2."}},
		{"the other by prior learning", func(a *ClaimAttempt) { a.Met = a.Met[:1] }, map[string]time.Time{"U1/1.2": monday}, registered, nil},
		{"not sampled", func(a *ClaimAttempt) { a.State = SignedOff }, nil, registered, []string{"Fill waits to be sampled and cleared."}},
		{"suspended", func(a *ClaimAttempt) { a.State = Suspended }, nil, registered, []string{"2 of 2 criteria not met: 1.1, 1.2.", "Fill is suspended."}},
		{"an open action", func(a *ClaimAttempt) { a.Actions = 1 }, nil, registered, []string{"Fill has an action that is still open."}},
		{"a conflict", func(a *ClaimAttempt) { a.Conflict = true }, nil, registered, []string{"Fill was judged by somebody with a conflict of interest."}},
		{"no registration", func(*ClaimAttempt) {}, nil, nil, []string{"There is no registration with the awarding organisation that holds today."}},
		{"registered afterwards", func(*ClaimAttempt) {}, nil, []ClaimRegistration{{Number: "A", From: monday.AddDate(0, 0, 1)}}, []string{"Fill was assessed before the trainee was registered."}},
	} {
		a := good()
		c.change(&a)
		got := Ready(criteria, c.prior, []ClaimAttempt{a}, c.from, monday.AddDate(0, 0, 7), whole)
		if !slices.Equal(got.Why, c.want) {
			t.Errorf("%s: got %q, want %q", c.name, got.Why, c.want)
		}
		if c.want == nil && (got.Number != "A" || !got.MetOn.Equal(monday) || len(got.Attempts) != 1 || got.Attempts[0] != a.ID || len(got.Prior) != len(c.prior) || len(c.prior) > 0 && got.Prior[0] != "U1/1.2") {
			t.Errorf("%s: rests on %+v", c.name, got)
		}
	}
}
