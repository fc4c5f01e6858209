package decision

import (
	"fmt"
	"slices"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
)

// Standing is what stands behind an attempt when a criterion is judged.
type Standing struct {
	Brief   *brief.Brief
	Result  *marking.Result // nil before the marker ran
	Records []Record
	// Order says of items by key how the best of their files stands to the release of the hold point before them.
	Order map[string]Order
	// Empty holds the keys of required items that have nothing in them.
	Empty map[string]bool
	// Typed says the same of lines, by LineOf: how what counts there stands to the release.
	Typed map[string]Order
	// Passed names the stages whose hold points were passed in an earlier attempt, as Behind has them.
	Passed map[string]bool
	// Doubts says of readings by Line(item, "", phase) what speaks against the instrument that they were taken with.
	Doubts map[string]Doubt
}

// Carried says whether a decision was carried over from an earlier attempt: it was met there, and stands until the
// criterion is decided afresh.
func (r Record) Carried() bool { return r.Kind == KindCriterion && r.Value != "" }

// Blocked lists, in whole sentences, why the criterion cannot be met as things stand: a safety-critical line that failed
// or is not proved and that nobody has overridden, a hold point that was never released, evidence that was only captured
// before a release, a safety-critical line that was, a required item with nothing in it, a safety-critical reading, figure or choice that
// goes back to an instrument which was overdue or read wrong. A criterion that was carried over was proved before.
func (s Standing) Blocked(criterion string) []string {
	if r := Judged(s.Records, criterion); r != nil && r.Carried() {
		return nil
	}
	var why []string
	for i := range s.Brief.Stages {
		st := &s.Brief.Stages[i]
		var standing []string
		for j := range st.Items {
			it := &st.Items[j]
			if !slices.ContainsFunc(it.Criteria, func(c string) bool { return s.Brief.Ref(c) == criterion }) {
				continue
			}
			if h := s.behind(it); h.Stands() {
				standing = append(standing, fmt.Sprintf("The hold point before stage %d (%s) was never released.", h.Number, h.Stage.Title))
			}
			why = append(why, s.itemBlocks(it)...)
			why = append(why, s.early(it)...)
			if in := s.steppedInAt(st, it); in != "" {
				why = append(why, in)
			}
		}
		for _, t := range standing {
			if !slices.Contains(why, t) {
				why = append(why, t)
			}
		}
	}
	return why
}

// itemBlocks is Blocked for one item.
func (s Standing) itemBlocks(it *brief.Item) []string {
	var why []string
	if s.Empty[it.Key] {
		why = append(why, fmt.Sprintf("%s: nothing has been handed in.", it.Title))
	}
	switch s.Order[it.Key] {
	case Before:
		why = append(why, fmt.Sprintf("%s: all of it was captured before %s was released.", it.Title, s.behind(it).words()))
	case NotProved:
		why = append(why, fmt.Sprintf("%s: nothing proves that it was captured after %s was released, since the phone's clock was not known, or was set meanwhile.", it.Title, s.behind(it).words()))
	}
	why = append(why, s.doubtful(it)...)
	if s.Result == nil {
		return why
	}
	said, wrong := len(why), 0
	for _, f := range s.Result.Findings {
		if f.Item != it.Key || !f.Blocks {
			continue
		}
		if s.accepted(Line(f.Item, f.Part, string(f.Phase))) {
			continue
		}
		why = append(why, fmt.Sprintf("%s is safety-critical: %s", inPhase(it, f.Phase), strings.TrimPrefix(f.Tutor, it.Title+": ")))
		if f.Verdict == marking.Wrong {
			wrong++
		}
	}
	if wrong > 1 && wrong == len(why)-said { // a functional test; its table shows which
		why = append(why[:said], fmt.Sprintf("%s is safety-critical: %d of its results are not as expected.", it.Title, wrong))
	}
	return slices.Compact(why)
}

// doubtful says which values of a safety-critical item were taken with an instrument that cannot be relied on: those of a reading, and
// those that a figure or choice is worked from. Whoever overrides the line, or that of the reading, answers for it.
func (s Standing) doubtful(it *brief.Item) []string {
	if len(s.Doubts) == 0 || !it.Safety() {
		return nil
	}
	var why []string
	if it.Reading != nil {
		for _, slot := range it.Slots() {
			if d := s.doubtOf(it, slot.Phase); d != "" {
				why = append(why, fmt.Sprintf("%s is safety-critical, and its instrument %s: have it measured again, or accept it with a reason.", inPhase(it, slot.Phase), d.Words()))
			}
		}
		return slices.Compact(why)
	}
	if s.accepted(Line(it.Key, "", "")) {
		return nil
	}
	for _, r := range s.Brief.RestsOn(it) {
		slots := r.Slots()
		last := slots[len(slots)-1].Phase // the value that formulas take
		if d := s.doubtOf(r, last); d != "" {
			why = append(why, fmt.Sprintf("%s is safety-critical and is worked from %s, whose instrument %s: have that measured again, or accept either with a reason.", it.Title, inPhase(r, last), d.Words()))
		}
	}
	return why
}

// doubtOf is what speaks against a reading's value, unless somebody accepted it with a reason.
func (s Standing) doubtOf(it *brief.Item, p brief.Phase) Doubt {
	line := Line(it.Key, "", string(p))
	if s.accepted(line) {
		return ""
	}
	return s.Doubts[line]
}

// accepted says whether somebody put a verdict in full over the marker's.
func (s Standing) accepted(line string) bool {
	o := Latest(s.Records, KindOverride, line)
	return o != nil && marking.Verdict(o.Outcome).Full()
}

// inPhase names a reading in one of its phases.
func inPhase(it *brief.Item, p brief.Phase) string {
	if p == brief.NoPhase {
		return it.Title
	}
	return it.Title + ", " + p.Words()
}
