package app

import (
	"context"
	"encoding/hex"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// NewSpotClaim is what a trainee's phone tells of a release on the spot.
type NewSpotClaim struct {
	ID    uuid.UUID // made on the phone; the same again has no effect
	Stage string
	Day   string // of the code
	At    time.Time
	PhoneClock
	Items []decision.Listed
	MAC   string // decision.SpotMAC
}

// NewSpotRelease is what the releaser's phone tells of one.
type NewSpotRelease struct {
	ID    uuid.UUID
	Stage string
	Day   string
	At    time.Time
	PhoneClock
	Number string // the trainee's evidence number
	Words  string
}

// ClaimSpot keeps what the trainee's phone tells of a release on the spot, and says where it stands. By itself it releases
// nothing.
func (a *App) ClaimSpot(ctx context.Context, c account.Caller, id uuid.UUID, n NewSpotClaim) (decision.SpotVerdict, error) {
	raw, err := hex.DecodeString(n.MAC)
	switch {
	case err != nil || len(raw) != 32:
		return decision.SpotVerdict{}, fault.Invalid("mac", "This has to be 64 hexadecimal digits.")
	case decision.CheckList(n.Items) != nil:
		return decision.SpotVerdict{}, fault.Invalid("items", "The list cannot be read: every thing on it needs an id, a kind and a digest, each once.")
	}
	if err := checkSpot(n.ID, n.Day, n.At); err != nil {
		return decision.SpotVerdict{}, err
	}
	return a.spot(ctx, c, id, account.Record, n.Stage, func(t *store.Tx, l loaded) (uuid.UUID, error) {
		claim := decision.SpotClaim{
			ID: n.ID, Stage: n.Stage, Day: n.Day, Made: n.moment(n.At, a.now()), ReceivedAt: a.now(), Items: n.Items, MAC: strings.ToLower(n.MAC), By: c.Person,
		}
		elsewhere, err := t.ClaimedElsewhere(ctx, id, claim)
		if err != nil {
			return uuid.Nil, err
		}
		if elsewhere { // kept here too, with why it does not hold
			claim.ID = uuid.NewSHA1(id, claim.ID[:])
		}
		return claim.ID, t.AddSpotClaim(ctx, id, claim)
	})
}

// ReleaseOnTheSpot keeps what the releaser's phone tells of a release on the spot, and says where it stands.
func (a *App) ReleaseOnTheSpot(ctx context.Context, c account.Caller, id uuid.UUID, n NewSpotRelease) (decision.SpotVerdict, error) {
	if !sixDigits.MatchString(n.Number) {
		return decision.SpotVerdict{}, fault.Invalid("evidence_number", "The evidence number has six digits.")
	}
	if err := checkSpot(n.ID, n.Day, n.At); err != nil {
		return decision.SpotVerdict{}, err
	}
	return a.spot(ctx, c, id, account.ReleaseHold, n.Stage, func(t *store.Tx, _ loaded) (uuid.UUID, error) {
		return n.ID, t.AddSpotRelease(ctx, id, decision.SpotRelease{
			ID: n.ID, Stage: n.Stage, Day: n.Day, Number: n.Number, Words: strings.TrimSpace(n.Words), Made: n.moment(n.At, a.now()), ReceivedAt: a.now(),
			By: c.Person, ByName: c.Name,
		})
	})
}

var sixDigits = regexp.MustCompile(`^[0-9]{6}$`)

// checkSpot refuses what says neither what nor when.
func checkSpot(id uuid.UUID, day string, at time.Time) error {
	_, err := time.Parse(time.DateOnly, day)
	switch {
	case id == uuid.Nil:
		return fault.Invalid("id", "Every release needs an id of its own.")
	case err != nil:
		return fault.Invalid("day", "Write the day as year-month-day.")
	case at.IsZero():
		return fault.Invalid("at", "Say when it was, by the phone's clock.")
	}
	return nil
}

// spot locks an attempt, has add keep what a phone told, settles, and gives where the thing with the id stands.
func (a *App) spot(ctx context.Context, c account.Caller, id uuid.UUID, act account.Action, stage string, add func(*store.Tx, loaded) (uuid.UUID, error)) (decision.SpotVerdict, error) {
	var out decision.SpotVerdict
	err := a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		j, err := t.LockJobSheet(ctx, id)
		l, err := a.load(c, j, err)
		if err != nil {
			return err
		}
		if err := account.May(c, act, l.standings...); err != nil {
			return err
		}
		if l.holdOf(stage) == nil {
			return fault.NotFound("This brief has no hold point there.")
		}
		thing, err := add(t, l)
		if err != nil {
			return err
		}
		verdicts, err := a.settleSpots(ctx, t, id)
		out = verdicts[thing]
		return err
	})
	return out, err
}

// settling is the releases on the spot of one attempt while they are held against each other.
type settling struct {
	loaded
	codes    []store.HoldCode
	people   map[uuid.UUID]account.Caller // the releasers
	verdicts map[uuid.UUID]decision.SpotVerdict
	changed  bool // a hold point was released
}

// settleSpots holds what was told of releases on the spot against each other, and releases the hold points of those that are
// confirmed. It gives where each claim and release stands. What is closed stays as it is.
func (a *App) settleSpots(ctx context.Context, t *store.Tx, id uuid.UUID) (map[uuid.UUID]decision.SpotVerdict, error) {
	j, err := t.LockJobSheet(ctx, id)
	if err != nil {
		return nil, err
	}
	s := settling{loaded: loaded{JobSheet: j}, people: map[uuid.UUID]account.Caller{}, verdicts: map[uuid.UUID]decision.SpotVerdict{}}
	if s.ruled, err = a.forAttempt(j); err != nil {
		return nil, err
	}
	if s.codes, err = t.CodesOf(ctx, id); err != nil {
		return nil, err
	}
	for _, r := range s.Releases {
		p, err := t.Person(ctx, r.By)
		if err != nil {
			return nil, err
		}
		s.people[r.By], s.verdicts[r.ID] = p.Caller(), r.SpotVerdict
	}
	for _, c := range s.Claims {
		s.verdicts[c.ID] = c.SpotVerdict
	}
	if closed(j.Attempt.State) {
		return s.verdicts, nil
	}
	if err := a.settle(ctx, t, &s); err != nil {
		return nil, err
	}
	if s.changed {
		_, err = t.SaveAttempt(ctx, j.Attempt)
	}
	return s.verdicts, err
}

// settle judges everything that is not confirmed, and keeps what changed.
func (a *App) settle(ctx context.Context, t *store.Tx, s *settling) error {
	for _, r := range s.Releases {
		if r.State != decision.SpotConfirmed {
			s.verdicts[r.ID] = r.Alone(onDay, s.entitled(r.Stage))
		}
	}
	for _, c := range s.Claims {
		if c.State == decision.SpotConfirmed {
			continue
		}
		elsewhere, err := t.ClaimedElsewhere(ctx, s.Attempt.ID, c)
		if err != nil {
			return err
		}
		v, by := a.spotCase(s, c, elsewhere).Judge()
		s.verdicts[c.ID] = v
		if by == nil {
			continue
		}
		if s.verdicts[by.ID].State != decision.SpotConfirmed {
			s.verdicts[by.ID] = v
		}
		if v.State == decision.SpotConfirmed {
			if err := a.recordSpot(ctx, t, s, *by); err != nil {
				return err
			}
		}
	}
	return keepVerdicts(ctx, t, s)
}

func keepVerdicts(ctx context.Context, t *store.Tx, s *settling) error {
	for _, c := range s.Claims {
		if v := s.verdicts[c.ID]; v != c.SpotVerdict {
			if err := t.SettleClaim(ctx, c.ID, v); err != nil {
				return err
			}
		}
	}
	for _, r := range s.Releases {
		if v := s.verdicts[r.ID]; v != r.SpotVerdict {
			if err := t.SettleRelease(ctx, r.ID, v); err != nil {
				return err
			}
		}
	}
	return nil
}

// spotCase gathers what a claim is judged by.
func (a *App) spotCase(s *settling, c decision.SpotClaim, elsewhere bool) decision.SpotCase {
	k := decision.SpotCase{
		Attempt: s.Attempt.ID, Claim: c, Releases: s.Releases, Elsewhere: elsewhere,
		Released: decision.Latest(s.Records, decision.KindHoldRelease, c.Stage), On: onDay, Entitled: s.entitled(c.Stage),
		Unproved: func() []string { return a.unprovedOn(s.loaded, c) },
	}
	for _, code := range s.codes {
		if code.Stage == c.Stage && code.Day == c.Day {
			k.Code = code.Code
		}
	}
	for _, o := range s.Claims {
		k.Used = k.Used || o.ID != c.ID && o.Stage == c.Stage && o.Day == c.Day && s.verdicts[o.ID].State == decision.SpotConfirmed
	}
	for _, it := range c.Items {
		if !s.has(it.ID) {
			k.Awaited++
		}
	}
	return k
}

// entitled says whether a releaser may release the hold point before a stage on the day of a moment.
func (s *settling) entitled(stage string) func(uuid.UUID, time.Time) bool {
	return func(by uuid.UUID, at time.Time) bool {
		p := s.people[by]
		hold := s.holdOf(stage)
		return hold != nil && account.May(p, account.ReleaseHold, standings(p, s.Attempt)...) == nil && registered(p, hold, dayOf(at))
	}
}

// unprovedOn names the items that the hold point needs and that were not right on what the claim lists.
func (a *App) unprovedOn(l loaded, c decision.SpotClaim) []string {
	list := &decision.Seal{Made: c.Made, ReceivedAt: c.ReceivedAt, Items: c.Items}
	l.Entries = slices.DeleteFunc(slices.Clone(l.Entries), func(e store.Entry) bool { return list.Holds(e.ID, e.ReceivedAt, time.Time{}, nil) })
	var titles []string
	for _, why := range a.unproved(l, l.holdOf(c.Stage)) {
		title, _, _ := strings.Cut(why, ":") // what is wrong with it is the tutor's alone until the decision
		titles = append(titles, title+".")
	}
	return slices.Compact(titles)
}

// recordSpot appends the release of a hold point that was given on the spot, by whoever gave it.
func (a *App) recordSpot(ctx context.Context, t *store.Tx, s *settling, by decision.SpotRelease) error {
	id, err := newID()
	if err != nil {
		return err
	}
	r := decision.Record{
		ID: id, Centre: t.Centre(), Attempt: s.Attempt.ID, Kind: decision.KindHoldRelease, Subject: by.Stage,
		Outcome: decision.ReleasedOnTheSpot, Value: by.At().UTC().Format(time.RFC3339Nano), Words: by.Words,
		By: by.By, ByName: by.ByName, Role: string(account.Tutor), At: a.now().Truncate(time.Microsecond),
		Supersedes: decision.Superseded(s.Records, decision.KindHoldRelease, by.Stage),
	}
	if err := t.AppendRecord(ctx, r); err != nil {
		return err
	}
	s.Records, s.changed = append(s.Records, r), true
	return nil
}

// spotsAfter settles releases on the spot after something came in that one may have waited for.
func (a *App) spotsAfter(ctx context.Context, t *store.Tx, id uuid.UUID) error {
	wait, err := t.SpotsWait(ctx, id)
	if err != nil || !wait {
		return err
	}
	_, err = a.settleSpots(ctx, t, id)
	return err
}

// onDay is the day of a moment, as codes have it.
func onDay(at time.Time) string { return string(dayOf(at)) }
