package pdfcheck

import (
	"fmt"

	"witnessmark/internal/pdfread"
)

// checkPage looks at one page: its dictionary, what is drawn, its annotations.
func (c *checker) checkPage(p *pdfread.Page) {
	where := fmt.Sprintf("page %d", p.Number)
	if p.Dict["PresSteps"] != nil {
		c.say("requirement", where, "the page has steps of a presentation")
	}
	for _, key := range []pdfread.Name{"MediaBox", "CropBox", "BleedBox", "TrimBox", "ArtBox"} {
		box := c.numbers(p.Dict[key])
		if key == "MediaBox" {
			box = p.MediaBox[:]
		}
		if len(box) != 4 {
			continue
		}
		for _, side := range []float64{box[2] - box[0], box[3] - box[1]} {
			if side = max(side, -side); side < 3 || side > 14400 {
				c.say("limit", where, "its /%s is %g points on a side", key, side)
			}
		}
	}
	if g := c.f.Dict(p.Dict["Group"]); c.f.Name(g["S"]) == "Transparency" {
		c.say("opaque", where, "the page is a transparency group")
	}
	c.checkContent(where, p)
	c.checkAnnotations(where, p)
}

// numbers is an array of numbers; nil when v is none.
func (c *checker) numbers(v pdfread.Value) []float64 {
	var out []float64
	for _, item := range c.f.Array(v) {
		n, ok := pdfread.Number(c.f.Resolve(item))
		if !ok {
			return nil
		}
		out = append(out, n)
	}
	return out
}

// content is what a page draws.
func (c *checker) content(where string, p *pdfread.Page) ([]byte, bool) {
	parts := c.f.Array(p.Dict["Contents"])
	if parts == nil {
		parts = pdfread.Array{p.Dict["Contents"]}
	}
	raw := int64(0)
	for _, part := range parts {
		if s := c.f.Stream(part); s != nil {
			raw += s.Length
		}
	}
	if !c.spend(where, raw) {
		return nil, false
	}
	content, err := c.f.Content(*p)
	if err != nil {
		c.say("reads", where, "%v", err)
		return nil, false
	}
	return content, c.spend(where, int64(len(content)))
}

// checkContent reads what a page draws and holds it against what the structure
// tree says is there.
func (c *checker) checkContent(where string, p *pdfread.Page) {
	if p.Dict["Resources"] == nil {
		c.say("resource", where, "the page has no resources of its own")
	}
	content, ok := c.content(where, p)
	if !ok {
		return
	}
	s := &scan{c: c, where: where, resources: p.Resources, marks: map[int]int{}}
	s.read(content)
	c.checkMarks(where, p, s.marks)
}
