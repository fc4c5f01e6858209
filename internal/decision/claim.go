package decision

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
)

// ClaimAttempt is what an attempt brings to a claim of one unit.
type ClaimAttempt struct {
	ID       uuid.UUID
	Title    string // of the brief version
	Number   int
	State    State
	Met      []string  // criteria of the unit, as UNIT/code, whose standing decision is met
	Actions  int       // open ones
	Conflict bool      // whoever judged it has a conflict of interest with the trainee
	Apart    bool      // whoever would claim it has one with the trainee or with who judged it
	FirstAt  time.Time // of the first decision on the unit's criteria, here or in an attempt that it goes on from
	LastAt   time.Time
}

// ClaimRegistration is a registration with the awarding organisation, for the unit; both days are included.
type ClaimRegistration struct {
	Number   string
	From, To time.Time // To is zero where it does not end
}

func (g ClaimRegistration) holds(day time.Time) bool {
	return !day.Before(g.From) && (g.To.IsZero() || !day.After(g.To))
}

// ClaimPrior is a criterion that was recognised by prior learning, as it bears a claim.
type ClaimPrior struct {
	At   time.Time // of the decision
	Seen bool      // an internal quality assurer looked at it, and did not disagree
	Acts bool      // an action that was asked for is open
}

// Claim is whether a trainee's unit can be claimed, and what it rests on.
type Claim struct {
	Why      []string // whole sentences; empty where it can be claimed
	Number   string   // of the registration
	Attempts []uuid.UUID
	Prior    []string  // criteria met by prior learning, as UNIT/code, in the unit's order
	MetOn    time.Time // the day of the last decision that it rests on
}

// Ready says whether the unit can be claimed: every criterion is met in work that is cleared for claim, nothing about that work is
// open, what was recognised by prior learning was looked at, and the trainee was registered before it was assessed and is today. criteria are the unit's, as UNIT/code; prior has
// those that were recognised by prior learning; days are midnight UTC of the day at the centre, and day turns a moment into one.
func Ready(criteria []string, prior map[string]ClaimPrior, attempts []ClaimAttempt, registrations []ClaimRegistration, today time.Time, day func(time.Time) time.Time) Claim {
	var c Claim
	var unmet, unseen, acts []string
	waiting, rests := map[int]bool{}, map[int]bool{}
	for _, ref := range criteria {
		p, recognised := prior[ref]
		if recognised && p.Seen && !p.Acts {
			c.Prior = append(c.Prior, ref)
			if d := day(p.At); d.After(c.MetOn) {
				c.MetOn = d
			}
			continue
		}
		_, code, _ := strings.Cut(ref, "/")
		best := furthest(attempts, ref)
		switch {
		case best >= 0 && rank(attempts[best].State) == 2:
			rests[best] = true
		case recognised && !p.Seen:
			unseen = append(unseen, code)
		case recognised:
			acts = append(acts, code)
		case best < 0 || rank(attempts[best].State) == 0:
			unmet = append(unmet, code)
		default:
			waiting[best] = true
		}
	}
	if len(criteria) == 0 {
		c.Why = append(c.Why, "This unit has no criteria.")
	}
	if len(unmet) > 0 {
		c.Why = append(c.Why, fmt.Sprintf("%d of %d criteria not met: %s.", len(unmet), len(criteria), few(unmet)))
	}
	if len(unseen) > 0 {
		c.Why = append(c.Why, fmt.Sprintf("An internal quality assurer has yet to look at what prior learning was recognised for: %s.", few(unseen)))
	}
	if len(acts) > 0 {
		c.Why = append(c.Why, fmt.Sprintf("The prior learning recognised for %s has an action that is still open.", few(acts)))
	}
	for i, a := range attempts {
		switch {
		case waiting[i]:
			c.Why = append(c.Why, a.Title+" waits to be sampled and cleared.")
		case a.State == Suspended, a.State == UnderAppeal:
			c.Why = append(c.Why, a.Title+" is "+a.State.Words()+".")
		}
		if a.Actions > 0 {
			c.Why = append(c.Why, a.Title+" has an action that is still open.")
		}
		if !rests[i] {
			continue
		}
		if a.Conflict {
			c.Why = append(c.Why, a.Title+" was judged by somebody with a conflict of interest.")
		}
		if a.Apart {
			c.Why = append(c.Why, "You have a conflict of interest with the trainee, or with who judged "+a.Title+": somebody else claims it.")
		}
		c.Attempts = append(c.Attempts, a.ID)
		if d := day(a.LastAt); d.After(c.MetOn) {
			c.MetOn = d
		}
	}
	c.register(attempts, rests, registrations, today, day)
	return c
}

// register finds the registration that holds today, and says where work was assessed before it began.
func (c *Claim) register(attempts []ClaimAttempt, rests map[int]bool, registrations []ClaimRegistration, today time.Time, day func(time.Time) time.Time) {
	at := slices.IndexFunc(registrations, func(g ClaimRegistration) bool { return g.holds(today) })
	if at < 0 {
		c.Why = append(c.Why, "There is no registration with the awarding organisation that holds today.")
		return
	}
	c.Number = registrations[at].Number
	for i, a := range attempts {
		if rests[i] && !slices.ContainsFunc(registrations, func(g ClaimRegistration) bool { return g.holds(day(a.FirstAt)) }) {
			c.Why = append(c.Why, a.Title+" was assessed before the trainee was registered.")
		}
	}
}

// furthest is the attempt that met the criterion and bears a claim furthest; -1 where none met it.
func furthest(attempts []ClaimAttempt, ref string) int {
	best := -1
	for i, a := range attempts {
		if slices.Contains(a.Met, ref) && (best < 0 || rank(a.State) > rank(attempts[best].State)) {
			best = i
		}
	}
	return best
}

// rank is how far a state bears a claim: 2 cleared or claimed before, 1 signed off, 0 not at all.
func rank(s State) int {
	switch s {
	case Cleared, Claimed, Archived:
		return 2
	case SignedOff:
		return 1
	}
	return 0
}

// few lists the first codes.
func few(codes []string) string {
	const most = 8
	if len(codes) <= most {
		return strings.Join(codes, ", ")
	}
	return strings.Join(codes[:most], ", ") + fmt.Sprintf(" and %d more", len(codes)-most)
}
