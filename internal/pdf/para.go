package pdf

import "witnessmark/internal/pdf/writer"

// Para is a paragraph.
type Para struct {
	Text Text
	Fine bool // small and soft: notes, provenance
}

func (p Para) look() look {
	if p.Fine {
		return label
	}
	return body
}

func (p Para) set(f *flow) []line { return f.set(p.Text, p.look(), min(measure, f.wide())) }

// least keeps two lines of a longer paragraph together at the foot of a page.
func (p Para) least(f *flow) float64 { return float64(min(2, len(p.set(f)))) * p.look().lead }

func (p Para) place(f *flow) { f.para(func() { p.draw(f) }) }

func (p Para) draw(f *flow) {
	ls, lead := p.set(f), p.look().lead
	// A last line does not go over to the next page alone.
	if n := len(ls); n > 2 && f.room() >= float64(n-1)*lead && f.room() < float64(n)*lead {
		f.lines(f.left, ls[:n-2], lead)
		f.need(2 * lead)
		ls = ls[n-2:]
	}
	f.lines(f.left, ls, lead)
	f.y += 5
}

// List is paragraphs with a dash before each.
type List struct{ Items []Text }

func (l List) least(f *flow) float64 { return body.lead }

func (l List) place(f *flow) {
	f.within(writer.ListTag, writer.Attributes{}, func() {
		for _, item := range l.Items {
			f.within(writer.ItemTag, writer.Attributes{}, func() { l.item(f, item) })
		}
	})
	f.y += 4
}

func (l List) item(f *flow, item Text) {
	dash := f.set(Quiet("–"), body, 1e6)[0]
	ls := f.set(item, body, min(measure, f.wide())-12)
	f.need(float64(min(2, len(ls))) * body.lead)
	f.within(writer.LabelTag, writer.Attributes{}, func() { f.text(f.left, f.y+body.lead*0.76, dash) })
	f.within(writer.BodyTag, writer.Attributes{}, func() { f.lines(f.left+12, ls, body.lead) })
	f.y += 2
}

// Caution is what can hurt, before the step it belongs to.
type Caution struct{ Text Text }

func (c Caution) set(f *flow) []line {
	return f.set(Join(Strong("Caution  "), c.Text), body, min(measure, f.wide())-12)
}

func (c Caution) least(f *flow) float64 {
	return 6 + float64(min(3, len(c.set(f))))*body.lead
}

func (c Caution) place(f *flow) {
	f.y += 3
	f.para(func() { f.barred(c.set(f), body.lead, 2.2, Ink) })
	f.y += 8
}

// barred sets lines beside an upright stroke that follows them over pages.
func (f *flow) barred(ls []line, lead, weight float64, t Tone) {
	for len(ls) > 0 && f.err == nil {
		f.need(lead)
		n := min(len(ls), max(1, int(f.room()/lead)))
		f.stroke(f.left+weight/2, f.y, f.left+weight/2, f.y+float64(n)*lead, weight, t)
		for _, l := range ls[:n] {
			f.text(f.left+12, f.y+lead*0.76, l)
			f.y += lead
		}
		ls = ls[n:]
	}
}

// Working is a trainee's written calculation, line by line as written, with
// what it belongs to above it.
type Working struct {
	Label string
	Lines []Text
}

func (w Working) least(f *flow) float64 {
	return label.lead + working.lead*float64(min(3, len(w.Lines)))
}

func (w Working) place(f *flow) {
	if w.Label != "" {
		f.para(func() { f.lines(f.left, f.set(Plain(w.Label), label, f.wide()), label.lead) })
	}
	f.y += 3
	for _, t := range w.Lines {
		f.para(func() { f.barred(f.set(t, working, f.wide()-12), working.lead, 0.5, Soft) })
	}
	f.y += 8
}

// Facts is a list of labels with what each says, one under the other.
type Facts struct{ Rows []Fact }

// Fact is one line of Facts.
type Fact struct {
	Label string
	Text  Text
}

func (k Facts) table() Table {
	t := Table{Columns: []Column{{Fixed: 112}, {Share: 1}}, noHead: true}
	for _, r := range k.Rows {
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: Quiet(r.Label)}, {Text: r.Text}}})
	}
	return t
}

func (k Facts) least(f *flow) float64 { return k.table().least(f) }

func (k Facts) place(f *flow) { k.table().place(f) }
