package verify

import (
	"fmt"
	"strings"

	"witnessmark/internal/ledger"
)

// time says who besides the centre saw the state of the log, or one that goes on from it, and when.
func (p *Portfolio) time() {
	for _, w := range p.State.Witnessed {
		p.seen = true
		p.holds("time", "%s signed that they saw that state on %s.", w.Name, moment(w.At))
	}
	p.later()
	if p.seen {
		return
	}
	switch {
	case p.stamp != nil && p.trust.Authorities != nil && p.stamp.TrustedBy(p.trust.Authorities) == nil:
		p.seen = true
		p.holds("time", "The time-stamp authority %q, which you trust, saw the signature on %s.", p.stamp.Certificate.Subject.CommonName, moment(p.stamp.At))
	case p.stamp != nil:
		p.add("time", NotChecked, "A time-stamp by %q says that the signature was there on %s; you did not name that authority as one that you trust.",
			p.stamp.Certificate.Subject.CommonName, moment(p.stamp.At))
	case len(p.Log.Witnesses) > 0:
		p.add("time", NotChecked, "Nobody whom you named saw that state. The file names as witness: %s.", strings.Join(p.Log.Witnesses, ", "))
	default:
		p.add("time", NotChecked, "Nobody but the centre says when anything was: no witness signed that state of the log. "+
			"Where one signed a later state, the centre gives out what proves it, from %d entries on.", p.State.Size)
	}
}

// later holds the state against those that witnesses signed afterwards.
func (p *Portfolio) later() {
	if p.State.Size == 0 || len(p.trust.Later) == 0 {
		return
	}
	var sizes []string
	for _, r := range p.trust.Later {
		if r.Old == p.State.Size {
			p.goesOn(r)
			return
		}
		sizes = append(sizes, fmt.Sprint(r.Old))
	}
	p.add("time", NotChecked, "The later state that was given goes on from %s entries, and this file's has %d: ask the centre for one that goes on from these.",
		strings.Join(sizes, " and from "), p.State.Size)
}

// goesOn says who signed a state of the log that goes on from the portfolio's.
func (p *Portfolio) goesOn(r ledger.Request) {
	s, err := ledger.OpenCheckpoint(r.Checkpoint, p.Log.Trusted(p.keys), p.trust.Witnesses...)
	switch {
	case err != nil:
		p.unknown("time", "The later state that was given is not signed by a key of %s that is known here (%v). Where the log has another key since, give that one as well.", p.State.Origin, err)
		return
	case ledger.CheckContinues(r.Proof, p.State.Checkpoint, s.Size, s.Root) != nil:
		p.broken("time", "The later state of %s at %d entries does not go on from that of the file: an entry was changed or removed in between, the centre shows two logs, "+
			"or the proof is another's.", s.Origin, s.Size)
		return
	case len(s.Witnessed) == 0:
		p.add("time", NotChecked, "The later state that was given, at %d entries, goes on from that of the file; nobody whom you named as a witness signed it.", s.Size)
	}
	for _, w := range s.Witnessed {
		p.seen = true
		p.holds("time", "%s signed on %s that they saw the log at %d entries, which goes on from that state: all of it was there by then.", w.Name, moment(w.At), s.Size)
	}
}
