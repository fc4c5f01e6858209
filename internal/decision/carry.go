package decision

import (
	"fmt"
	"iter"
	"slices"
	"strings"

	"witnessmark/internal/brief"
)

// Carry is what the attempt after one that was sent back takes over.
type Carry struct {
	Met    []string        // criteria that stay met, in the brief's order
	Lapsed []Lapse         // criteria that were met and have to be shown again, in the brief's order
	Items  map[string]bool // keys of the items whose evidence goes along
}

// Lapse is a criterion that was met and is open again, and why in a sentence.
type Lapse struct{ Criterion, Why string }

// CarryOver says what the next attempt takes over from what was decided. What is not yet met has to be done again. Where a brief
// says that doing an item again re-opens another (a joint remade, then its pressure test), the other lapses too, and so on; the
// criteria that rest on what lapsed are not carried over. An item that nothing re-opens, and that bears on criteria all of which
// were met, keeps its evidence.
func CarryOver(b *brief.Brief, records []Record) Carry {
	met := map[string]bool{}
	for _, ref := range b.CriterionRefs() {
		r := Judged(records, ref)
		met[ref] = r != nil && r.Outcome == string(Met)
	}
	because := reopened(b, met)
	c := Carry{Items: map[string]bool{}}
	for _, ref := range b.CriterionRefs() {
		var why []string
		for it := range items(b) {
			if because[it.Key] != "" && bears(b, it, ref) {
				why = append(why, because[it.Key])
			}
		}
		switch {
		case !met[ref]:
		case len(why) > 0:
			c.Lapsed = append(c.Lapsed, Lapse{ref, strings.Join(why, " ")})
		default:
			c.Met = append(c.Met, ref)
		}
	}
	for it := range items(b) {
		if len(it.Criteria) > 0 && because[it.Key] == "" && !again(b, it, met) {
			c.Items[it.Key] = true
		}
	}
	return c
}

// reopened says of the items that are re-opened, by key, why. What is re-opened has to be done again, and may re-open others.
func reopened(b *brief.Brief, met map[string]bool) map[string]string {
	redone := map[string]string{} // titles by key
	for it := range items(b) {
		if again(b, it, met) {
			redone[it.Key] = it.Title
		}
	}
	because := map[string]string{}
	for more := true; more; {
		more = false
		for it := range items(b) {
			i := slices.IndexFunc(it.ReopenedBy, func(key string) bool { return redone[key] != "" })
			if i < 0 || because[it.Key] != "" {
				continue
			}
			because[it.Key] = fmt.Sprintf("“%s” has to be shown again once “%s” is done again.", it.Title, redone[it.ReopenedBy[i]])
			redone[it.Key], more = it.Title, true
		}
	}
	return because
}

// items goes through the items of a brief in order.
func items(b *brief.Brief) iter.Seq[*brief.Item] {
	return func(yield func(*brief.Item) bool) {
		for i := range b.Stages {
			for j := range b.Stages[i].Items {
				if !yield(&b.Stages[i].Items[j]) {
					return
				}
			}
		}
	}
}

// bears says whether an item bears on a criterion ("UNIT/code").
func bears(b *brief.Brief, it *brief.Item, ref string) bool {
	return slices.ContainsFunc(it.Criteria, func(own string) bool { return b.Ref(own) == ref })
}

// again says whether an item bears on a criterion that is not met, so that it has to be done again.
func again(b *brief.Brief, it *brief.Item, met map[string]bool) bool {
	return slices.ContainsFunc(it.Criteria, func(own string) bool { return !met[b.Ref(own)] })
}

// Lapsed is the record by which a criterion that was met in an earlier attempt is open in this one; nil where there is none.
func Lapsed(records []Record, criterion string) *Record {
	if r := Latest(records, KindCriterion, criterion); r != nil && r.Outcome == TakenBack && r.Value != "" {
		return r
	}
	return nil
}
