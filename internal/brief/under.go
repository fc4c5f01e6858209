package brief

import (
	"fmt"
	"slices"
	"strings"
)

// RuleSets are the keys of the rule sets that the brief names, in the order in which it first names them.
func (b *Brief) RuleSets() []string {
	var keys []string
	for _, u := range b.ruled() {
		if set, _, ok := strings.Cut(u.rule(), "/"); ok && !slices.Contains(keys, set) {
			keys = append(keys, set)
		}
	}
	return keys
}

// Under gives the brief with each rule that it names put in from the book, as if its limits, values and tables were written
// out: what Check, Compile, Draw and marking work on. Limits, givens and tables from a rule have the set's title, edition and
// source for their Source; RuledBy names the editions. The brief itself is not changed.
//
// Problems are the rules that cannot be put in, at their places in the brief; these are left as they are. That a rule set or a
// rule is not there is told where it is first named. A brief that names no rules comes back without problems from any book.
func (b *Brief) Under(bk Book) (*Brief, Problems) {
	out, ps, told := b.copied(), Problems(nil), map[string]bool{}
	out.RuledBy = nil
	for _, u := range out.ruled() {
		rs, r, p := bk.find(u.rule())
		if p.Text == "" {
			p = u.put(rs, r)
		} else if told[p.Text] {
			continue
		}
		if p.Text != "" {
			told[p.Text] = true
			p.Path = u.path
			ps = append(ps, p)
			continue
		}
		if e := (RuleEdition{rs.Key, rs.Edition}); !slices.Contains(out.RuledBy, e) {
			out.RuledBy = append(out.RuledBy, e)
		}
	}
	return out, ps
}

// ruled is a place of a brief that names a rule; one of the three is set.
type ruled struct {
	path  string // of the member “rule”
	limit *Limit
	unit  string // that the limit is judged in, as asked
	given *Given
	table *Table
}

// ruled lists the places that name rules: tables, givens, then items, as Compile goes through them.
func (b *Brief) ruled() []ruled {
	var us []ruled
	for i := range b.Tables {
		if b.Tables[i].Rule != "" {
			us = append(us, ruled{path: fmt.Sprintf("tables[%d].rule", i), table: &b.Tables[i]})
		}
	}
	for i := range b.Given {
		if b.Given[i].Rule != "" {
			us = append(us, ruled{path: fmt.Sprintf("given[%d].rule", i), given: &b.Given[i]})
		}
	}
	for i := range b.Stages {
		for j := range b.Stages[i].Items {
			it, path := &b.Stages[i].Items[j], fmt.Sprintf("stages[%d].items[%d].", i, j)
			if r := it.Reading; r != nil && r.Limit != nil && r.Limit.Rule != "" {
				us = append(us, ruled{path: path + "reading.limit.rule", limit: r.Limit, unit: r.Unit})
			}
			if f := it.Figure; f != nil && f.Limit != nil && f.Limit.Rule != "" {
				us = append(us, ruled{path: path + "figure.limit.rule", limit: f.Limit, unit: f.Unit})
			}
		}
	}
	return us
}

// copied is the brief with everything of its own that putting rules in changes.
func (b *Brief) copied() *Brief {
	out := *b
	out.Given, out.Tables, out.Stages = slices.Clone(b.Given), slices.Clone(b.Tables), slices.Clone(b.Stages)
	for i := range out.Stages {
		items := slices.Clone(out.Stages[i].Items)
		out.Stages[i].Items = items
		for j := range items {
			if r := items[j].Reading; r != nil && r.Limit != nil {
				reading, limit := *r, *r.Limit
				reading.Limit, items[j].Reading = &limit, &reading
			}
			if f := items[j].Figure; f != nil && f.Limit != nil {
				figure, limit := *f, *f.Limit
				figure.Limit, items[j].Figure = &limit, &figure
			}
		}
	}
	return &out
}

func (u ruled) rule() string {
	switch {
	case u.limit != nil:
		return u.limit.Rule
	case u.given != nil:
		return u.given.Rule
	}
	return u.table.Rule
}

// find looks a rule up; the problem has a text where it is not in the book.
func (bk Book) find(name string) (*RuleSet, *Rule, Problem) {
	set, key, ok := strings.Cut(name, "/")
	if !ok || !ruleForm.MatchString(name) {
		return nil, nil, Problem{Text: fmt.Sprintf("“rule” is %s; this is “%s”.", ruleShape, shorten(name))}
	}
	e, known := bk.entries[set]
	switch {
	case !known:
		return nil, nil, Problem{Text: fmt.Sprintf("There is no rule set “%s” here.", shorten(set)), Hint: didYouMean(set, bk.keys())}
	case e.set == nil:
		return nil, nil, Problem{Text: e.why}
	}
	for i := range e.set.Rules {
		if e.set.Rules[i].Key == key {
			return e.set, &e.set.Rules[i], Problem{}
		}
	}
	var keys []string
	for _, r := range e.set.Rules {
		keys = append(keys, r.Key)
	}
	return nil, nil, Problem{Text: fmt.Sprintf("The rule set “%s” (edition %s) has no rule “%s”.", set, e.set.Edition, shorten(key)), Hint: didYouMean(key, keys)}
}

func (bk Book) keys() []string {
	var keys []string
	for key := range bk.entries {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	return keys
}
