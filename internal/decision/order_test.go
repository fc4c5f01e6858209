package decision_test

import (
	"testing"
	"time"

	"witnessmark/internal/decision"
)

func TestOvertaken(t *testing.T) {
	noon := time.Date(2026, 5, 4, 12, 0, 0, 0, time.UTC)
	// at is a moment so many seconds after noon by a phone that the server is ahead of by so many.
	at := func(second, ahead int) decision.Moment {
		return decision.Moment{At: noon.Add(time.Duration(second) * time.Second), Offset: time.Duration(ahead) * time.Second, Steady: true}
	}
	vague := func(m decision.Moment) decision.Moment { m.Steady = false; return m }
	for _, c := range []struct {
		name  string
		m, by decision.Moment
		want  bool
	}{
		{"typed before, on one clock", at(0, 0), at(1, 0), true},
		{"typed after", at(1, 0), at(0, 0), false},
		{"at the same moment, what came last counts", at(0, 0), at(0, 0), false},
		{"a slow request makes an offset look longer", at(0, 90), at(1, 0), true},
		{"and that says nothing of what was typed after", at(1, 0), at(0, 90), false},
		{"its clock was set meanwhile", vague(at(0, 0)), at(1, 0), false},
		{"the other's clock was set meanwhile", at(0, 0), vague(at(1, 0)), false},
		{"when it was typed is not known", decision.Moment{Steady: true}, at(1, 0), false},
		{"an hour before, on a clock that is an hour fast", at(0, 0), at(7200, -3600), true},
		{"an hour after, on a clock that is an hour slow", at(0, 3600), at(300, 0), false},
		{"two clocks, too close to tell", at(0, 0), at(3700, -3600), false},
	} {
		if got := c.m.Overtaken(c.by); got != c.want {
			t.Errorf("%s: overtaken is %v, want %v", c.name, got, c.want)
		}
	}
}
