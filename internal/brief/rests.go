package brief

import "witnessmark/internal/formula"

// RestsOn lists the readings that a figure or choice is worked from, itself or through figures before it, in the brief's order. An item
// of another form rests on none, and neither does what cannot be read: such a brief is never published.
func (b *Brief) RestsOn(it *Item) []*Item {
	called := map[string]bool{}
	for next := it.calls(); len(next) > 0; {
		name := next[0]
		next = next[1:]
		if called[name] {
			continue
		}
		called[name] = true
		if of, _, ok := b.Item(name); ok {
			next = append(next, of.calls()...)
		}
	}
	var readings []*Item
	for i := range b.Stages {
		for j := range b.Stages[i].Items {
			if of := &b.Stages[i].Items[j]; of.Reading != nil && called[of.Key] {
				readings = append(readings, of)
			}
		}
	}
	return readings
}

// calls lists the names in the formulas and conditions by which an item's answer is found.
func (it *Item) calls() []string {
	var names []string
	add := func(text string) {
		if e, err := formula.Parse(text); err == nil {
			names = append(names, formula.Names(e)...)
		}
	}
	switch {
	case it.Figure != nil:
		add(it.Figure.Formula)
	case it.Choice != nil && it.Choice.Size != nil:
		add(it.Choice.Size.Formula)
	case it.Choice != nil:
		for _, o := range it.Choice.Options {
			if c, err := formula.ParseCondition(o.When); err == nil {
				names = append(names, formula.ConditionNames(c)...)
			}
		}
	}
	return names
}
