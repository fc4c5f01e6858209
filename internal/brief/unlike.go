package brief

import (
	"fmt"
	"slices"
)

// Unlike says, in sentences, where a version of a brief asks for other things than the one before: other stages, items, forms of
// answer, criteria or given values. Where it says nothing, work done for the one can be held against the other: only how it is
// marked differs, and in what words it is asked for.
func Unlike(was, now *Brief) []string {
	var why []string
	add := func(format string, args ...any) { why = append(why, fmt.Sprintf(format, args...)) }
	if a, b := stageKeys(was), stageKeys(now); !slices.Equal(a, b) {
		add("Its stages are %q, not %q.", b, a)
	}
	if a, b := was.CriterionRefs(), now.CriterionRefs(); !slices.Equal(slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b))) {
		add("It covers other criteria.")
	}
	for _, g := range now.Given {
		if !slices.ContainsFunc(was.Given, func(o Given) bool { return o.Name == g.Name }) && g.From != "" {
			add("The given value %s is drawn for each trainee, and was not.", g.Name)
		}
	}
	seen := map[string]bool{}
	for i := range now.Stages {
		for k := range now.Stages[i].Items {
			it := &now.Stages[i].Items[k]
			seen[it.Key] = true
			old, st, ok := was.Item(it.Key)
			switch {
			case !ok:
				add("%s is new.", it.Title)
			case st.Key != now.Stages[i].Key:
				add("%s stands in another stage.", it.Title)
			case old.Form() != it.Form() || !slices.EqualFunc(old.Slots(), it.Slots(), sameSlot):
				add("%s is filled in another way.", it.Title)
			}
		}
	}
	for i := range was.Stages {
		for k := range was.Stages[i].Items {
			if it := &was.Stages[i].Items[k]; !seen[it.Key] {
				add("%s is gone.", it.Title)
			}
		}
	}
	return why
}

func sameSlot(a, b Slot) bool { return a.Part == b.Part && a.Phase == b.Phase }

func stageKeys(b *Brief) []string {
	var keys []string
	for i := range b.Stages {
		keys = append(keys, b.Stages[i].Key)
	}
	return keys
}
