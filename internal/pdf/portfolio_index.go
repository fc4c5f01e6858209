package pdf

import (
	"fmt"

	"witnessmark/internal/portfolio"
)

// index is the table that leads from each criterion to what shows it and to the decision.
func (p *sheets) index() []Block {
	bs := []Block{
		Heading{Level: 1, Title: "Index of criteria", OnNew: true, Anchor: "index"},
		Para{Text: Join(Plain(p.unit()+". "), Quiet("Edition: "+orDash(p.d.Unit.Edition)+". The numbers behind the evidence are pages of this document. "+
			"A slanted stroke across the rule marks a decision that has been signed off."))},
	}
	t := Table{Caption: "Where each criterion is shown, and who decided", RuleAt: 3, Columns: []Column{
		{Title: "Criterion", Fixed: 46}, {Title: "What it asks", Share: 0.8}, {Title: "Evidence and its page", Share: 1.2},
		{Title: "Decision", Fixed: 74}, {Title: "By", Fixed: 64}, {Title: "Date", Fixed: 60},
	}}
	for _, o := range p.d.Index {
		t.Rows = append(t.Rows, Row{Group: true, Cells: []Cell{{Text: Plain(fmt.Sprintf("Learning outcome %s: %s", o.Code, o.Title))}}})
		for i := range o.Rows {
			t.Rows = append(t.Rows, p.indexRows(&o.Rows[i])...)
		}
	}
	if len(t.Rows) == 0 {
		return append(bs, Para{Text: Plain("The unit has no criteria yet.")})
	}
	return append(bs, t)
}

func (p *sheets) indexRows(r *portfolio.IndexRow) []Row {
	first := []Cell{{Text: Strong(r.Code)}, {Text: Plain(r.Text)}}
	if len(r.Parts) == 0 {
		return []Row{{Cells: append(first, Cell{Text: Plain("No evidence: no task that was set bears on it.")}, Cell{Text: Quiet("not decided"), Span: 3})}}
	}
	var rows []Row
	for i := range r.Parts {
		if i > 0 {
			first = []Cell{{Text: Quiet(r.Code)}, {Text: Quiet("the same, by another task")}}
		}
		rows = append(rows, p.indexRow(first, &r.Parts[i]))
	}
	return rows
}

func (p *sheets) indexRow(first []Cell, part *portfolio.IndexPart) Row {
	row := Row{Cells: append(first, Cell{Text: p.indexEvidence(part)})}
	d := part.Decision
	if d == nil {
		row.Cells = append(row.Cells, Cell{Text: Quiet("not decided yet"), Span: 3})
		return row
	}
	word, tone := outcome(d.Outcome)
	what := Text{{Text: word, Bold: true, Tone: tone, To: part.Anchor}}
	if part.Carried > 0 {
		what = Join(what, Quiet(fmt.Sprintf("\ncarried over to attempt %d", part.Carried)))
	}
	for _, e := range part.Earlier {
		what = Join(what, Quiet("\nbefore: "), To(e.Anchor, e.Title))
	}
	if !part.Signed {
		what = Join(what, Quiet("\nnot signed off"))
	}
	row.Witnessed = part.Signed && tone == Good
	by := Plain(orDash(d.ByName))
	if d.Role != "" {
		by = Join(by, Quiet("\n"+d.Role))
	}
	row.Cells = append(row.Cells, Cell{Text: what}, Cell{Text: by}, Cell{Text: Plain(p.day(d.At))})
	return row
}

// indexEvidence names each item with its page.
func (p *sheets) indexEvidence(part *portfolio.IndexPart) Text {
	if len(part.Evidence) == 0 {
		return Plain(fmt.Sprintf("No evidence yet: task %d bears on it, and nothing has been handed in.", part.Task))
	}
	t := Quiet(fmt.Sprintf("Task %d, attempt %d", part.Task, part.Attempt))
	for _, e := range part.Evidence {
		t = Join(t, Plain("\n"), leads(e))
		if e.Anchor != "" {
			t = Join(t, Quiet(",\u00a0p.\u00a0"), PageOf(e.Anchor))
		}
	}
	return t
}
