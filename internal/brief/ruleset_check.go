package brief

import (
	"reflect"
	"strconv"
	"strings"

	"witnessmark/internal/quantity"
)

// CheckRules says what is wrong within one edition of a rule set; how editions follow one another is BookOn's word. That
// nobody has checked it yet is a warning: it may be kept, but it does not count. With Problems.Located the problems get
// their lines.
func CheckRules(rs *RuleSet) Problems {
	k := &checker{}
	k.rules(reflect.ValueOf(rs).Elem(), "")
	k.validity(rs)
	var keys []string
	for _, r := range rs.Rules {
		keys = append(keys, r.Key)
	}
	k.distinct(keys, "rules[%d].key")
	c := &compiler{}
	for i := range rs.Rules {
		c.rule(&rs.Rules[i], "rules["+strconv.Itoa(i)+"]")
	}
	return k.problems.And(c.problems).sorted()
}

// validity holds an edition's days and people to what makes it count.
func (k *checker) validity(rs *RuleSet) {
	for _, d := range []struct {
		member string
		day    Day
	}{{"valid-from", rs.ValidFrom}, {"valid-to", rs.ValidTo}} {
		if dayForm.MatchString(string(d.day)) && !d.day.Real() {
			k.say(d.member, "There is no such day as %s.", d.day)
		}
	}
	if rs.ValidTo != "" && rs.ValidTo < rs.ValidFrom && rs.ValidFrom.Real() && rs.ValidTo.Real() {
		k.say("valid-to", "This edition ends on %s, before it starts on %s.", rs.ValidTo.Words(), rs.ValidFrom.Words())
	}
	switch {
	case strings.TrimSpace(rs.CheckedBy) == "":
		k.warn("checked-by", "This edition does not count yet: %s.", rs.unchecked())
	case !rs.checked():
		k.say("checked-by", "%s entered this edition and has checked it as well. Another person has to: it does not count before.", strings.TrimSpace(rs.CheckedBy))
	}
}

// rule holds one rule to being one thing, in quantities that can be read.
func (c *compiler) rule(r *Rule, path string) {
	limit := r.AtLeast != "" || r.AtMost != ""
	switch ways := count(limit, r.Value != "", r.Table != nil); {
	case ways == 0:
		c.say(path, 0, "A rule says something: at-least or at-most for a limit, a value, or a table.")
	case ways > 1:
		c.say(path, 0, "A rule is one thing: a limit, a value or a table. Make a rule of each.")
	case r.Margin && !limit:
		c.say(path+".carries-margin", 0, "Only a limit carries a margin.")
	}
	if limit {
		c.limitRule(r, path)
	}
	if r.Value != "" {
		c.quantity(r.Value, path+".value")
	}
	if t := r.Table; t != nil {
		c.table(&Table{Of: t.Of, Gives: t.Gives, Between: t.Between, Rows: t.Rows}, path+".table")
	}
}

// limitRule holds both ends of a limit to one dimension and to their order.
func (c *compiler) limitRule(r *Rule, path string) {
	asked, known := quantity.One, false
	for _, text := range []string{r.AtLeast, r.AtMost} {
		if q, err := quantity.ParseQuantity(text); err == nil && !known {
			asked, known = q.Unit, true
		}
	}
	c.limit(&Limit{AtLeast: r.AtLeast, AtMost: r.AtMost}, asked, path)
}

// count is how many of some things are so.
func count(are ...bool) int {
	n := 0
	for _, is := range are {
		if is {
			n++
		}
	}
	return n
}

// tables warns of tables that nobody can trace.
func (k *checker) tables() {
	for i, t := range k.b.Tables {
		if t.Rule == "" && t.Source == "" {
			k.warn("tables["+strconv.Itoa(i)+"]", "Nobody can tell later where this table comes from. Add “source”: the document, its edition and date.")
		}
	}
}

// untraced says whether nobody can tell where a limit comes from.
func (l *Limit) untraced() bool { return l.Source == "" && l.Rule == "" }
