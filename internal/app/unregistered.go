package app

import (
	"fmt"

	"witnessmark/internal/decision"
)

// unregistered asks, for each unit of the brief, about an attempt that was handed over before its trainee was registered with the
// awarding organisation, or after that ended: whether it is to be set aside is for people to say. It is empty before handing over.
func (l *loaded) unregistered() []string {
	at := l.Attempt
	if at.HandedOverAt.IsZero() || at.State == decision.SetAside || at.State == decision.Withdrawn {
		return nil
	}
	day := date(dayOf(at.HandedOverAt))
	var ask []string
	for _, ref := range l.brief.Criteria {
		held, later := false, ""
		for _, g := range l.Registered {
			held = held || g.Holds(ref.Unit, day)
			if later == "" && (g.Unit == "" || g.Unit == ref.Unit) && g.RegisteredOn.After(day) {
				later = ", and is since " + g.RegisteredOn.Format("2 January 2006")
			}
		}
		if !held {
			ask = append(ask, fmt.Sprintf("When this was handed over, on %s, %s was not registered with the awarding organisation for unit %s%s. Set it aside?",
				day.Format("2 January 2006"), l.Trainee.Name, ref.Unit, later))
		}
	}
	return ask
}
