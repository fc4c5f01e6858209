package brief

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
)

// critical are the readings and figures that marking policy 8 lists as safety-critical, by the words that briefs call them
// by. Its accept/reject decisions are choices, and its isolation is a sequence, which a brief flags by other members.
var critical = regexp.MustCompile(`(?i)\b(tightness|let[- ]by|(gas|pipe|meter) (pressure )?drop|heat input|(working|standing|inlet|burner) pressure|` +
	`carbon monoxide|polarity|continuity|insulation resistance|loop impedance|rcd|relief|pre-?charge|` +
	`(stored|storage|mixed|blended)( hot)?( water)? temperature|discharge[- ]pipe|free area|fuse|vessel size|size of the vessel)\b|` +
	`\b(Zs|Ze|CO|CO/CO₂|CO/CO2)(\s|$|[.,;:)])`)

// safetyFlags is policy 8: what is measured or worked out where it can hurt is safety-critical, or the tutor thought about
// it. That is what stands beyond a hold point for gas, mains or unvented work, what bears on a criterion of such work,
// what decides whether a hold point is released, and what the policy lists by name. A reading that is only taken as found
// is left alone: it may be as bad as it likes.
func (k *checker) safetyFlags() {
	needed, criteria := map[string]bool{}, k.hazardous()
	for i := range k.b.Stages {
		if h := k.b.Stages[i].Hold; h != nil {
			for _, key := range h.Needs {
				needed[key] = true
			}
		}
	}
	for i := range k.b.Stages {
		st := &k.b.Stages[i]
		for j := range st.Items {
			it := &st.Items[j]
			if it.Reading == nil && it.Figure == nil || it.Safety() || it.Reading != nil && slices.Equal(it.Reading.Phases, []Phase{AsFound}) {
				continue
			}
			if why := unflagged(k.b, st, it, needed[it.Key], criteria); why != "" {
				k.warn(fmt.Sprintf("stages[%d].items[%d]", i, j), "“%s” %s and is not safety-critical. Add “safety-critical: true”, unless a wrong value here can hurt nobody.", shorten(it.Key), why)
			}
		}
	}
}

// hazardous are the criteria of gas, mains or unvented work with that work in words: those that are shown beyond hold
// points for it more often than elsewhere.
func (k *checker) hazardous() map[string]string {
	beyond, elsewhere, kind := map[string]int{}, map[string]int{}, map[string]string{}
	for i := range k.b.Stages {
		h := k.b.Stages[i].Hold
		for _, it := range k.b.Stages[i].Items {
			for _, c := range it.Criteria {
				ref := k.b.Ref(c)
				if h == nil || h.Entitlement == "" {
					elsewhere[ref]++
					continue
				}
				beyond[ref]++
				kind[ref] = work(h.Entitlement)
			}
		}
	}
	maps.DeleteFunc(kind, func(ref, _ string) bool { return beyond[ref] <= elsewhere[ref] })
	return kind
}

// unflagged says why a reading or figure should be flagged; "" where nothing says so.
func unflagged(b *Brief, st *Stage, it *Item, needed bool, criteria map[string]string) string {
	at := slices.IndexFunc(it.Criteria, func(c string) bool { return criteria[b.Ref(c)] != "" })
	switch word := strings.TrimRight(critical.FindString(it.Title+"; "+asks(it)), " .,;:)"); {
	case needed:
		return "decides whether a hold point is released"
	case st.Hold != nil && st.Hold.Entitlement != "":
		return "stands beyond a hold point for " + work(st.Hold.Entitlement)
	case at >= 0:
		return fmt.Sprintf("bears on %s, a criterion of %s,", b.Ref(it.Criteria[at]), criteria[b.Ref(it.Criteria[at])])
	case word != "":
		return fmt.Sprintf("is about what can hurt (“%s”)", word)
	}
	return ""
}

// asks is what a reading or figure asks for, in the brief's words.
func asks(it *Item) string {
	if it.Reading != nil {
		return it.Reading.Is
	}
	return it.Figure.Ask
}

// work names an entitlement's work.
func work(entitlement string) string {
	if entitlement == "electrical" {
		return "mains electrical work"
	}
	return entitlement + " work"
}
