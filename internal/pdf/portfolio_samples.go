package pdf

import (
	"fmt"
	"strings"
)

// samples is what those found who looked at the decisions afterwards.
func (p *sheets) samples() []Block {
	bs := []Block{Heading{Level: 1, Title: "Sampling record", OnNew: true, Anchor: "samples"}}
	if len(p.d.Samples) == 0 {
		return append(bs, Para{Text: Plain("None of these attempts has been drawn in a sample.")})
	}
	t := Table{Caption: "Attempts that were drawn, and what was found", Columns: []Column{
		{Title: "Attempt", Fixed: 62}, {Title: "Drawn", Share: 1}, {Title: "Looked at by", Share: 0.8}, {Title: "Found", Share: 1.2},
	}}
	for i := range p.d.Samples {
		s := &p.d.Samples[i]
		drawn := Join(Plain(orDash(s.Plan)), Quiet(fmt.Sprintf("\nby %s, %s", orDash(s.DrawnBy), p.minute(s.DrawnAt))))
		if len(s.Why) > 0 {
			drawn = Join(drawn, Quiet("\nbecause "+strings.Join(s.Why, "; ")))
		}
		row := []Cell{{Text: leads(s.Where)}, {Text: drawn}}
		if !s.Looked() {
			t.Rows = append(t.Rows, Row{Cells: append(row, Cell{Text: Quiet("Nobody has looked at it yet."), Span: 2})})
			continue
		}
		who := Join(Plain(orDash(s.Sampler)), Quiet("\n"+strings.ReplaceAll(s.Role, "_", " ")+"\n"+p.minute(s.LookedAt)))
		found := Strong(s.Outcome.Words())
		if s.Words != "" {
			found = Join(found, Plain("\n“"+s.Words+"”"))
		}
		t.Rows = append(t.Rows, Row{Cells: append(row, Cell{Text: who}, Cell{Text: found})})
	}
	return append(bs, t)
}
