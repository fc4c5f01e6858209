package pdf

import (
	"fmt"

	"witnessmark/internal/pdf/writer"
)

// Heading is a title of level 1, 2 or 3; it appears among the bookmarks and
// in Contents, and stays with what follows it.
type Heading struct {
	Level  int
	Title  string
	Anchor string // empty: one of its own
	OnNew  bool   // starts a page
}

var headingLooks = map[int]look{
	1: {size: 17, lead: 21, bold: true},
	2: {size: 12, lead: 15.6, bold: true},
	3: {size: 9.4, lead: 13.2, bold: true},
}

// headingGaps are the spaces above and below, by level.
var headingGaps = map[int][2]float64{1: {26, 10}, 2: {18, 6}, 3: {12, 3}}

func (h Heading) level() int { return min(max(h.Level, 1), 3) }

func (h Heading) introduces() {}

func (h Heading) least(f *flow) float64 {
	l, gaps := headingLooks[h.level()], headingGaps[h.level()]
	return gaps[0] + gaps[1] + float64(len(f.set(Plain(h.Title), l, f.wide())))*l.lead
}

func (h Heading) place(f *flow) {
	if h.OnNew && !f.fresh() {
		f.next()
	}
	l, gaps := headingLooks[h.level()], headingGaps[h.level()]
	if !f.fresh() && f.y != f.flush {
		f.y += gaps[0]
	}
	if h.level() == 1 && f.at == f.part {
		f.section()
	}
	f.enter(h.level(), h.Title, h.Anchor)
	f.within(f.headingTag(h.level()), writer.Attributes{}, func() {
		f.lines(f.left, f.set(Plain(h.Title), l, f.wide()), l.lead)
	})
	f.y += gaps[1]
}

// enter records a heading at the present place: its anchor, or one made from
// its number, and its bookmark.
func (f *flow) enter(level int, title, anchor string) {
	f.headings++
	f.anchor(headingAnchor(f.headings, anchor))
	if f.page != nil {
		f.page.Bookmark(level, oneLine(title), pageHigh-f.y+4)
	}
}

func headingAnchor(n int, anchor string) string {
	if anchor == "" {
		return fmt.Sprintf("heading-%d", n)
	}
	return anchor
}

// Stage opens a stage of a task: its number stands in the margin against the
// rule, its title in the text. It is a heading of level 2.
type Stage struct {
	Number string
	Title  string
	Note   Text // under the title, in soft ink
	Anchor string
}

func (s Stage) introduces() {}

func (s Stage) least(f *flow) float64 {
	h := 24 + 15.6*float64(len(f.set(Plain(s.Title), headingLooks[2], f.wide()))) + 8
	if len(s.Note) > 0 {
		h += label.lead * float64(len(f.set(s.Note, label, f.wide())))
	}
	return h
}

func (s Stage) place(f *flow) {
	if !f.fresh() {
		f.y += 22
	}
	f.enter(2, s.Number+"  "+s.Title, s.Anchor)
	number := f.fit(s.Number, look{size: 14, bold: true}, marginRule-edge-6)
	// A short bar joins the number to the rule, as on a printed sheet.
	f.stroke(edge, f.y+18.5, marginRule, f.y+18.5, 1.1, Ink)
	f.within(f.headingTag(2), writer.Attributes{}, func() {
		f.text(marginRule-7-number.wide, f.y+12.4, number.before())
		f.lines(f.left, f.set(Plain(s.Title), headingLooks[2], f.wide()), 15.6)
	})
	if len(s.Note) > 0 {
		f.para(func() { f.lines(f.left, f.set(s.Note, label, f.wide()), label.lead) })
	}
	f.y += 8
}

// PageBreak starts a page unless one has just begun.
type PageBreak struct{}

func (PageBreak) least(*flow) float64 { return 0 }

func (PageBreak) place(f *flow) {
	if !f.fresh() {
		f.next()
	}
}

// Gap leaves a line's height free, never at the top of a page.
type Gap struct{}

func (Gap) least(*flow) float64 { return 0 }

func (Gap) place(f *flow) {
	if !f.fresh() {
		f.y += body.lead
	}
}

// Contents lists the headings and stages that come after it, down to Depth,
// each with its page.
type Contents struct{ Depth int }

func (c Contents) least(*flow) float64 { return 4 * body.lead }

func (c Contents) place(f *flow) {
	whole := f.open(writer.ContentsTag, writer.Attributes{})
	lists := []*writer.Element{whole} // by level; a deeper one is a list inside
	n := 0
	for _, e := range outline(f.doc.Blocks, &n)[f.headings:] {
		if e.level > c.Depth {
			continue
		}
		for len(lists) > e.level {
			lists[len(lists)-1].Close()
			lists = lists[:len(lists)-1]
		}
		for len(lists) < e.level {
			lists = append(lists, lists[len(lists)-1].Add(writer.ContentsTag, writer.Attributes{}))
		}
		f.inside(lists[len(lists)-1], func() {
			f.within(writer.EntryTag, writer.Attributes{}, func() { c.entry(f, e) })
		})
	}
	whole.Close()
	f.y += body.lead
}

// entry is a line of contents: title and page are one link.
func (c Contents) entry(f *flow, e outlineEntry) {
	l, x := body, f.left+14*float64(e.level-1)
	lead := body.lead + 1.5
	if e.level == 1 {
		l.bold = true
		f.y += 5
	}
	f.need(lead)
	page := f.set(PageOf(e.anchor), l, f.wide())[0]
	title := f.fit(e.title, l, f.right-x-page.wide-24)
	base := f.y + lead*0.72
	f.within(writer.LeadTag, writer.Attributes{}, func() {
		f.within(writer.LinkTag, writer.Attributes{}, func() {
			f.text(x, base, title.before())
			f.text(f.right-page.wide, base, page.bare())
			if f.page != nil {
				f.page.LinkTo(f.at, e.anchor, oneLine(e.title), x, pageHigh-base-3, f.right-x, 12)
			}
		})
	})
	f.dots(x+title.wide+6, f.right-page.wide-6, base)
	f.y += lead
}

func (f *flow) dots(from, to, y float64) {
	if f.page == nil {
		return
	}
	for x := to; x > from; x -= 4.5 {
		f.tint(x-0.7, y-0.7, 0.7, 0.7, palette[Soft])
	}
}

type outlineEntry struct {
	level         int
	title, anchor string
}

// outline walks blocks in the order in which they are placed, counting
// headings as enter does.
func outline(all []Block, n *int) []outlineEntry {
	var out []outlineEntry
	for _, b := range all {
		switch b := b.(type) {
		case Heading:
			*n++
			out = append(out, outlineEntry{b.level(), b.Title, headingAnchor(*n, b.Anchor)})
		case Stage:
			*n++
			out = append(out, outlineEntry{2, b.Number + "  " + b.Title, headingAnchor(*n, b.Anchor)})
		case Beside:
			out = append(out, outline(b.Evidence, n)...)
		}
	}
	return out
}
