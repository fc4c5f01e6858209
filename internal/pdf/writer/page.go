package writer

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
)

// RGB is a colour, each part from 0 to 1.
type RGB [3]float64

// Page is one page being drawn. Its origin is the lower left corner; all
// measures are in points. Everything on it is content of an element of the
// structure tree or an artifact, as In and Beside say. Nothing is written until
// Close, after which it must not be drawn on.
type Page struct {
	file       *File
	ref        Ref
	wide, high float64
	ops        bytes.Buffer
	fonts      map[string]Ref
	images     map[string]Ref
	notes      []Ref // annotations
	fill, line RGB
	weight     float64
	// What is drawn now belongs to, and the element of each piece so far.
	marked   *Element
	artifact Artifact
	isMarked bool
	holders  []Ref
}

// held is a page that only lacks the end of its dictionary.
type held struct {
	ref   Ref
	body  string
	notes []Ref
}

// Page starts a page of the given size in points.
func (f *File) Page(wide, high float64) *Page {
	return &Page{file: f, ref: f.reserve(), wide: wide, high: high, weight: 1,
		fonts: map[string]Ref{}, images: map[string]Ref{}}
}

// Close writes the page out, all but its dictionary, which waits until the next
// page so that something can still join the last one.
func (p *Page) Close() {
	f := p.file
	f.release()
	p.unmark()
	content := f.reserve()
	f.stream(content, "", p.ops.Bytes())
	body := fmt.Sprintf("<< /Type /Page /Parent %d 0 R /MediaBox [0 0 %s] /Resources << /Font <<%s >> /XObject <<%s >> >> /Contents %d 0 R /Tabs /S%s",
		f.tree, nums(p.wide, p.high), resources(p.fonts), resources(p.images), content, p.writeHolders())
	f.last = held{ref: p.ref, body: body, notes: p.notes}
	f.pages = append(f.pages, p.ref)
}

// release writes the page that waits, if one does.
func (f *File) release() {
	if f.last.ref == 0 {
		return
	}
	body := f.last.body
	if len(f.last.notes) > 0 {
		body += " /Annots ["
		for _, n := range f.last.notes {
			body += fmt.Sprintf(" %d 0 R", n)
		}
		body += " ]"
	}
	f.object(f.last.ref, body+" >>")
	f.last = held{}
}

func resources(refs map[string]Ref) string {
	out := ""
	for _, name := range slices.Sorted(maps.Keys(refs)) {
		out += fmt.Sprintf(" /%s %d 0 R", name, refs[name])
	}
	return out
}

func (p *Page) op(format string, args ...any) {
	fmt.Fprintf(&p.ops, format+"\n", args...)
}

func (p *Page) setFill(c RGB) {
	if p.fill != c {
		p.op("%s rg", nums(c[:]...))
		p.fill = c
	}
}

func (p *Page) setLine(c RGB, weight float64) {
	if p.line != c {
		p.op("%s RG", nums(c[:]...))
		p.line = c
	}
	if p.weight != weight {
		p.op("%s w", num(weight))
		p.weight = weight
	}
}

// Line strokes a straight line of the given weight.
func (p *Page) Line(x1, y1, x2, y2, weight float64, c RGB) {
	p.begin()
	p.setLine(c, weight)
	p.op("%s m %s l S", nums(x1, y1), nums(x2, y2))
}

// Fill fills a rectangle whose lower left corner is x, y.
func (p *Page) Fill(x, y, w, h float64, c RGB) {
	p.begin()
	p.setFill(c)
	p.op("%s re f", nums(x, y, w, h))
}

// Frame strokes a rectangle with corners rounded to radius r.
func (p *Page) Frame(x, y, w, h, r, weight float64, c RGB) {
	p.begin()
	p.setLine(c, weight)
	if r == 0 {
		p.op("%s re S", nums(x, y, w, h))
		return
	}
	// A quarter circle's control points lie 0.5523 of the radius along.
	k := r * (1 - 0.5523)
	p.op("%s m %s l %s c %s l %s c %s l %s c %s l %s c h S",
		nums(x+r, y), nums(x+w-r, y), nums(x+w-k, y, x+w, y+k, x+w, y+r),
		nums(x+w, y+h-r), nums(x+w, y+h-k, x+w-k, y+h, x+w-r, y+h),
		nums(x+r, y+h), nums(x+k, y+h, x, y+h-k, x, y+h-r),
		nums(x, y+r), nums(x, y+k, x+k, y, x+r, y))
}

// Text sets s on the baseline at x, y. Spread is extra space after each
// letter, in points. Runes that the face lacks show its replacement sign and
// are listed by Font.Missing.
func (p *Page) Text(font *Font, size, x, y, spread float64, c RGB, s string) {
	if s == "" {
		return
	}
	p.begin()
	p.setFill(c)
	p.fonts[font.name] = font.ref
	letters := ""
	if spread != 0 {
		letters = num(spread) + " Tc "
	}
	reset := ""
	if spread != 0 {
		reset = " 0 Tc"
	}
	p.op("BT %s/%s %s Tf %s Td <%s> Tj%s ET", letters, font.name, num(size), nums(x, y), font.encode(s), reset)
}

// Image draws a picture upright in the box whose lower left corner is x, y.
// The box must have the picture's upright proportions, or it is stretched.
func (p *Page) Image(m *Image, x, y, w, h float64) {
	p.begin()
	p.images[m.name] = m.ref
	p.op("q %s cm /%s Do Q", nums(upright(m.orientation, x, y, w, h)...), m.name)
}

// Squares fills the cells of a grid that are set, as one path; x, y is the
// grid's upper left corner and side the side of a cell.
func (p *Page) Squares(x, y, side float64, cells [][]bool, c RGB) {
	p.begin()
	p.setFill(c)
	for i, row := range cells {
		for from := 0; from < len(row); from++ {
			to := from
			for to < len(row) && row[to] {
				to++
			}
			if to > from {
				p.op("%s re", nums(x+float64(from)*side, y-float64(i+1)*side, float64(to-from)*side, side))
				from = to
			}
		}
	}
	p.op("f")
}

// LinkTo makes a box lead to a named place, which Target may set before or
// after. The box belongs to e, a Link; words say where it leads.
func (p *Page) LinkTo(e *Element, name, words string, x, y, w, h float64) {
	p.link(e, words, x, y, w, h, "/Dest "+byteString(name))
}

// LinkOut makes a box lead to an address outside the file.
func (p *Page) LinkOut(e *Element, address, words string, x, y, w, h float64) {
	p.link(e, words, x, y, w, h, "/A << /Type /Action /S /URI /URI "+byteString(address)+" >>")
}

func (p *Page) link(e *Element, words string, x, y, w, h float64, does string) {
	f := p.file
	// Flag 4: the link prints with its page, as archival profiles ask.
	note := f.add(fmt.Sprintf("<< /Type /Annot /Subtype /Link /F 4 /Border [0 0 0] /Rect [%s] /Contents %s /StructParent %d %s >>",
		nums(x, y, x+w, y+h), textString(words), f.parentOf(e.number()), does))
	e.object(note, p.ref)
	p.notes = append(p.notes, note)
}

// Target names the place at height y on this page. The first use of a name
// stands.
func (p *Page) Target(name string, y float64) {
	if _, taken := p.file.targets[name]; !taken {
		p.file.targets[name] = fmt.Sprintf("[%d 0 R /XYZ null %s null]", p.ref, num(y))
	}
}

// Bookmark adds a line to the file's outline that leads to height y on this
// page. Level 1 is outermost; a level that skips one hangs under the last.
func (p *Page) Bookmark(level int, title string, y float64) {
	p.file.marks = append(p.file.marks, bookmark{level: level, title: title,
		dest: fmt.Sprintf("[%d 0 R /XYZ null %s null]", p.ref, num(y))})
}
