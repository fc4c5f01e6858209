package writer

import (
	"fmt"
	"slices"
	"strings"
)

// Element is one element of the structure tree, which says what the content of
// the pages is and in what order it is read (ISO 32000-1, 14.7 and 14.8). It is
// written when it is closed, and all that is kept of it then is its number. An
// element that got no content leaves no trace, cells of tables apart. All
// methods do nothing on a nil element, so that a layout can be run without a
// file.
type Element struct {
	file   *File
	parent *Element
	slot   int // among the parent's kids
	tag    Tag
	about  Attributes
	ref    Ref // 0 until it has something to hold
	kids   []kid
	closed bool
}

// kid is what an element holds: another element (open, or written and known by
// its number), a piece of a page's content, or an annotation.
type kid struct {
	open *Element
	ref  Ref // of an element written or an annotation
	page Ref // of content or an annotation
	mcid int
	what kidKind
}

type kidKind uint8

const (
	noKid kidKind = iota
	elementKid
	contentKid
	objectKid
)

// Tag is a standard structure type (ISO 32000-1, 14.8.4).
type Tag string

// The standard types in use.
const (
	DocumentTag Tag = "Document"
	SectTag     Tag = "Sect"
	DivTag      Tag = "Div"
	ParaTag     Tag = "P"
	ListTag     Tag = "L"
	ItemTag     Tag = "LI"
	LabelTag    Tag = "Lbl"
	BodyTag     Tag = "LBody"
	TableTag    Tag = "Table"
	HeadTag     Tag = "THead"
	RowsTag     Tag = "TBody"
	RowTag      Tag = "TR"
	HeaderTag   Tag = "TH"
	CellTag     Tag = "TD"
	FigureTag   Tag = "Figure"
	FormulaTag  Tag = "Formula"
	CaptionTag  Tag = "Caption"
	ContentsTag Tag = "TOC"
	EntryTag    Tag = "TOCI"
	LeadTag     Tag = "Reference"
	LinkTag     Tag = "Link"
	FormTag     Tag = "Form"
)

// HeadingTag is the heading of a level from 1 to 6.
func HeadingTag(level int) Tag { return Tag(fmt.Sprintf("H%d", min(max(level, 1), 6))) }

// Attributes are what an element says of itself beyond its type; empty fields
// are left out.
type Attributes struct {
	Alt   string     // words in place of what cannot be read aloud
	Scope string     // of a TH: Row, Column or Both
	Span  int        // columns that a cell covers, where more than one
	Box   [4]float64 // of a Figure: left, bottom, right, top on its page
}

// Root is the element of the whole document.
func (f *File) Root() *Element { return f.root }

// Add puts an element at the end of what e holds so far. It may be filled and
// closed later, also after its siblings.
func (e *Element) Add(tag Tag, about Attributes) *Element {
	if e == nil {
		return nil
	}
	child := &Element{file: e.file, parent: e, slot: len(e.kids), tag: tag, about: about}
	e.kids = append(e.kids, kid{open: child})
	return child
}

// number is the element's object number, given out when it is first needed.
func (e *Element) number() Ref {
	if e.ref == 0 {
		e.ref = e.file.reserve()
	}
	return e.ref
}

// object adds an annotation on a page to what e holds.
func (e *Element) object(annotation, page Ref) {
	e.number()
	e.kids = append(e.kids, kid{what: objectKid, ref: annotation, page: page})
}

// Close writes the element with all that it holds; elements in it that are
// still open are closed first.
func (e *Element) Close() {
	if e == nil || e.closed {
		return
	}
	e.closed = true
	for i := range e.kids {
		if open := e.kids[i].open; open != nil {
			open.Close()
		}
	}
	e.kids = slices.DeleteFunc(e.kids, func(k kid) bool { return k.what == noKid })
	if len(e.kids) > 0 || e.tag == CellTag || e.tag == HeaderTag || e.parent == nil {
		e.write()
	}
	if p := e.parent; p != nil {
		k := kid{}
		if e.ref != 0 {
			k = kid{what: elementKid, ref: e.ref}
		}
		p.kids[e.slot] = k
	}
	e.kids = nil
}

func (e *Element) write() {
	f := e.file
	above := f.treeRoot
	if e.parent != nil {
		above = e.parent.number()
	}
	f.begin(e.number())
	f.printf("<< /Type /StructElem /S /%s /P %d 0 R", e.tag, above)
	f.printf("%s%s >>\nendobj\n", e.about.dictionary(e.tag), e.holds())
}

// holds writes the entry K. Content on the page that most of it stands on is a
// bare number, with the page named once.
func (e *Element) holds() string {
	if len(e.kids) == 0 {
		return ""
	}
	var page Ref
	for _, k := range e.kids {
		if k.what == contentKid {
			page = k.page
			break
		}
	}
	var b strings.Builder
	if page != 0 {
		fmt.Fprintf(&b, " /Pg %d 0 R", page)
	}
	b.WriteString(" /K [")
	for i, k := range e.kids {
		if i > 0 {
			b.WriteByte(' ')
		}
		switch {
		case k.what == elementKid:
			fmt.Fprintf(&b, "%d 0 R", k.ref)
		case k.what == objectKid:
			fmt.Fprintf(&b, "<< /Type /OBJR /Obj %d 0 R /Pg %d 0 R >>", k.ref, k.page)
		case k.page == page:
			fmt.Fprint(&b, k.mcid)
		default:
			fmt.Fprintf(&b, "<< /Type /MCR /Pg %d 0 R /MCID %d >>", k.page, k.mcid)
		}
	}
	b.WriteByte(']')
	return b.String()
}

func (a Attributes) dictionary(tag Tag) string {
	out := ""
	if a.Alt != "" {
		out += " /Alt " + textString(a.Alt)
	}
	switch {
	case tag == ListTag:
		out += " /A << /O /List /ListNumbering /Disc >>"
	case a.Scope != "" || a.Span > 1:
		out += " /A << /O /Table"
		if a.Scope != "" {
			out += " /Scope /" + a.Scope
		}
		if a.Span > 1 {
			out += fmt.Sprintf(" /ColSpan %d", a.Span)
		}
		out += " >>"
	case a.Box != [4]float64{}:
		out += " /A << /O /Layout /Placement /Block /BBox [" + nums(a.Box[:]...) + "] >>"
	}
	return out
}

// parentOf gives out the key under which a page or an annotation finds what it
// belongs to in the structure tree.
func (f *File) parentOf(holder Ref) int {
	f.parents = append(f.parents, holder)
	return len(f.parents) - 1
}

// writeTree writes the root of the structure tree with the table that leads
// from pages and annotations to elements (ISO 32000-1, 14.7.4.4).
func (f *File) writeTree() {
	f.root.Close()
	const most = 128 // keys in a leaf
	var leaves []string
	for from := 0; from < len(f.parents); from += most {
		to := min(from+most, len(f.parents))
		var b strings.Builder
		for key := from; key < to; key++ {
			fmt.Fprintf(&b, " %d %d 0 R", key, f.parents[key])
		}
		leaf := f.add(fmt.Sprintf("<< /Limits [%d %d] /Nums [%s ] >>", from, to-1, b.String()))
		leaves = append(leaves, fmt.Sprintf("%d 0 R", leaf))
	}
	numbers := "<< /Nums [] >>"
	if len(leaves) > 0 {
		numbers = "<< /Kids [" + strings.Join(leaves, " ") + "] >>"
	}
	f.object(f.treeRoot, fmt.Sprintf("<< /Type /StructTreeRoot /K [%d 0 R] /ParentTree %s /ParentTreeNextKey %d >>",
		f.root.number(), numbers, len(f.parents)))
}
