package pdf

import (
	"fmt"

	"witnessmark/internal/portfolio"
)

// shortfalls is what the file cannot show, so that nobody has to find out.
func (p *sheets) shortfalls() []Block {
	bs := []Block{
		Heading{Level: 1, Title: "Appendix: what this file could not show", OnNew: true, Anchor: "shortfalls"},
		Heading{Level: 2, Title: "Signs and scripts"}, Shortfall{},
		Heading{Level: 2, Title: "Files"},
	}
	t := Table{Caption: "Files that do not stand here as they were received", Columns: []Column{
		{Title: "No.", Fixed: 30, Align: Right}, {Title: "File", Share: 1}, {Title: "How it stands here", Share: 1.3}, {Title: "Page", Fixed: 34, Align: Right},
	}}
	chosen := 0
	for i := range p.d.Files {
		f := &p.d.Files[i]
		if f.Show == portfolio.Original {
			continue
		}
		if asChosen(f) {
			chosen++
			continue
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: To(f.Anchor, fmt.Sprint(f.Number))}, {Text: Join(Plain(orDash(f.Name)), Quiet("\n"+kind(f.MediaType)+", "+size(f.Size)))},
			{Text: Plain(stands(f))}, {Text: PageOf(f.Anchor)}}})
	}
	if chosen > 0 {
		bs = append(bs, Para{Text: Plain("Shown small, or without what the camera wrote beside the picture, as the centre chose for its portfolios: " +
			counted(chosen, "photo") + ". It is said under each, with the digest of what was received.")})
	}
	switch {
	case len(t.Rows) > 0:
		return append(bs, t)
	case chosen > 0:
		return append(bs, Para{Text: Plain("No other file stands here otherwise than it was received.")})
	}
	return append(bs, Para{Text: Plain("Every file stands here as it was received.")})
}

// asChosen says that a photo could stand here whole, and stands otherwise because the centre chose so.
func asChosen(f *portfolio.File) bool {
	return f.MediaType == "image/jpeg" && f.Show != portfolio.Listed && f.Covers == 0 && !f.Uncarried && f.Withdrawn == nil
}

// unlooked says that a picture stays in the centre until somebody has looked at it for what has to be covered.
func unlooked(f *portfolio.File) bool { return f.Private && !f.LookedOver && f.Picture() }

// stands says how a file stands in the document that is not shown as it is.
func stands(f *portfolio.File) string {
	switch {
	case f.Withdrawn != nil:
		return "By name and digest: the original was withdrawn."
	case unlooked(f):
		return "By name and digest: it was taken on a private site, and nobody has said yet what is to be covered, so it stays in the centre."
	case f.Show == portfolio.Covered:
		return copied(f)
	case f.Show == portfolio.Preview:
		return previewed(f)
	case f.Picture():
		return "By name and digest: a picture of this kind cannot be shown on paper as it is."
	}
	return "By name and digest: it is no picture."
}
