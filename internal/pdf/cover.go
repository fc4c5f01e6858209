package pdf

import "witnessmark/internal/pdf/writer"

// Cover is a first page without running head: who keeps the sheet, whose it
// is, what it is for. It stands first in a document or not at all.
type Cover struct {
	Keeper   string // the centre
	Kind     string // what this is, such as "Portfolio of evidence"
	Title    string // whose
	Subtitle string
	Facts    []Fact
	Note     Text   // at the foot
	Identity string // of the document, in the fixed face
	Code     string // the same for a phone's camera; empty: no code
	CodeSays string // in place of the code, for who cannot see it
}

const coverCode = 96.0 // width of the code

func (c Cover) least(*flow) float64 { return textBottom - textTop }

func (c Cover) place(f *flow) {
	f.turn(false)
	wide := textRight - textLeft
	f.para(func() { f.text(textLeft, 78, f.fit(c.Keeper, look{size: 10, bold: true}, wide)) })
	f.stroke(textLeft, 92, textRight, 92, 1.4, Ink)
	f.stroke(textLeft, 95.4, textRight, 95.4, 0.5, Ink)
	f.stroke(marginRule, 40, marginRule, pageHigh-48, 0.5, Rule)

	// The sign: a rule between two parts, and the mark across it.
	f.stroke(textLeft, 262, textRight, 262, 0.7, Ink)
	f.witness(textRight-46, 262, 64)
	f.y = 276
	f.within(f.headingTag(1), writer.Attributes{}, func() {
		f.text(textLeft, 252, f.fit(c.Kind, look{size: 11, tone: Soft}, wide-110).before())
		f.lines(textLeft, f.set(Plain(c.Title), look{size: 25, bold: true}, wide), 32)
	})
	if c.Subtitle != "" {
		f.y += 2
		f.para(func() { f.lines(textLeft, f.set(Plain(c.Subtitle), look{size: 12, tone: Soft}, wide), 17) })
	}
	f.y += 26
	if len(c.Facts) > 0 {
		Facts{Rows: c.Facts}.place(f)
	}
	c.foot(f)
	f.y = textBottom
	f.next()
}

// foot is the note with the document's identity above it, and the code at the
// right edge.
func (c Cover) foot(f *flow) {
	note := f.set(c.Note, label, measure)
	text := float64(len(note)) * label.lead
	if c.Identity != "" {
		text += 16
	}
	var cells [][]bool
	high := text
	if c.Code != "" {
		cells = modules(c.Code)
		high = max(text, coverCode)
	}
	f.need(high)
	y := pageHigh - 48 - text
	if c.Identity != "" {
		f.para(func() { f.text(textLeft, y+4, f.fit(c.Identity, look{size: 7.4, mono: true}, measure)) })
		y += 16
	}
	f.para(func() { f.column(textLeft, y+4-label.lead*0.76, note, label.lead) })
	if cells != nil {
		f.code(textRight-coverCode+quiet, pageHigh-48-coverCode+quiet, coverCode, cells, c.CodeSays)
	}
}
