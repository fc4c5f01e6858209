package decision

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"time"

	"github.com/google/uuid"
)

// A hold point may be released where neither phone has signal. For each attempt, stage and day there is a one-use code of
// twelve digits, which the releaser's phone was given beforehand; the trainee's has only what the code can be checked by. The
// releaser types the trainee's evidence number, and their phone shows the code with that number added to its last six digits.
// The trainee's phone takes its own number off and checks. Its claim, under the code, and the releaser's own record come to
// the server in whichever order; only where both are there and agree is the hold point released, from the moment on the spot.

// SpotState says how far a release on the spot has come.
type SpotState string

// The states.
const (
	SpotWaiting   SpotState = "waiting" // for the other phone's word, or for what the release rests on
	SpotConfirmed SpotState = "confirmed"
	SpotRefused   SpotState = "refused"
)

// Refusal says in which respect a release on the spot does not hold.
type Refusal string

// The refusals.
const (
	RefusedReplayed    Refusal = "replayed"     // the code was used before, or for something else
	RefusedAltered     Refusal = "altered"      // what one phone says is not what the other says
	RefusedExpired     Refusal = "expired"      // another day than the code's
	RefusedSelfMade    Refusal = "self_made"    // not made from a code of ours
	RefusedNotEntitled Refusal = "not_entitled" // the releaser may not, that day
	RefusedNotRight    Refusal = "not_right"    // what the hold point needs is not right
)

// SpotClaim is what a trainee's phone tells of a release on the spot.
type SpotClaim struct {
	ID         uuid.UUID // made on the phone
	Stage      string
	Day        string // of the code, 2006-01-02 in London
	Made       Moment
	ReceivedAt time.Time
	Items      []Listed // what the phone had of the attempt: what the release rests on
	MAC        string   // SpotMAC, hex
	By         uuid.UUID
	SpotVerdict
}

// SpotRelease is what the releaser's phone tells of one.
type SpotRelease struct {
	ID         uuid.UUID // made on the phone
	Stage      string
	Day        string
	Number     string // the trainee's evidence number, as it was read out
	Words      string
	Made       Moment
	ReceivedAt time.Time
	By         uuid.UUID
	ByName     string
	SpotVerdict
}

// At is the moment of the release: by the releaser's phone where its clock can be trusted, else when it was received, and
// never later than that.
func (r SpotRelease) At() time.Time {
	if at, ok := r.Made.True(); ok && at.Before(r.ReceivedAt) {
		return at
	}
	return r.ReceivedAt
}

// SpotVerdict is where a claim or a release stands, and why, in words for both people.
type SpotVerdict struct {
	State   SpotState
	Refusal Refusal // "" unless refused
	Why     string  // a sentence; "" where it is confirmed
}

// SpotMAC binds a code to what it was used for: HMAC-SHA256 under the code's digits, in hex, of the attempt, the stage, the day
// and the digest of the list, with | between them.
func SpotMAC(code string, attempt uuid.UUID, stage, day, list string) string {
	mac := hmac.New(sha256.New, []byte(code))
	fmt.Fprintf(mac, "%s|%s|%s|%s", attempt, stage, day, list) // a hash takes everything
	return hex.EncodeToString(mac.Sum(nil))
}

// SpotCase is one claim with all that it is judged by.
type SpotCase struct {
	Attempt   uuid.UUID
	Claim     SpotClaim
	Code      string        // of the claim's stage and day; "" where there is none
	Releases  []SpotRelease // of the attempt, in the order of receipt
	Elsewhere bool          // the same claim came before, for another attempt
	Used      bool          // the code has released the hold point before, by another claim
	Released  *Record       // the release that stands; nil while the hold point does
	// On is the day of a moment, in London, and Entitled whether somebody may release this hold point on the day of a moment.
	On       func(time.Time) string
	Entitled func(by uuid.UUID, at time.Time) bool
	Awaited  int             // things on the claim's list that have not come yet
	Unproved func() []string // what the hold point needs and is not right on that list, in sentences
}

// Judge says where the claim stands, and by which release it is confirmed or refused; nil where by none.
func (c SpotCase) Judge() (SpotVerdict, *SpotRelease) {
	if c.Elsewhere || c.Used {
		return refused(RefusedReplayed, "These digits have been used before. Each release on the spot has digits of its own, for one attempt and one hold point."), nil
	}
	list := ListDigest(c.Claim.Items)
	number, err := EvidenceNumber(list)
	same := c.ofItsKind()
	good := err == nil && c.Code != "" && hmac.Equal([]byte(SpotMAC(c.Code, c.Attempt, c.Claim.Stage, c.Claim.Day, list)), []byte(c.Claim.MAC))
	switch {
	case !good && len(same) == 0:
		return refused(RefusedSelfMade, "No releaser's phone gave these digits: they do not belong to the code of this hold point and day."), nil
	case !good:
		return refused(RefusedAltered, "What this phone tells of the release is not what the digits were given for."), nil
	case len(same) == 0:
		return waiting("Nobody's record of this release has come yet. It counts once the releaser's phone has had signal."), nil
	}
	for i := len(same) - 1; i >= 0; i-- {
		if same[i].Number == number {
			return c.with(same[i]), same[i]
		}
	}
	last := same[len(same)-1]
	return refused(RefusedAltered, fmt.Sprintf("%s released it for the evidence number %s, and this phone's list has %s: what was shown on the spot is not what the phone sealed.", last.ByName, last.Number, number)), last
}

// ofItsKind is the releases of the claim's stage and day.
func (c SpotCase) ofItsKind() []*SpotRelease {
	var out []*SpotRelease
	for i, r := range c.Releases {
		if r.Stage == c.Claim.Stage && r.Day == c.Claim.Day {
			out = append(out, &c.Releases[i])
		}
	}
	return out
}

// with judges the claim by the release that was given for its evidence.
func (c SpotCase) with(r *SpotRelease) SpotVerdict {
	if v := r.Alone(c.On, c.Entitled); v.State == SpotRefused {
		return v
	}
	if at, ok := c.Claim.Made.True(); ok && c.On(at) != c.Claim.Day {
		return expired(c.Claim.Day)
	}
	if c.Released != nil && !ReleasedAt(c.Released).After(r.At()) {
		return refused(RefusedReplayed, fmt.Sprintf("%s had released this hold point before.", c.Released.ByName))
	}
	if c.Awaited > 0 {
		return waiting("What it rests on has not all come yet. It counts when the last of it is here.")
	}
	if why := c.Unproved(); len(why) > 0 {
		return refused(RefusedNotRight, "What this hold point needs is not right on what was shown: "+strings.Join(why, " "))
	}
	return SpotVerdict{State: SpotConfirmed}
}

// Alone judges a release by itself, before anything of the trainee's phone has come.
func (r SpotRelease) Alone(on func(time.Time) string, entitled func(uuid.UUID, time.Time) bool) SpotVerdict {
	switch at := r.At(); {
	case on(at) != r.Day:
		return expired(r.Day)
	case !entitled(r.By, at):
		return refused(RefusedNotEntitled, fmt.Sprintf("%s had no registration or approval in date on %s for releasing this hold point.", r.ByName, dayWords(r.Day)))
	}
	return waiting("The trainee's phone has not told of it yet. It counts once that phone has had signal.")
}

func refused(kind Refusal, why string) SpotVerdict { return SpotVerdict{SpotRefused, kind, why} }
func waiting(why string) SpotVerdict               { return SpotVerdict{State: SpotWaiting, Why: why} }

func expired(day string) SpotVerdict {
	return refused(RefusedExpired, fmt.Sprintf("Its digits were for %s, and it was not given or not typed on that day.", dayWords(day)))
}

// dayWords is a day as people read it.
func dayWords(day string) string {
	d, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return day
	}
	return d.Format("2 January 2006")
}
