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
	recognised := func(seen, acts bool) map[string]ClaimPrior {
		return map[string]ClaimPrior{"U1/1.2": {At: monday, Seen: seen, Acts: acts}}
	}
	registered := []ClaimRegistration{{Number: "A", From: monday.AddDate(0, -1, 0)}}
	for _, c := range []struct {
		name   string
		change func(a *ClaimAttempt)
		prior  map[string]ClaimPrior
		from   []ClaimRegistration
		want   []string
	}{
		{"all in order", func(*ClaimAttempt) {}, nil, registered, nil},
		{"one criterion", func(a *ClaimAttempt) { a.Met = a.Met[:1] }, nil, registered, []string{"1 of 2 criteria not met: 1.2."}},
		{"the other by prior learning", func(a *ClaimAttempt) { a.Met = a.Met[:1] }, recognised(true, false), registered, nil},
		{"that nobody looked at", func(a *ClaimAttempt) { a.Met = a.Met[:1] }, recognised(false, false), registered,
			[]string{"An internal quality assurer has yet to look at what prior learning was recognised for: 1.2."}},
		{"of which an action is open", func(a *ClaimAttempt) { a.Met = a.Met[:1] }, recognised(true, true), registered,
			[]string{"The prior learning recognised for 1.2 has an action that is still open."}},
		{"that nobody looked at, and work not sampled", func(a *ClaimAttempt) { a.State = SignedOff }, recognised(false, false), registered,
			[]string{"An internal quality assurer has yet to look at what prior learning was recognised for: 1.2.", "Fill waits to be sampled and cleared."}},
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

// What prior learning was recognised for stands in nobody's way where work that is cleared shows it too.
func TestClearedWorkNeedsNoPriorLearning(t *testing.T) {
	monday := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	work := ClaimAttempt{ID: uuid.New(), State: Cleared, Met: []string{"U1/1.1"}, FirstAt: monday, LastAt: monday}
	got := Ready([]string{"U1/1.1"}, map[string]ClaimPrior{"U1/1.1": {At: monday}}, []ClaimAttempt{work}, []ClaimRegistration{{Number: "A"}}, monday, func(at time.Time) time.Time { return at })
	if len(got.Why) > 0 || len(got.Prior) > 0 || !slices.Equal(got.Attempts, []uuid.UUID{work.ID}) {
		t.Errorf("got %+v, want to rest on the work alone", got)
	}
}
