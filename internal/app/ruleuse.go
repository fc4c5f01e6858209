package app

import (
	"slices"
	"strings"

	"witnessmark/internal/brief"
)

// ruleUse is a place of a brief that names a rule.
type ruleUse struct {
	Rule string // set/rule
	Item string // the item whose limit it is; "" for a given or a table
	What string // that place in words
}

// ruleUses lists the places of a brief, as it was written, that name a rule.
func ruleUses(b *brief.Brief) []ruleUse {
	var us []ruleUse
	add := func(rule, item, what string) {
		if rule != "" {
			us = append(us, ruleUse{rule, item, what})
		}
	}
	for _, g := range b.Given {
		add(g.Rule, "", g.Is)
	}
	for _, t := range b.Tables {
		add(t.Rule, "", t.Is)
	}
	for _, st := range b.Stages {
		for _, it := range st.Items {
			if it.Reading != nil && it.Reading.Limit != nil {
				add(it.Reading.Limit.Rule, it.Key, it.Title)
			}
			if it.Figure != nil && it.Figure.Limit != nil {
				add(it.Figure.Limit.Rule, it.Key, it.Title)
			}
		}
	}
	return us
}

// rulesNamed are the rules that a brief names, each once, as set/rule.
func rulesNamed(b *brief.Brief) []string {
	var rules []string
	for _, u := range ruleUses(b) {
		rules = append(rules, u.Rule)
	}
	slices.Sort(rules)
	return slices.Compact(rules)
}

// setOf is the key of the set that a rule, as set/rule, belongs to.
func setOf(rule string) string {
	set, _, _ := strings.Cut(rule, "/")
	return set
}

// setsOf are the keys of the sets that rules, each as set/rule, belong to.
func setsOf(rules []string) []string {
	var keys []string
	for _, r := range rules {
		keys = append(keys, setOf(r))
	}
	return keys
}
