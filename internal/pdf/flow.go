package pdf

import (
	"context"
	"fmt"

	"witnessmark/internal/pdf/writer"
)

// The sheet: A4 with a margin rule, stage numbers to its left.
const (
	pageWide   = 595.276
	pageHigh   = 841.890
	edge       = 30.0  // left end of bars, rules of head and foot
	marginRule = 68.0  // the rule that stage numbers stand beside
	textLeft   = 80.0  // where text starts
	textRight  = 551.0 // where everything ends
	textTop    = 66.0
	textBottom = 782.0
	measure    = 374.0 // widest paragraph: 68 characters of body text
)

// flow is one pass over a document: where the next block goes, and on what.
// While measuring, file and page are nil and nothing is drawn.
type flow struct {
	ctx context.Context
	doc Document
	*memory
	fonts    [faceCount]*writer.Font
	file     *writer.File
	page     *writer.Page
	number   int // of the page being laid out
	left     float64
	right    float64
	y        float64
	flush    float64 // no gap is wanted above a heading that starts here
	sides    []*side
	known    index
	found    map[string]int
	headings int
	notShown []string
	err      error

	at       *writer.Element // where in the structure what is drawn belongs
	part     *writer.Element // the section that is open
	formula  *writer.Element // the formula that is being drawn; nil outside one
	artifact writer.Artifact // what is drawn while at is nil
	link     openLink
	level    int // of the last heading
}

func newFlow(ctx context.Context, d Document, m *memory, known index) *flow {
	return &flow{ctx: ctx, doc: d, memory: m, known: known, left: textLeft, right: textRight,
		found: map[string]int{}, artifact: writer.Layout}
}

func (f *flow) run() {
	f.section()
	if len(f.doc.Blocks) == 0 {
		f.turn(true)
	} else if _, bare := f.doc.Blocks[0].(Cover); !bare {
		f.turn(true)
	}
	f.blocks(f.doc.Blocks)
	f.unlink()
	f.leave()
}

func (f *flow) wide() float64 { return f.right - f.left }
func (f *flow) room() float64 { return textBottom - f.y }

// fresh tells that nothing stands on the page yet.
func (f *flow) fresh() bool { return f.y <= textTop }

// need turns to a new page unless h points are left on this one or the page
// is fresh, when no other page would have more.
func (f *flow) need(h float64) {
	if f.room() < h && !f.fresh() {
		f.next()
	}
}

// next ends the page, letting open side columns finish their part of it, and
// starts another.
func (f *flow) next() {
	for _, s := range f.sides {
		s.fill(f, textBottom)
	}
	f.turn(true)
	for _, s := range f.sides {
		s.from = f.y
	}
}

// turn starts a page, with the running head and foot unless it is a cover.
func (f *flow) turn(dressed bool) {
	f.leave()
	if f.err == nil {
		f.err = f.ctx.Err()
	}
	f.number++
	f.y = textTop
	if f.file != nil {
		f.page = f.file.Page(pageWide, pageHigh)
	}
	if dressed {
		f.dress()
	}
}

func (f *flow) leave() {
	if f.page != nil {
		f.page.Close()
		f.page = nil
		if f.err == nil {
			f.err = f.file.Err()
		}
	}
}

// dress draws what every page has: running head over a double rule, margin
// rule, page x of y.
func (f *flow) dress() {
	f.outside(writer.PageHead, f.dressHead)
	f.outside(writer.PageFoot, f.dressFoot)
}

func (f *flow) dressHead() {
	head := look{size: 7.6, lead: 10.8, bold: true}
	half := (textRight - edge) / 2
	f.text(edge, 40, f.fit(f.doc.HeadLeft, head, half-8))
	right := f.fit(f.doc.HeadRight, label, half-8)
	f.text(textRight-right.wide, 40, right)
	f.stroke(edge, 47, textRight, 47, 1.1, Ink)
	f.stroke(edge, 49.4, textRight, 49.4, 0.4, Ink)
	f.stroke(marginRule, 49.4, marginRule, pageHigh-48, 0.5, Rule)
}

func (f *flow) dressFoot() {
	half := (textRight - edge) / 2
	f.stroke(edge, pageHigh-48, textRight, pageHigh-48, 0.4, Rule)
	count := f.fit(fmt.Sprintf("Page %d of %d", f.number, f.known.total), label, half)
	f.text(textRight-count.wide, pageHigh-35, count)
	f.text(edge, pageHigh-35, f.fit(f.doc.Foot, label, textRight-edge-count.wide-16))
}

// blocks places blocks in order. What introduces (a heading, a stage) stays
// with the start of what it introduces.
func (f *flow) blocks(all []Block) {
	for i, b := range all {
		if f.err != nil {
			return
		}
		if h := f.start(all[i:]); h > 0 {
			f.need(h)
		}
		b.place(f)
	}
}

// start is the height that must be free for the first block to begin well.
func (f *flow) start(all []Block) float64 {
	h := 0.0
	for _, b := range all {
		h += b.least(f)
		if _, introduces := b.(introduction); !introduces {
			break
		}
	}
	return min(h, textBottom-textTop)
}

// introduction is a block that must not stand alone at the foot of a page.
type introduction interface{ introduces() }

// anchor sets an anchor at the present place.
func (f *flow) anchor(name string) {
	if name == "" {
		return
	}
	if _, taken := f.found[name]; !taken {
		f.found[name] = f.number
	}
	if f.page != nil {
		f.page.Target(name, pageHigh-f.y+4)
	}
}

// column sets lines one under the other from y at x, all on this page.
func (f *flow) column(x, y float64, ls []line, lead float64) {
	for i, l := range ls {
		f.text(x, y+float64(i)*lead+lead*0.76, l)
	}
}

// lines sets lines one under the other from f.y at x, turning pages between
// them.
func (f *flow) lines(x float64, ls []line, lead float64) {
	for _, l := range ls {
		f.need(lead)
		f.text(x, f.y+lead*0.76, l)
		f.y += lead
	}
}
