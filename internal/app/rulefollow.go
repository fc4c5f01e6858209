package app

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"witnessmark/internal/brief"
	"witnessmark/internal/store"
)

// RuleEnd is an edition that goes out of force because another one is checked.
type RuleEnd struct {
	Edition store.RuleEdition
	LastDay brief.Day // before its first day where it never comes into force
	Cuts    bool      // it names a later last day itself, or never comes into force
	Own     bool      // it is the one being checked that ends, because Edition follows it
}

// Words says in a sentence what comes out of force.
func (r RuleEnd) Words() string {
	switch {
	case r.Own:
		return fmt.Sprintf("This edition is in force until %s, the day before edition “%s” begins.", r.LastDay.Words(), r.Edition.Edition)
	case r.LastDay < dayText(r.Edition.ValidFrom):
		return fmt.Sprintf("Edition “%s” begins on the same day; this one takes its place altogether.", r.Edition.Edition)
	case r.Cuts:
		return fmt.Sprintf("Edition “%s” would be in force until %s; this one ends it on %s.", r.Edition.Edition, dayText(r.Edition.LastDay).Words(), r.LastDay.Words())
	}
	return fmt.Sprintf("Edition “%s” then ends on %s.", r.Edition.Edition, r.LastDay.Words())
}

// follow says how the days of a draft go with those of the set's checked editions: what ends with it, and what stands in the
// way, gaps and overlaps, at their places in its text.
func (a *App) follow(rs *brief.RuleSet, editions []store.RuleEdition) ([]RuleEnd, brief.Problems, error) {
	checked := slices.DeleteFunc(slices.Clone(editions), func(e store.RuleEdition) bool { return !e.Checked() })
	before, err := a.ruleSets(running(checked))
	if err != nil {
		return nil, nil, err
	}
	ends := ending(rs, checked)
	for _, end := range ends {
		for i := range checked {
			if !end.Own && checked[i].ID == end.Edition.ID {
				checked[i].LastDay = date(end.LastDay)
			}
		}
	}
	after, err := a.ruleSets(running(checked))
	if err != nil {
		return nil, nil, err
	}
	_, was := brief.BookOn(before, rs.ValidFrom)
	_, now := brief.BookOn(append(after, *rs), rs.ValidFrom)
	var problems brief.Problems
	for _, p := range now {
		if slices.ContainsFunc(was, func(q brief.Problem) bool { return q.Text == p.Text }) {
			continue // the set had it before
		}
		set, member, _ := strings.Cut(p.Path, ".")
		if p.Path = member; set != fmt.Sprintf("sets[%d]", len(after)) {
			p.Path = "valid-to" // the one that follows cannot be mended here
		}
		problems = append(problems, p)
	}
	return ends, problems, nil
}

// ending is what a draft takes out of force: each edition that began before it, or with it, and would still run on its first
// day. Where it names no last day itself, it ends before the next one begins.
func ending(rs *brief.RuleSet, checked []store.RuleEdition) []RuleEnd {
	first := date(rs.ValidFrom)
	var ends []RuleEnd
	var next *store.RuleEdition
	for i, e := range checked {
		switch {
		case !e.LastDay.IsZero() && e.LastDay.Before(e.ValidFrom): // never came into force
		case e.ValidFrom.After(first):
			if next == nil || e.ValidFrom.Before(next.ValidFrom) {
				next = &checked[i]
			}
		case e.LastDay.IsZero() || !e.LastDay.Before(first):
			ends = append(ends, RuleEnd{Edition: e, LastDay: dayBefore(first), Cuts: !e.LastDay.IsZero() || e.ValidFrom.Equal(first)})
		}
	}
	if next != nil && rs.ValidTo == "" {
		ends = append(ends, RuleEnd{Edition: *next, LastDay: dayBefore(next.ValidFrom), Own: true})
	}
	return ends
}

func dayBefore(t time.Time) brief.Day { return dayText(t.AddDate(0, 0, -1)) }

// running leaves out the editions whose place another one took before they began.
func running(editions []store.RuleEdition) []store.RuleEdition {
	return slices.DeleteFunc(slices.Clone(editions), func(e store.RuleEdition) bool {
		return !e.LastDay.IsZero() && e.LastDay.Before(e.ValidFrom)
	})
}
