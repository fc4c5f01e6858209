package pdf

import (
	"fmt"

	"witnessmark/internal/portfolio"
)

// uses is the index read the other way round: from each item to the criteria that it serves.
func (p *sheets) uses() []Block {
	bs := []Block{
		Heading{Level: 1, Title: "Index of evidence", OnNew: true, Anchor: "uses"},
		Para{Text: Plain("What was handed in, and what it serves. A decision rests on what it names; other evidence bears on the criteria that its brief gives it.")},
	}
	t := Table{Caption: "Which criteria each item serves", Columns: []Column{
		{Title: "Item", Share: 1.6}, {Title: "Files", Fixed: 58}, {Title: "Decisions rest on it", Share: 1}, {Title: "Bears on", Share: 1}, {Title: "Page", Fixed: 34, Align: Right},
	}}
	task, attempt := 0, 0
	for i := range p.d.Uses {
		u := &p.d.Uses[i]
		if u.Task != task || u.Attempt != attempt {
			task, attempt = u.Task, u.Attempt
			t.Rows = append(t.Rows, Row{Group: true, Cells: []Cell{{Text: Plain(fmt.Sprintf("Task %d, attempt %d", task, attempt))}}})
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: leads(u.Item)}, {Text: p.numbers(u.Files)}, {Text: orQuiet(u.Rests)}, {Text: orQuiet(u.Bears)}, {Text: PageOf(u.Item.Anchor)}}})
	}
	if len(t.Rows) == 0 {
		return append(bs, Para{Text: Plain("Nothing has been handed in.")})
	}
	return append(bs, t)
}

// numbers are files by their numbers, each leading to its place.
func (p *sheets) numbers(files []int) Text {
	var refs []portfolio.Ref
	for _, n := range files {
		refs = append(refs, portfolio.Ref{Title: fmt.Sprint(n), Anchor: p.d.Files[n-1].Anchor})
	}
	return orQuiet(refs)
}

func orQuiet(refs []portfolio.Ref) Text {
	if len(refs) == 0 {
		return Quiet("–")
	}
	return list(refs, ", ")
}
