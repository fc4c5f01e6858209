package pdf

import "witnessmark/internal/pdf/writer"

// Bar is a hold point: a bar across the whole sheet that says what must be
// shown and who may release it, and on its right who did and when.
type Bar struct {
	Label  string // such as "Hold 2"
	Text   Text
	Word   string // stamped on the right, such as "released"; empty: no stamp
	Tone   Tone
	State  Text // under the stamp
	Anchor string
}

const (
	barState = 150.0 // width of the state's column
	barPad   = 8.0
)

var barLook = look{size: 8.6, lead: 13.2, bold: true}

func (b Bar) set(f *flow) (text, state []line) {
	wide := f.right - textLeft - barState - 20
	if f.right < textRight {
		wide = f.right - textLeft - 20
	}
	return f.set(b.Text, body, wide), f.set(b.State, small, barState-barPad)
}

func (b Bar) high(f *flow) float64 {
	text, state := b.set(f)
	side := float64(len(state)) * small.lead
	if b.Word != "" {
		side += stampHigh + 5
	}
	labels := f.set(Plain(b.Label), barLook, textLeft-edge-10)
	return 2*barPad + max(float64(max(len(text), len(labels)))*body.lead, side)
}

func (b Bar) least(f *flow) float64 { return min(b.high(f)+8, tallest) }

func (b Bar) place(f *flow) { f.within(writer.DivTag, writer.Attributes{}, func() { b.draw(f) }) }

// barParts are the paragraphs of a bar, which go on from strip to strip.
type barParts struct{ label, text, state *writer.Element }

func (b Bar) draw(f *flow) {
	var in barParts
	for _, e := range []**writer.Element{&in.label, &in.text, &in.state} {
		*e = f.open(writer.ParaTag, writer.Attributes{})
	}
	text, state := b.set(f)
	if h := b.high(f); h <= textBottom-textTop {
		f.need(h)
	}
	if !f.fresh() {
		f.y += 8
	}
	f.anchor(b.Anchor)
	for first := true; first || len(text)+len(state) > 0; first = false {
		if f.err != nil {
			return
		}
		rest := b.strip(f, in, first, &text, &state)
		if rest {
			f.next()
		}
	}
	f.y += 12
}

// strip draws the part of the bar that fits on this page and tells whether
// more is left.
func (b Bar) strip(f *flow, in barParts, first bool, text, state *[]line) bool {
	free := f.room() - 2*barPad
	off := 0.0
	if first && b.Word != "" {
		off = stampHigh + 5
	}
	n := min(len(*text), max(1, int(free/body.lead)))
	m := min(len(*state), max(0, int((free-off)/small.lead)))
	var labels []line
	if first {
		labels = f.set(Plain(b.Label), barLook, textLeft-edge-10)
	}
	high := 2*barPad + max(float64(max(n, len(labels)))*body.lead, off+float64(m)*small.lead)
	f.tint(edge, f.y, f.right-edge, high, paper)
	f.stroke(edge, f.y, f.right, f.y, 1.6, Ink)
	f.stroke(edge, f.y+high, f.right, f.y+high, 1.6, Ink)
	f.inside(in.label, func() { f.column(edge+4, f.y+barPad, labels, body.lead) })
	f.inside(in.text, func() { f.column(textLeft, f.y+barPad, (*text)[:n], body.lead) })
	f.inside(in.state, func() {
		x := f.right - barState
		if first && b.Word != "" {
			f.stamp(x, f.y+barPad, b.Word, b.Tone)
		}
		f.column(x, f.y+barPad+off, (*state)[:m], small.lead)
	})
	*text, *state = (*text)[n:], (*state)[m:]
	f.y += high
	return len(*text)+len(*state) > 0
}

// Stamp is a stamped word on its own with what belongs to it on its right.
type Stamp struct {
	Word string
	Tone Tone
	Text Text
}

func (s Stamp) least(*flow) float64 { return stampHigh + 8 }

func (s Stamp) place(f *flow) { f.para(func() { s.draw(f) }) }

func (s Stamp) draw(f *flow) {
	f.need(stampHigh + 8)
	wide := f.stamp(f.left, f.y, s.Word, s.Tone)
	ls := f.set(s.Text, small, max(60, f.wide()-wide-12))
	top := f.y
	f.y += max(0, (stampHigh-small.lead*float64(len(ls)))/2)
	f.lines(f.left+wide+12, ls, small.lead)
	if f.y < top+stampHigh && f.y > top {
		f.y = top + stampHigh
	}
	f.y += 8
}
