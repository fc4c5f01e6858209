package pdf

import (
	"fmt"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/portfolio"
)

// reading is a reading as found and as left, in the order taken: superseded ones too, and the tutor's own beside it.
func (p *sheets) reading(it *portfolio.ItemSheet) []Block {
	r := it.Item.Reading
	t := Table{Columns: []Column{
		{Title: "When", Fixed: 70}, {Title: "Reading", Fixed: 82, Align: Decimal}, {Title: "Limit", Fixed: 82}, {Title: "Finding", Share: 1}, {Title: "Phone and received", Fixed: 140},
	}}
	for i := range it.Lines {
		l := &it.Lines[i]
		for j := range l.Earlier {
			t.Rows = append(t.Rows, p.supersededReading(l, &l.Earlier[j], j))
		}
		if l.Current != nil {
			t.Rows = append(t.Rows, p.currentReading(it, i))
		}
		last := i+1 == len(it.Lines) || it.Lines[i+1].Phase != l.Phase
		for j := range it.Checks {
			if c := &it.Checks[j]; last && c.Subject == subject(it, l.Phase) {
				t.Rows = append(t.Rows, p.check(l, c))
			}
		}
	}
	bs := []Block{leading(Para{Text: readingAsked(r)})}
	if len(t.Rows) > 0 {
		bs = append(bs, t)
	}
	return append(bs, sentences(it)...)
}

// subject is what a record about an item in a phase is about.
func subject(it *portfolio.ItemSheet, phase brief.Phase) string {
	if phase == brief.NoPhase {
		return it.Item.Key
	}
	return it.Item.Key + "@" + string(phase)
}

func readingAsked(r *brief.Reading) Text {
	facts := []string{r.Is}
	if r.Instrument != "" {
		s := r.Instrument
		if r.Accuracy != "" {
			s += ", good to " + r.Accuracy
		}
		facts = append(facts, s)
	}
	if b := r.Believable; b != nil {
		facts = append(facts, fmt.Sprintf("a value from %s to %s is to be expected", b.From, b.To))
	}
	if r.CheckWithin != "" {
		facts = append(facts, "the tutor's check reading within "+r.CheckWithin)
	}
	return Join(Quiet("Asked: "), Plain(strings.Join(facts, "; ")+"."), limitFrom(r.Limit))
}

// limitFrom says where a limit comes from, where the brief says so.
func limitFrom(l *brief.Limit) Text {
	if l == nil || l.Source == "" {
		return Text{}
	}
	return Quiet(" Limit: " + strings.TrimSuffix(l.Source, ".") + ".")
}

func (p *sheets) supersededReading(l *portfolio.Line, e *portfolio.Entry, n int) Row {
	what := Quiet(fmt.Sprintf("entry %d, superseded", n+1))
	reading := Quiet(value(e.Text, e.Unit, l.Unit))
	if e.Text == "" {
		reading, what = Quiet("–"), Quiet(fmt.Sprintf("entry %d, cleared", n+1))
	}
	return Row{Cells: []Cell{{Text: Quiet(phaseLabel(l))}, {Text: reading}, {}, {Text: Join(what, readWith(e), note(e))}, {Text: p.times(e)}}}
}

// currentReading is the row of line i as it stands. The finding is about a phase as a whole and stands in the row of its
// last repeat.
func (p *sheets) currentReading(it *portfolio.ItemSheet, i int) Row {
	l := &it.Lines[i]
	e := l.Current
	what, limit := Quiet("one of the repeats"), ""
	if i+1 == len(it.Lines) || it.Lines[i+1].Phase != l.Phase {
		f := finding(it, "", l.Phase)
		what = found(f)
		if f != nil {
			limit = f.Limit
		}
	}
	return Row{Cells: []Cell{{Text: Plain(phaseLabel(l))}, {Text: Strong(value(e.Text, e.Unit, l.Unit))}, {Text: Plain(limit)},
		{Text: Join(what, readWith(e), note(e))}, {Text: p.times(e)}}}
}

func phaseLabel(l *portfolio.Line) string {
	if l.Label == "" {
		return "taken once"
	}
	return l.Label
}

// check is the tutor's own reading, or their word that they saw the instrument.
func (p *sheets) check(l *portfolio.Line, c *portfolio.Act) Row {
	what, shows := "tutor's check reading", Plain(value(c.Value, "", l.Unit))
	if c.Value == "" {
		what, shows = "seen on the instrument by the tutor", Plain("–")
	}
	if c.Superseded {
		what += ", superseded"
	}
	if c.Words != "" {
		what += ". " + c.Words
	}
	return Row{Cells: []Cell{{Text: Quiet("check")}, {Text: shows}, {}, {Text: Plain(what)}, {Text: Plain(p.by(c))}}}
}

// sentences are the marker's, one for each finding that has more to say than its word, such as a mean.
func sentences(it *portfolio.ItemSheet) []Block {
	var fs []Fact
	for i := range it.Findings {
		f := &it.Findings[i]
		label := "The marker"
		if f.Phase != brief.NoPhase && len(it.Findings) > 1 {
			label += ", " + f.Phase.Words()
		}
		if f.Verdict.Full() && len(f.Flags) == 0 && it.Item.Reading.Repeats < 2 {
			continue
		}
		fs = append(fs, said(f, label)...)
	}
	if len(fs) == 0 {
		return nil
	}
	return []Block{Facts{Rows: fs}}
}
