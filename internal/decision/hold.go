package decision

import (
	"fmt"
	"slices"

	"witnessmark/internal/brief"
)

// Hold is the hold point that something stands behind.
type Hold struct {
	Stage   *brief.Stage // that it stands before; nil where the work may begin without one
	Number  int          // of that stage, from 1
	Earlier bool         // that stage comes before the item's own
	Release *Record      // nil while it stands
}

// Behind is the hold point that what is put down for an item stands behind. Work may not pass a hold point, so that those before earlier
// stages count as well as that of its own: the nearest which nobody released, else the one that was released last. Working out and
// answering is no work at the rig, and waits for its own stage's alone. passed names, by key, the stages all of whose work was carried
// over from an earlier attempt: their hold points were passed there, and hold up no other stage.
func Behind(b *brief.Brief, item string, records []Record, passed map[string]bool) Hold {
	it, _, ok := b.Item(item)
	if !ok {
		return Hold{}
	}
	own := slices.IndexFunc(b.Stages, func(st brief.Stage) bool {
		return slices.ContainsFunc(st.Items, func(of brief.Item) bool { return of.Key == item })
	})
	var last Hold
	for i := own; i >= 0; i-- {
		h := Hold{Stage: &b.Stages[i], Number: i + 1, Earlier: i < own, Release: Latest(records, KindHoldRelease, b.Stages[i].Key)}
		switch {
		case h.Stage.Hold == nil, h.Earlier && (passed[h.Stage.Key] || atDesk(it)):
			continue
		case h.Release == nil:
			return h
		case last.Stage == nil || ReleasedAt(h.Release).After(ReleasedAt(last.Release)):
			last = h
		}
	}
	return last
}

// atDesk says whether an item is worked out or answered, and nothing is done at the rig for it.
func atDesk(it *brief.Item) bool { return it.Figure != nil || it.Choice != nil || it.Answer != nil }

// Stands says whether it has not been released.
func (h Hold) Stands() bool { return h.Stage != nil && h.Release == nil }

// Of is the number of the stage whose hold point it is, where that is an earlier one than the item's own; 0 else.
func (h Hold) Of() int {
	if h.Earlier {
		return h.Number
	}
	return 0
}

// words names the hold point beside an item of its own stage, or of a later one.
func (h Hold) words() string {
	if h.Earlier {
		return fmt.Sprintf("the hold point of stage %d (%s)", h.Number, h.Stage.Title)
	}
	return "the hold point of its stage"
}
