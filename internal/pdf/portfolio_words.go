package pdf

import (
	"fmt"
	"strings"
	"time"
	"unicode"

	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/quantity"
)

// second, minute and day are times as people read them, in the portfolio's zone, which is said.
func (p *sheets) second(t time.Time) string { return p.when(t, "2 January 2006 15:04:05 MST") }
func (p *sheets) minute(t time.Time) string { return p.when(t, "2 January 2006, 15:04 MST") }
func (p *sheets) day(t time.Time) string    { return p.when(t, "2 Jan 2006") }

func (p *sheets) when(t time.Time, layout string) string {
	if t.IsZero() {
		return "not known"
	}
	return t.In(p.zone).Format(layout)
}

// date is a day without a time, as it was set.
func date(t time.Time) string {
	if t.IsZero() {
		return "no date was set"
	}
	return t.Format("2 January 2006")
}

// clocks are two times of one thing, one under the other; date and zone come once where they are the same.
func (p *sheets) clocks(phone, received time.Time) Text {
	const whole = "2 Jan 2006 15:04:05 MST"
	switch {
	case phone.IsZero():
		return Join(Quiet("phone "), Plain("not known"), Quiet("\nreceived "), Plain(p.when(received, whole)))
	case p.day(phone) == p.day(received) && p.when(phone, "MST") == p.when(received, "MST"):
		return Join(Quiet("phone "), Plain(p.when(phone, "2 Jan 2006 15:04:05")), Quiet("\nreceived "), Plain(p.when(received, "15:04:05 MST")))
	}
	return Join(Quiet("phone "), Plain(p.when(phone, whole)), Quiet("\nreceived "), Plain(p.when(received, whole)))
}

// times are the clocks of an entry, below what they say against it.
func (p *sheets) times(e *portfolio.Entry) Text {
	return Join(early(e.Order, e.HoldOf), p.clocks(e.CapturedAt, e.ReceivedAt))
}

// value is a number as typed with its unit: the typed one, or the one that the form prints. Text that has a unit in it
// already stands as it is.
func value(text, unit, printed string) string {
	text = strings.TrimSpace(text)
	if text == "" {
		return "–"
	}
	if unit == "" && strings.IndexFunc(text, func(r rune) bool { return unicode.IsLetter(r) || strings.ContainsRune("%°‰", r) }) < 0 {
		unit = printed
	}
	if unit == "" || strings.HasSuffix(text, unit) {
		return text
	}
	return text + "\u2009" + unit
}

// reference is a worked value to five figures, which a column of them can be compared by.
func reference(x float64, unit string) string {
	s := quantity.RoundFigures(x, 5)
	if unit == "" {
		return s
	}
	return s + "\u2009" + unit
}

// verdict is the marker's word on a line.
func verdict(v marking.Verdict) Text {
	switch {
	case v.Full():
		return Text{{Text: v.Words(), Bold: true, Tone: Good}}
	case v == marking.Wrong || v == marking.OutsideLimit:
		return Text{{Text: v.Words(), Bold: true, Tone: Wrong}}
	}
	return Strong(v.Words())
}

// by says who did something, in what role and when.
func (p *sheets) by(a *portfolio.Act) string {
	s := orDash(a.ByName)
	if a.Role != "" {
		s += ", " + a.RoleWords()
	}
	return s + ", " + p.minute(a.At)
}

// list sets refs one after the other, each leading to its place.
func list(refs []portfolio.Ref, between string) Text {
	var t Text
	for i, r := range refs {
		if i > 0 {
			t = Join(t, Plain(between))
		}
		t = Join(t, leads(r))
	}
	return t
}

// leads is a ref's title, leading to its place where it has one.
func leads(r portfolio.Ref) Text {
	if r.Anchor == "" {
		return Plain(r.Title)
	}
	return To(r.Anchor, r.Title)
}

// outcome is a decision's word and tone.
func outcome(o string) (string, Tone) {
	if decision.Outcome(o) == decision.Met {
		return "met", Good
	}
	return decision.Outcome(o).Words(), Wrong
}

// size is a file's size as people read it.
func size(n int64) string {
	switch {
	case n < 1000:
		return fmt.Sprintf("%d\u2009bytes", n)
	case n < 1_000_000:
		return fmt.Sprintf("%.1f\u2009kB", float64(n)/1000)
	}
	return fmt.Sprintf("%.1f\u2009MB", float64(n)/1_000_000)
}

// dateOf is a date kept as year, month and day, in words; anything else stands as it is.
func dateOf(s string) string {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return s
	}
	return date(t)
}
