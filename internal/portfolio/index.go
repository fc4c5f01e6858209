package portfolio

import (
	"fmt"
	"slices"
	"strconv"

	"witnessmark/internal/decision"
)

// index finds, for every criterion of the unit, what shows it and who decided.
func index(u Unit, tasks []TaskSheet) []OutcomeIndex {
	var out []OutcomeIndex
	for _, o := range u.Outcomes {
		oi := OutcomeIndex{Code: o.Code, Title: o.Title}
		for _, c := range o.Criteria {
			row := IndexRow{Criterion: c}
			for i := range tasks {
				if k := slices.Index(tasks[i].Brief.CriterionRefs(), u.Code+"/"+c.Code); k >= 0 {
					row.Parts = append(row.Parts, indexPart(&tasks[i], k))
				}
			}
			oi.Rows = append(oi.Rows, row)
		}
		out = append(out, oi)
	}
	return out
}

// indexPart follows one criterion (the brief's k-th) through a task's attempts. The decision of the latest attempt that
// has one counts; one that was carried over is led back to the attempt in which somebody made it.
func indexPart(t *TaskSheet, k int) IndexPart {
	p := IndexPart{Task: t.Number}
	last := -1
	for i := range t.Attempts {
		at := &t.Attempts[i]
		c := &at.Decisions[k]
		switch {
		case !counts(at.State) || at.Untouched():
		case c.Current != nil:
			last = i
		case last < 0 && len(c.Evidence) > 0:
			p.Attempt, p.Evidence, p.Anchor = at.Number, c.Evidence, c.Anchor
		}
	}
	if last < 0 {
		return p
	}
	p.Signed = signed(t.Attempts[last].State)
	made := origin(t, last, k)
	if made != last {
		p.Carried = t.Attempts[last].Number
	}
	at := &t.Attempts[made]
	c := &at.Decisions[k]
	p.Attempt, p.Evidence, p.Anchor, p.Decision = at.Number, c.Evidence, c.Anchor, c.Current
	for i := range t.Attempts[:made] {
		if e := &t.Attempts[i]; counts(e.State) && e.Decisions[k].Current != nil {
			title := fmt.Sprintf("%s in attempt %d", decision.Outcome(e.Decisions[k].Current.Outcome).Words(), e.Number)
			p.Earlier = append(p.Earlier, Ref{Title: title, Anchor: e.Decisions[k].Anchor})
		}
	}
	return p
}

// origin is the attempt, by its place, in which the decision that stands in attempt i was made.
func origin(t *TaskSheet, i, k int) int {
	for {
		c := t.Attempts[i].Decisions[k].Current
		if c == nil || !c.Carried() {
			return i
		}
		from := slices.IndexFunc(t.Attempts[:i], func(a AttemptSheet) bool { return strconv.Itoa(a.Number) == c.Value })
		if from < 0 || t.Attempts[from].Decisions[k].Current == nil {
			return i // carried from nowhere that is known: it stands as it is
		}
		i = from
	}
}

// standing says whether the criterion is met over all tasks, and whether all that makes it so is signed off.
func (r IndexRow) standing() (met, signed bool) {
	signed = true
	for _, p := range r.Parts {
		if p.Decision == nil {
			continue
		}
		if p.Decision.Outcome != string(decision.Met) {
			return false, false
		}
		met, signed = true, signed && p.Signed
	}
	return met, signed
}
