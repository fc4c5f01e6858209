package pdf

import (
	"strings"

	"witnessmark/internal/portfolio"
	"witnessmark/internal/quantity"
)

// figure is an asked figure: stated and worked values under one another, then the marker's sentence and the working as
// it was written.
func (p *sheets) figure(it *portfolio.ItemSheet) []Block {
	spec, l := it.Item.Figure, &it.Lines[0]
	bs := []Block{Para{Text: Join(Quiet("Asked: "), Plain(spec.Ask+unitAsked(spec.Unit)+"."), Quiet(" Formula: "), Fixed(spec.Formula))}}
	f := finding(it, "", "")
	if l.Current != nil || f != nil {
		bs = append(bs, p.figureTable(l, f))
	}
	if f != nil {
		if fs := said(f, "The marker"); len(fs) > 0 {
			bs = append(bs, Facts{Rows: fs})
		}
	}
	if e := l.Current; e != nil {
		if strings.TrimSpace(e.Working) != "" {
			bs = append(bs, writtenWorking(e.Working))
		}
		bs = append(bs, p.enteredAt(e))
	}
	return append(bs, p.superseded(it)...)
}

func unitAsked(unit string) string {
	if unit == "" {
		return ""
	}
	return ", in " + unit
}

func (p *sheets) figureTable(l *portfolio.Line, f *portfolio.Finding) Table {
	t := Table{noHead: true, Columns: []Column{{Fixed: 190}, {Fixed: 110, Align: Decimal}, {Share: 1}}}
	row := func(label string, cells ...Text) {
		r := Row{Cells: []Cell{{Text: Quiet(label)}}}
		for _, c := range cells {
			r.Cells = append(r.Cells, Cell{Text: c})
		}
		t.Rows = append(t.Rows, r)
	}
	stated := Quiet("nothing stated")
	if l.Current != nil {
		stated = Strong(value(l.Current.Text, l.Current.Unit, ""))
	}
	if f == nil {
		row("Stated", stated, found(nil))
		return t
	}
	row("Stated", stated, found(f))
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
	return t
}

// writtenWorking is working as it was written, line by line.
func writtenWorking(s string) Working {
	w := Working{Label: "Working, as written"}
	for _, line := range strings.Split(strings.ReplaceAll(strings.TrimRight(s, "\r\n "), "\r\n", "\n"), "\n") {
		w.Lines = append(w.Lines, Plain(line))
	}
	return w
}

// enteredAt is the times of an entry with its note, under what was entered.
func (p *sheets) enteredAt(e *portfolio.Entry) Para {
	phone := "on the phone " + p.second(e.CapturedAt)
	if e.CapturedAt.IsZero() {
		phone = "time on the phone not known"
	}
	t := Plain("Entered " + phone + " · received " + p.second(e.ReceivedAt))
	if e.By != "" && e.By != p.d.Trainee {
		t = Join(t, Plain(" · by "+e.By))
	}
	if strings.TrimSpace(e.Note) != "" {
		t = Join(t, Plain("\nNote: "+e.Note))
	}
	return Para{Text: t, Fine: true}
}
