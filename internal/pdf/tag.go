package pdf

import "witnessmark/internal/pdf/writer"

// What is drawn belongs to f.at, the present element of the structure tree; nil
// while measuring and for what every page has. The methods here move it.

// openLink is the link that was drawn last, which may go on.
type openLink struct {
	element, in *writer.Element
	to, out     string
}

// within draws something as an element of its own inside the present one.
func (f *flow) within(tag writer.Tag, about writer.Attributes, draw func()) {
	e := f.open(tag, about)
	f.inside(e, draw)
	e.Close()
}

// open adds an element inside the present one, to be filled by inside and
// closed by its Close.
func (f *flow) open(tag writer.Tag, about writer.Attributes) *writer.Element {
	return f.at.Add(tag, about)
}

// inside draws something as content of an element.
func (f *flow) inside(e *writer.Element, draw func()) {
	was := f.at
	f.unlink()
	f.at = e
	draw()
	f.unlink()
	f.at = was
}

// para draws something as a paragraph.
func (f *flow) para(draw func()) { f.within(writer.ParaTag, writer.Attributes{}, draw) }

// outside draws something as an artifact: what comes again on each page.
func (f *flow) outside(a writer.Artifact, draw func()) {
	was := f.artifact
	f.artifact = a
	f.inside(nil, draw)
	f.artifact = was
}

func (f *flow) unlink() {
	f.link.element.Close()
	f.link = openLink{}
}

// mark makes what is drawn next content of the present element.
func (f *flow) mark() {
	f.unlink()
	if f.at == nil {
		f.page.Beside(f.artifact)
		return
	}
	f.page.In(f.at)
}

// ornament makes what is drawn next an artifact, except inside a formula, whose
// bars and roots are part of what it says.
func (f *flow) ornament() {
	switch {
	case f.formula != nil:
		f.page.In(f.formula)
	case f.at == nil:
		f.page.Beside(f.artifact)
	default:
		f.page.Beside(writer.Layout)
	}
}

// headingTag is the tag of a heading: no level is skipped on the way down,
// whatever the document's own levels are (ISO 14289-1, 7.4.2).
func (f *flow) headingTag(level int) writer.Tag {
	f.level = min(level, f.level+1)
	return writer.HeadingTag(f.level)
}

// section starts a section of the document; the one before it ends.
func (f *flow) section() {
	if f.file == nil {
		return
	}
	f.unlink()
	f.part.Close()
	f.part = f.file.Root().Add(writer.SectTag, writer.Attributes{})
	f.at = f.part
}
