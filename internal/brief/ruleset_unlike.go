package brief

import (
	"fmt"

	"witnessmark/internal/quantity"
)

// Unlike warns of rules that state another kind of quantity than the rule of the same key did in the edition before, as 80 C
// does, which is coulombs, where 80 °C stood. A document may change what it limits; more often a unit was mistyped.
func (rs *RuleSet) Unlike(before *RuleSet) Problems {
	var out Problems
	for i := range rs.Rules {
		r := &rs.Rules[i]
		for j := range before.Rules {
			if old := &before.Rules[j]; old.Key == r.Key {
				out = append(out, r.unlike(old, fmt.Sprintf("rules[%d]", i), before.Edition)...)
			}
		}
	}
	return out
}

func (r *Rule) unlike(old *Rule, path, edition string) Problems {
	var out Problems
	compare := func(member, now, then string) {
		a, errA := quantity.ParseQuantity(now)
		b, errB := quantity.ParseQuantity(then)
		if errA != nil || errB != nil || quantity.CheckConvertible(a.Unit, b.Unit) == nil {
			return // what cannot be read is said already
		}
		out = append(out, Problem{Path: path + "." + member, Warning: true, Text: fmt.Sprintf(
			"%s here, %s in edition %s: another kind of quantity. Check the unit.", now, then, edition)})
	}
	compare("at-least", r.AtLeast, old.AtLeast)
	compare("at-most", r.AtMost, old.AtMost)
	compare("value", r.Value, old.Value)
	if r.Table != nil && old.Table != nil {
		compare("table.of", "1 "+r.Table.Of, "1 "+old.Table.Of)
		compare("table.gives", "1 "+r.Table.Gives, "1 "+old.Table.Gives)
	}
	return out
}
