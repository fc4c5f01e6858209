package pdf

import "witnessmark/internal/pdf/writer"

// Beside is evidence with the decision that rests on it stamped in the margin
// to its right, a rule between them. A decision that has been signed off is
// witnessed: its mark crosses the rule.
type Beside struct {
	Evidence []Block
	Decision Decision
}

// Decision is what stands in the margin.
type Decision struct {
	Word      string // on the stamp: "met", "not yet met"; empty: nobody has decided
	Tone      Tone
	Lines     []Text // by whom, when, the tutor's words
	Witnessed bool
}

const (
	sideWide  = 124.0
	sideGap   = 13.0
	stampHigh = 20.0
)

// side is an open margin column: what is still to be set in it and where its
// part of the present page starts.
type side struct {
	decision Decision
	lines    []sideLine
	stamped  bool
	from     float64
	rule     float64         // x of the rule
	stamp    *writer.Element // what the stamp belongs to
}

// sideLine is a line of a column with the paragraph that it belongs to.
type sideLine struct {
	line
	in *writer.Element
}

func (b Beside) side(f *flow) *side {
	s := &side{decision: b.Decision, rule: f.right - sideWide - sideGap, from: f.y}
	s.stamped = b.Decision.Word == ""
	for _, t := range b.Decision.Lines {
		for _, l := range f.set(t, small, sideWide) {
			s.lines = append(s.lines, sideLine{line: l})
		}
	}
	return s
}

// tagged gives the column's paragraphs their places inside the present element.
func (s *side) tagged(f *flow) {
	s.stamp = f.open(writer.ParaTag, writer.Attributes{})
	i := 0
	for _, t := range s.decision.Lines {
		p := f.open(writer.ParaTag, writer.Attributes{})
		for range f.set(t, small, sideWide) {
			s.lines[i].in = p
			i++
		}
	}
}

func (s *side) high() float64 {
	h := float64(len(s.lines)) * small.lead
	if !s.stamped {
		h += stampHigh + 8
	}
	return h
}

func (b Beside) least(f *flow) float64 {
	s := b.side(f)
	right := f.right
	f.right = s.rule - sideGap
	h := f.start(b.Evidence)
	f.right = right
	return min(max(h, s.high()+8), (textBottom-textTop)*0.8)
}

func (b Beside) place(f *flow) { f.within(writer.DivTag, writer.Attributes{}, func() { b.draw(f) }) }

func (b Beside) draw(f *flow) {
	f.need(b.least(f))
	right := f.right
	s := b.side(f)
	evidence, decision := f.open(writer.DivTag, writer.Attributes{}), f.open(writer.DivTag, writer.Attributes{})
	f.inside(decision, func() { s.tagged(f) })
	f.right = s.rule - sideGap
	f.sides = append(f.sides, s)
	f.y += 4
	f.flush = f.y
	f.inside(evidence, func() { f.blocks(b.Evidence) })
	// The decision may be longer than its evidence: the sheet waits for it.
	for f.err == nil && s.from+s.high()+8 > textBottom {
		f.next()
	}
	f.y = max(f.y, s.from+s.high()+8)
	s.fill(f, f.y)
	f.sides = f.sides[:len(f.sides)-1]
	f.right = right
	f.y += 10
}

// fill draws this page's part of the column, from s.from down to bottom.
func (s *side) fill(f *flow, bottom float64) {
	f.stroke(s.rule, s.from, s.rule, bottom, 0.7, Ink)
	x, y := s.rule+sideGap, s.from+4
	if !s.stamped && y+stampHigh <= bottom {
		f.inside(s.stamp, func() { f.stamp(x, y, s.decision.Word, s.decision.Tone) })
		if s.decision.Witnessed {
			f.witness(s.rule, y+stampHigh/2, 19)
		}
		s.stamped = true
		y += stampHigh + 8
	}
	for s.stamped && len(s.lines) > 0 && y+small.lead <= bottom+0.01 {
		f.inside(s.lines[0].in, func() { f.text(x, y+small.lead*0.76, s.lines[0].line) })
		s.lines = s.lines[1:]
		y += small.lead
	}
	s.from = bottom
}

// stamp draws a word in a frame with its upper left corner at x, y, and
// returns the frame's width.
func (f *flow) stamp(x, y float64, word string, t Tone) float64 {
	const size, spread, pad = 8.4, 0.5, 7.0
	word = oneLine(word)
	wide := f.spacedWide(size, spread, word) + 2*pad - spread
	f.frame(x, y, wide, stampHigh, 3, 1.2, t)
	f.spaced(x+pad, y+13.2, size, spread, t, word)
	return wide
}
