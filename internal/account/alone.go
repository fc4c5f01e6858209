package account

import "time"

// Before is how somebody's decisions stood before the award came to count, which holds for them until a day: the centre is to enter
// their award by then.
type Before struct {
	Alone bool
	Until time.Time // date, included; zero where nothing of the kind holds
}

// DecidesAlone says whether what the caller decides on a day stands by itself: with an assessor's award in date. Who has none decides
// subject to a countersignature, and gives none.
func (c Caller) DecidesAlone(day time.Time) bool {
	if !day.After(c.Before.Until) {
		return c.Before.Alone
	}
	return c.Registered(AssessorAward, day)
}

// WhyAlone says why what the caller decides on a day stands by itself, or waits; whose begins the sentence, as "Your decisions".
func (c Caller) WhyAlone(whose string, day time.Time) string {
	award := c.award(day)
	switch {
	case !day.After(c.Before.Until) && c.Before.Alone:
		return whose + " stand by themselves until " + shown(c.Before.Until) + ", as they did before the award counted. " + award +
			" Without one entered by then, they wait for a countersignature."
	case !day.After(c.Before.Until):
		return whose + " wait for a countersignature until " + shown(c.Before.Until) + ", as they did before the award counted. " + award +
			" From then on it counts alone."
	case c.Registered(AssessorAward, day):
		return whose + " stand by themselves. " + award
	}
	return whose + " wait for a countersignature. " + award
}

// award says in a sentence how it stands with the caller's assessor's award on a day: the one in date, else the one that comes, else
// the one that ended last.
func (c Caller) award(day time.Time) string {
	var ended, coming Registration
	for _, g := range c.Registrations {
		switch {
		case g.Kind != AssessorAward:
		case g.heldOn(day) && !g.Ends():
			return "An assessor’s award is in date."
		case g.heldOn(day):
			return "An assessor’s award is in date, to " + shown(g.ValidTo) + "."
		case day.Before(g.ValidFrom) && (coming.Kind == "" || g.ValidFrom.Before(coming.ValidFrom)):
			coming = g
		case !day.Before(g.ValidFrom) && g.ValidTo.After(ended.ValidTo):
			ended = g
		}
	}
	switch {
	case coming.Kind != "":
		return "The assessor’s award is in date only from " + shown(coming.ValidFrom) + "."
	case ended.Kind != "":
		return "The assessor’s award ended on " + shown(ended.ValidTo) + "."
	}
	return "No assessor’s award is entered."
}

func shown(day time.Time) string { return day.Format("2 January 2006") }
