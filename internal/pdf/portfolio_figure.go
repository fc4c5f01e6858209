package pdf

import (
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/marking"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/quantity"
)

// figure is an asked figure: stated and worked values under one another, then the marker's sentence and the working as
// it was written.
func (p *sheets) figure(it *portfolio.ItemSheet) []Block {
	spec, l := it.Item.Figure, &it.Lines[0]
	bs := []Block{leading(Para{Text: Join(Quiet("Asked: "), Plain(spec.Ask+unitAsked(spec.Unit)+"."), limitFrom(spec.Limit))})}
	if it.Explained == nil {
		bs = append(bs, inSymbols(it.Item.Key, spec.Formula))
	}
	if f := finding(it, "", brief.NoPhase); l.Current != nil || f != nil {
		bs = append(bs, p.figureTable(it, f))
	}
	if e := l.Current; e != nil && strings.TrimSpace(e.Working) != "" {
		bs = append(bs, writtenWorking(e.Working))
	}
	bs = append(bs, workedOut(it.Explained)...)
	return append(bs, p.superseded(it)...)
}

// inSymbols is a figure's formula, typeset; as it was written where it cannot be read.
func inSymbols(key, source string) Block {
	e, err := formula.Parse(source)
	if err != nil {
		return Para{Text: Join(Quiet("Formula: "), Fixed(source))}
	}
	return Steps{Lines: []Step{{Line: formula.Line{{Node: formula.Name(key)}, {Sign: "=", Node: e.Root()}}}}}
}

// workedOut is the reference of a figure or choice worked step by step.
func workedOut(e *marking.Explanation) []Block {
	if e == nil {
		return nil
	}
	s := Steps{Label: "The checked answer, worked from the given and measured values; shown rounded, worked with all digits", Lines: steps(e.Given)}
	if e.Formula != nil {
		s.Lines = append([]Step{{Line: e.Formula}}, s.Lines...)
	}
	if e.Own == nil {
		return []Block{s}
	}
	return []Block{s, Steps{Label: "The same from the trainee's own earlier figures", Lines: steps(*e.Own)}}
}

func steps(w marking.Worked) []Step {
	var ss []Step
	for _, v := range w.Values {
		ss = append(ss, Step{Line: v.Line, Note: strings.TrimSuffix(v.Is, ".") + ", " + v.From})
	}
	for i, l := range w.Lines {
		ss = append(ss, Step{Line: l, Apart: i == 0 && len(ss) > 0})
	}
	for _, o := range w.Options {
		ss = append(ss, option(o)...)
	}
	for _, note := range []string{w.So, w.Why} {
		if note != "" {
			ss = append(ss, Step{Note: note, Apart: note == w.So})
		}
	}
	return ss
}

// option is an option of a choice with its comparisons, each with whether it holds beside the values.
func option(o marking.WorkedOption) []Step {
	var ss []Step
	if o.Text != "" {
		ss = append(ss, Step{Note: strings.TrimSuffix(o.Text+", "+o.Words(), ", "), Apart: true})
	}
	for _, t := range o.Tests {
		if t.Join != "" {
			ss = append(ss, Step{Note: t.Join})
		}
		for _, l := range t.Lines {
			ss = append(ss, Step{Line: l})
		}
		ss = append(ss, Step{Line: t.Last, Note: t.Words()})
	}
	return ss
}

func unitAsked(unit string) string {
	if unit == "" {
		return ""
	}
	return ", in " + unit
}

// figureTable sets stated and worked values under one another, on their decimal points.
func (p *sheets) figureTable(it *portfolio.ItemSheet, f *portfolio.Finding) Table {
	t := Table{noHead: true, Columns: []Column{{Fixed: 222}, {Fixed: 104, Align: Decimal}, {Share: 1}}}
	e := it.Lines[0].Current
	row := func(label string, cells ...Text) {
		r := Row{Cells: []Cell{{Text: Quiet(label)}}}
		for _, c := range cells {
			r.Cells = append(r.Cells, Cell{Text: c})
		}
		t.Rows = append(t.Rows, r)
	}
	wide := func(fs []Fact) {
		for _, k := range fs {
			t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: Quiet(k.Label)}, {Text: k.Text, Span: 2}}})
		}
	}
	row("Stated", stated(it.Item.Figure, e), found(f))
	if f != nil {
		references(f, row)
		wide(said(f, "The marker"))
	}
	if e != nil {
		wide(p.entered(e))
	}
	return t
}

// stated is a figure as typed, with the unit that the form printed beside it.
func stated(spec *brief.Figure, e *portfolio.Entry) Text {
	switch {
	case e == nil || e.Text == "":
		return Quiet("nothing stated")
	case spec.AskUnit:
		return Strong(value(e.Text, e.Unit, ""))
	}
	return Strong(value(e.Text, e.Unit, spec.Unit))
}

// references are the worked values: from given and measured values and, where it differs, from the trainee's own figures.
func references(f *portfolio.Finding, row func(string, ...Text)) {
	if f.FromGiven != nil {
		row("Checked answer, from given and measured values", Plain(reference(*f.FromGiven, f.Unit)), Quiet(f.Tolerance))
	}
	if own := f.FromOwn; own != nil && (f.FromGiven == nil || quantity.Stored(*own) != quantity.Stored(*f.FromGiven)) {
		row("Checked answer, from the trainee's own figures", Plain(reference(*own, f.Unit)), Quiet(f.Tolerance))
	}
	if f.FromGiven == nil && f.FromOwn == nil {
		row("Checked answer", Quiet("cannot be worked out"), Quiet(f.Tolerance))
	}
	if f.Limit != "" {
		row("Limit on the true value", Plain(f.Limit))
	}
}

// writtenWorking is working as it was written, line by line.
func writtenWorking(s string) Working {
	w := Working{Label: "Working, as written"}
	for _, line := range strings.Split(strings.ReplaceAll(strings.TrimRight(s, "\r\n "), "\r\n", "\n"), "\n") {
		w.Lines = append(w.Lines, Plain(line))
	}
	return w
}

// entered is the times of an entry with its note, as rows of Facts.
func (p *sheets) entered(e *portfolio.Entry) []Fact {
	t := p.clocks(e.CapturedAt, e.ReceivedAt)
	for i := range t {
		t[i].Text = strings.ReplaceAll(t[i].Text, "\n", " · ")
	}
	t = Join(early(e.Order, e.HoldOf), t)
	if e.By != "" && e.By != p.d.Trainee {
		t = Join(t, Plain("\nby "+e.By))
	}
	fs := []Fact{{"Entered", t}}
	if strings.TrimSpace(e.Note) != "" {
		fs = append(fs, Fact{"Note", Plain(e.Note)})
	}
	return fs
}
