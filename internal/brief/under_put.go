package brief

import "fmt"

// kind is what a rule is, in words.
func (r *Rule) kind() string {
	switch {
	case r.Table != nil:
		return "a table"
	case r.Value != "":
		return "a value"
	}
	return "a limit"
}

// single is the one quantity of a rule that has one: a value, or the end of a limit with one end. It may stand as a given:
// what is judged by a limit and what is sized by it then cannot drift apart.
func (r *Rule) single() (text string, ok bool) {
	switch {
	case r.Table != nil:
	case r.Value != "":
		return r.Value, true
	case r.AtLeast == "":
		return r.AtMost, r.AtMost != ""
	case r.AtMost == "":
		return r.AtLeast, true
	}
	return "", false
}

// put writes a rule out where it is named; the problem has a text where it does not fit there.
func (u ruled) put(rs *RuleSet, r *Rule) Problem {
	want, beside := "a value", u.beside()
	switch {
	case u.limit != nil:
		want = "a limit"
	case u.table != nil:
		want = "a table"
	}
	value, valued := r.single()
	switch {
	case len(beside) > 0:
		return Problem{Text: fmt.Sprintf("The rule says it all: take %s out beside it, or take the rule out.", andList(beside))}
	case r.kind() != want && (u.given == nil || !valued):
		return Problem{Text: fmt.Sprintf("“%s” is %s, and %s belongs here.", u.rule(), r.kind(), want)}
	}
	if u.limit != nil {
		if text := u.misfit(r); text != "" {
			return Problem{Text: text}
		}
		*u.limit = Limit{AtLeast: r.AtLeast, AtMost: r.AtMost, Source: rs.source(), Margin: r.Margin, Guard: u.limit.Guard}
	}
	if u.given != nil {
		u.given.Rule, u.given.Value, u.given.Source = "", value, rs.source()
	}
	if t := u.table; t != nil {
		*t = Table{Name: t.Name, Is: t.Is, Of: r.Table.Of, Gives: r.Table.Gives, Between: r.Table.Between, Rows: r.Table.Rows, Source: rs.source()}
	}
	return Problem{}
}

// misfit says why a limit cannot judge what is asked in the place's unit. A unit that cannot be read itself is Compile's to
// tell.
func (u ruled) misfit(r *Rule) string {
	c := &compiler{}
	asked, ok := c.unit(u.unit, "")
	if !ok {
		return ""
	}
	for _, text := range []string{r.AtLeast, r.AtMost} {
		if text == "" {
			continue
		}
		if c.in(text, asked, ""); len(c.problems) > 0 {
			return fmt.Sprintf("“%s” is %s, which does not fit here, where %s is asked. %s", u.rule(), text, orPlain(u.unit), c.problems[0].Text)
		}
	}
	return ""
}

// beside are the members that stand beside a rule and say again, or otherwise, what it says.
func (u ruled) beside() []string {
	var out []string
	add := func(name string, set bool) {
		if set {
			out = append(out, "“"+name+"”")
		}
	}
	if l := u.limit; l != nil {
		add("at-least", l.AtLeast != "")
		add("at-most", l.AtMost != "")
		add("source", l.Source != "")
		add("carries-margin", l.Margin)
	}
	if g := u.given; g != nil {
		add("value", g.Value != "")
		add("from", g.From != "")
		add("to", g.To != "")
		add("step", g.Step != "")
		add("source", g.Source != "")
	}
	if t := u.table; t != nil {
		add("of", t.Of != "")
		add("gives", t.Gives != "")
		add("between", t.Between != "")
		add("rows", len(t.Rows) > 0)
		add("source", t.Source != "")
	}
	return out
}
