package pdf

import (
	"github.com/skip2/go-qrcode"

	"witnessmark/internal/pdf/writer"
)

// QR is text as a code that a phone reads, with a sentence beside it that says
// what it holds. Text that is too long for a code is not drawn, and the sentence
// stands alone.
type QR struct {
	Text string // what the code holds
	Says Text   // beside it
	Alt  string // in place of the code, for who cannot see it
	Wide float64
}

// quiet is the margin around a code, in modules (ISO/IEC 18004, from memory).
const quiet = 4

// modules is a code's grid without its margin; nil where the text is too long.
func modules(text string) [][]bool {
	code, err := qrcode.New(text, qrcode.Medium)
	if err != nil {
		return nil
	}
	code.DisableBorder = true
	return code.Bitmap()
}

func (q QR) least(f *flow) float64 { return q.Wide + 10 }

func (q QR) place(f *flow) {
	f.need(q.least(f))
	cells := modules(q.Text)
	x, top := f.left, f.y
	if cells != nil {
		f.code(f.left, f.y, q.Wide, cells, q.Alt)
		x += q.Wide + 14
	}
	f.para(func() { f.lines(x, f.set(q.Says, small, f.right-x), small.lead) })
	if cells != nil && f.y < top+q.Wide {
		f.y = top + q.Wide
	}
	f.y += 10
}

// code draws a QR code, its margin inside the box whose upper left corner is
// x, y.
func (f *flow) code(x, y, wide float64, cells [][]bool, alt string) {
	if f.page == nil {
		return
	}
	side := wide / float64(len(cells)+2*quiet)
	box := [4]float64{x, pageHigh - y - wide, x + wide, pageHigh - y}
	f.within(writer.FigureTag, writer.Attributes{Alt: alt, Box: box}, func() {
		f.mark()
		f.page.Squares(x+quiet*side, pageHigh-y-quiet*side, side, cells, palette[Ink])
	})
}
