package brief

import "time"

// Day is a calendar day as "2026-07-01". Days in order of the calendar are in order of their texts, too.
type Day string

// Real says whether there is such a day, and whether it is written so.
func (d Day) Real() bool {
	_, err := time.Parse(time.DateOnly, string(d))
	return err == nil
}

// Words is the day as people write it, "1 July 2026"; a text that is no day stays as it is.
func (d Day) Words() string {
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return string(d)
	}
	return t.Format("2 January 2006")
}

// plus is the day so many days later. d is real.
func (d Day) plus(days int) Day {
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return d
	}
	return Day(t.AddDate(0, 0, days).Format(time.DateOnly))
}

// daysInWords names the days from a to b.
func daysInWords(a, b Day) string {
	if a == b {
		return "on " + a.Words()
	}
	return "from " + a.Words() + " to " + b.Words()
}
