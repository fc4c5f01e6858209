package ui

import (
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/quantity"
)

// markOf is the shape and colour of a verdict: good, bad or look (at it); the words stand beside.
func markOf(v marking.Verdict) string {
	switch {
	case v == marking.ToRead || v == marking.UnitMissing:
		return "look"
	case v.Full():
		return "good"
	}
	return "bad"
}

// Verdict is the verdict that holds for the line: the tutor's where they put one in place of the marker's.
func (l LineView) Verdict() marking.Verdict {
	if l.Override != nil {
		return marking.Verdict(l.Override.Outcome)
	}
	if l.Finding != nil {
		return l.Finding.Verdict
	}
	return ""
}

// Mark is how the verdict looks.
func (l LineView) Mark() string { return markOf(l.Verdict()) }

// Written is the working as it was read, line by line; none where nothing of it can be set as mathematics.
func (l LineView) Written() []marking.WrittenLine {
	if l.Entry == nil || l.Entry.Working == "" || l.Of.Figure == nil || !l.On.Findings && !l.On.Tutor {
		return nil
	}
	lines := marking.ReadAs(l.Of.Item, "", "", l.Entry.Working).Working
	if !slices.ContainsFunc(lines, func(w marking.WrittenLine) bool { return w.Line != nil }) {
		return nil
	}
	return lines
}

// Aligned is one value beside another, split at the decimal point so that points stand under one another.
type Aligned struct {
	Label       string
	Whole, Rest string // Rest starts with the point
	Unit        string
	Strong      bool
}

// Said is the marker's sentence to whoever reads the page; "" where the verdict and what was expected say it all: in a
// cell of a grid, where row and column say the rest.
func (l LineView) Said() string {
	f := l.Finding
	if f == nil || l.Of.Test != nil && f.Verdict != marking.ToRead && len(f.Flags) == 0 {
		return ""
	}
	if l.On.Tutor {
		return f.Tutor
	}
	return f.Trainee
}

// Says reports whether the sentence holds all of these words, so that they need not stand beside it again.
func (l LineView) Says(words ...string) bool {
	said := strings.ToLower(l.Said())
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(said, strings.ToLower(w)) })
}

// StatedUnit is the unit that belongs beside the answer: the one that was stated, else the one that the form prints. A
// trainee who has to state it and did not has none, nor has a text that ends in its own.
func (l LineView) StatedUnit() string {
	switch {
	case l.Entry == nil:
		return ""
	case l.Entry.Unit != "":
		return l.Entry.Unit
	case l.AskUnit() || ownUnit(l.Entry.Text):
		return ""
	}
	return l.Unit
}

// ownUnit reports whether a number was typed with its unit, or is no number: OL is a reading by itself.
func ownUnit(text string) bool {
	last, _ := utf8.DecodeLastRuneInString(strings.TrimSpace(text))
	return !unicode.IsDigit(last) && last != '.'
}

// Compared lists the stated value and the references, one under another.
func (l LineView) Compared() []Aligned {
	f := l.Finding
	if f == nil || f.FromGiven == nil && f.FromOwn == nil {
		return nil
	}
	decimals := -1
	if n, err := quantity.ParseNumber(l.number()); err == nil {
		decimals = n.Decimals()
	}
	unit := ""
	if !l.AskUnit() && !ownUnit(f.Stated) {
		unit = f.Unit // the form prints it
	}
	rows := []Aligned{aligned("you wrote", f.Stated, unit, true)}
	if l.On.Tutor {
		rows[0].Label = "stated"
	}
	if f.Converted != nil && f.Read != nil && *f.Converted != *f.Read {
		rows = append(rows, aligned("that is", shown(*f.Converted, decimals), f.Unit, false))
	}
	if f.FromGiven != nil {
		rows = append(rows, aligned("from the given and measured values", shown(*f.FromGiven, decimals), f.Unit, false))
	}
	if f.FromOwn != nil && (f.FromGiven == nil || *f.FromOwn != *f.FromGiven) {
		label := "from your own earlier figures"
		if l.On.Tutor {
			label = "from their own earlier figures"
		}
		rows = append(rows, aligned(label, shown(*f.FromOwn, decimals), f.Unit, false))
	}
	return rows
}

// number is the bare number that was typed, where it stands alone.
func (l LineView) number() string {
	if l.Entry == nil {
		return ""
	}
	number, _, _ := strings.Cut(strings.TrimSpace(l.Entry.Text), " ")
	return number
}

// shown writes a reference with one digit more than was stated and to three figures at least, or to four figures where
// nothing could be read.
func shown(x float64, decimals int) string {
	if decimals < 0 || decimals > 6 {
		return quantity.RoundFigures(x, 4)
	}
	decimals++
	if x != 0 {
		decimals = max(decimals, 2-int(math.Floor(math.Log10(math.Abs(x)))))
	}
	return quantity.RoundDecimals(x, min(decimals, 9))
}

// aligned splits a value, and its unit from it where none is given and a space of any kind stands between.
func aligned(label, text, unit string, strong bool) Aligned {
	a, number := Aligned{Label: label, Unit: unit, Strong: strong}, text
	if at := strings.IndexFunc(text, unicode.IsSpace); at > 0 && unit == "" {
		number, a.Unit = text[:at], strings.TrimSpace(text[at:])
	}
	a.Whole = number
	if i := strings.IndexByte(number, '.'); i >= 0 {
		a.Whole, a.Rest = number[:i], number[i:]
	}
	return a
}

// Difference says how far the stated value lies from its reference, in the unit and in percent of the tolerance where that
// is one quantity; "" where there is nothing to compare.
func (l LineView) Difference() string {
	f := l.Finding
	if f == nil || f.Converted == nil || f.FromGiven == nil || *f.Converted == *f.FromGiven {
		return ""
	}
	d := *f.Converted - *f.FromGiven
	sign := "+"
	if d < 0 {
		sign = "−"
	}
	s := "difference " + sign + quantity.RoundFigures(math.Abs(d), 2)
	if f.Unit != "" {
		s += thin + f.Unit
	}
	if t := l.allowed(*f.FromGiven); t > 0 {
		if times := math.Abs(d) / t; times < 10 {
			s += ", " + quantity.RoundDecimals(100*times, 0) + thin + "% of the tolerance"
		} else {
			s += ", many times the tolerance"
		}
	}
	return s
}

// allowed is the tolerance in the unit of the line, 0 where it is not one quantity.
func (l LineView) allowed(ref float64) float64 {
	if l.Of.Figure == nil || l.Of.Figure.Tolerance == nil {
		return 0
	}
	t, most := l.Of.Figure.Tolerance, 0.0
	unit, err := quantity.ParseUnit(l.Of.Figure.Unit)
	if err != nil {
		return 0
	}
	if q, err := quantity.ParseQuantity(t.Absolute); t.Absolute != "" && err == nil {
		if x, err := q.In(unit.Difference()); err == nil {
			most = x
		}
	}
	if q, err := quantity.ParseQuantity(t.Relative); t.Relative != "" && err == nil {
		most = math.Max(most, q.SI()*math.Abs(ref))
	}
	return most
}

// NeedsCheck says whether a tutor's check reading belongs beside the line, and is asked for now.
func (l LineView) NeedsCheck() bool {
	r := l.Of.Reading
	if r == nil || !r.Safety || !l.On.Judge || l.Part != "" && l.Part != "1" {
		return false
	}
	switch l.On.State {
	case decision.Open, decision.HandedOver, decision.Checked, decision.Decided:
		return l.Phase == l.last()
	}
	return false
}

// last is the phase that judges a reading.
func (l LineView) last() brief.Phase {
	if ps := l.Of.Reading.Phases; len(ps) > 0 {
		return ps[len(ps)-1]
	}
	return brief.NoPhase
}

// CheckForm names the form for the line's check reading, and OverrideForm the one for overriding its finding.
func (l LineView) CheckForm() string { return "check-" + l.Name() }

// OverrideForm names the form that overrides the line's finding.
func (l LineView) OverrideForm() string { return "override-" + l.Name() }

// LimitWords is the limit that judges the line, "at least 60 °C, at most 80 °C"; "" where none does.
func (l LineView) LimitWords() string {
	if l.Of.Reading != nil && l.Phase != l.last() {
		return ""
	}
	return l.Of.LimitWords()
}
