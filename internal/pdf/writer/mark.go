package writer

import "fmt"

// Artifact is what stands on a page without being part of what it says (ISO
// 32000-1, 14.8.2.2).
type Artifact string

// The kinds.
const (
	Layout   Artifact = "/Type /Layout"                      // rules, tints, frames
	PageHead Artifact = "/Type /Pagination /Subtype /Header" // running head, titles of columns come again
	PageFoot Artifact = "/Type /Pagination /Subtype /Footer" // running foot
)

// In makes what is drawn next content of an element; nil counts as Layout.
// Content of one element that is drawn in one go is one piece.
func (p *Page) In(e *Element) {
	if e == nil {
		p.Beside(Layout)
		return
	}
	if p.marked == e {
		return
	}
	p.unmark()
	p.marked, p.isMarked = e, true
	p.op("/%s << /MCID %d >> BDC", e.tag, len(p.holders))
	e.kids = append(e.kids, kid{what: contentKid, page: p.ref, mcid: len(p.holders)})
	p.holders = append(p.holders, e.number())
}

// Beside makes what is drawn next an artifact. So is all that is drawn before
// In or Beside is called.
func (p *Page) Beside(a Artifact) {
	if p.isMarked && p.marked == nil && p.artifact == a {
		return
	}
	p.unmark()
	p.isMarked, p.artifact = true, a
	p.op("/Artifact << %s >> BDC", a)
}

func (p *Page) unmark() {
	if p.isMarked {
		p.op("EMC")
	}
	p.marked, p.isMarked = nil, false
}

// begin makes sure that what is drawn is marked as one thing or the other.
func (p *Page) begin() {
	if !p.isMarked {
		p.Beside(Layout)
	}
}

// writeHolders writes the list from the page's pieces of content to their
// elements, and gives it as the page's entry of the structure tree.
func (p *Page) writeHolders() string {
	f := p.file
	list := make([]byte, 0, 8*len(p.holders)+2)
	for _, h := range p.holders {
		list = fmt.Appendf(list, " %d 0 R", h)
	}
	return fmt.Sprintf(" /StructParents %d", f.parentOf(f.add("["+string(list)+" ]")))
}
