package decision

import (
	"fmt"
	"slices"

	"witnessmark/internal/brief"
)

// LineOf names the line by which the marker judges what stands in a slot, as overrides do: a cell of a functional test by itself,
// repeats and steps together.
func LineOf(it *brief.Item, slot brief.Slot) string {
	if it.Test == nil {
		slot.Part = ""
	}
	return Line(it.Key, slot.Part, string(slot.Phase))
}

// Worst is the order that says less for a line of several slots: before, then not proved, then after. "" says nothing yet.
func Worst(a, b Order) Order {
	for _, o := range []Order{Before, NotProved, After} {
		if a == o || b == o {
			return o
		}
	}
	return ""
}

// behind is the hold point that an item stands behind.
func (s Standing) behind(it *brief.Item) Hold { return Behind(s.Brief, it.Key, s.Records, s.Passed) }

// early says what of a safety-critical item was put down before the hold point that it stands behind was released, or is not proved to have been
// put down after it. Working out is no work at the rig: a figure or choice is as early as the readings that it is worked from, whichever
// stage these are of. Whoever overrides the line, or that of the reading, answers for it. A hold point that stands is said once, elsewhere.
func (s Standing) early(it *brief.Item) []string {
	h := s.behind(it)
	switch {
	case !it.Safety():
		return nil
	case it.Figure != nil || it.Choice != nil:
		return s.workedEarly(it)
	case h.Stands():
		return nil
	}
	var why []string
	cells := map[Order]int{}
	for _, slot := range it.Slots() {
		o := s.typed(LineOf(it, slot))
		if t := o.against("it was put down", h); t != "" {
			cells[o]++
			why = append(why, fmt.Sprintf("%s is safety-critical, and %s: have it done again, or accept it with a reason.", inPhase(it, slot.Phase), t))
		}
	}
	if it.Test == nil || len(why) < 2 {
		return slices.Compact(why)
	}
	why = nil
	for _, o := range []Order{Before, NotProved} { // its table shows which
		if n := cells[o]; n > 0 {
			why = append(why, fmt.Sprintf("%s is safety-critical, and %s: have them done again, or accept each with a reason.", it.Title, o.against(fmt.Sprintf("%d of its results were put down", n), h)))
		}
	}
	return why
}

// workedEarly is early for a figure or choice.
func (s Standing) workedEarly(it *brief.Item) []string {
	if s.accepted(Line(it.Key, "", "")) {
		return nil
	}
	var why []string
	for _, r := range s.Brief.RestsOn(it) {
		slots := r.Slots()
		last := slots[len(slots)-1] // the value that formulas take
		if t := s.typed(LineOf(r, last)).against("it was put down", s.behind(r)); t != "" {
			why = append(why, fmt.Sprintf("%s is safety-critical and is worked from %s, of which %s: have that measured again, or accept either with a reason.", it.Title, inPhase(r, last.Phase), t))
		}
	}
	return why
}

// typed is the order of a line, unless somebody accepted it with a reason.
func (s Standing) typed(line string) Order {
	if s.accepted(line) {
		return ""
	}
	return s.Typed[line]
}

// against says in words what an order to a hold point has against something; a clock that is not known is a doubt and no more. "" for
// nothing.
func (o Order) against(done string, h Hold) string {
	switch o {
	case Before:
		return done + " before " + h.words() + " was released"
	case NotProved:
		return "nothing proves that " + done + " after " + h.words() + " was released, since the phone's clock was not known, or was set meanwhile"
	}
	return ""
}
