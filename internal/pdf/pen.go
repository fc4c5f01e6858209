package pdf

import (
	"strings"

	"witnessmark/internal/pdf/writer"
)

// text draws a line with its baseline at y and the links in it.
func (f *flow) text(x, y float64, l line) {
	if f.page == nil {
		return
	}
	for _, p := range l.pieces {
		f.page.Text(f.fonts[p.face], p.size, x, pageHigh-y, 0, palette[p.tone], p.text)
		if p.to != "" || p.out != "" {
			f.page.Line(x, pageHigh-y-1.6, x+p.wide, pageHigh-y-1.6, 0.3, palette[Soft])
			box := [4]float64{x, pageHigh - y - 3, p.wide, p.size + 3}
			if p.to != "" {
				f.page.LinkTo(p.to, box[0], box[1], box[2], box[3])
			} else {
				f.page.LinkOut(p.out, box[0], box[1], box[2], box[3])
			}
		}
		x += p.wide
	}
}

// spaced draws s in capitals' spacing, as on a stamp or a printed form.
func (f *flow) spaced(x, y, size, spread float64, t Tone, s string) {
	if f.page != nil {
		f.page.Text(f.fonts[bold], size, x, pageHigh-y, spread, palette[t], s)
	}
}

func (f *flow) spacedWide(size, spread float64, s string) float64 {
	return f.faces[bold].Width(s, size) + spread*float64(len([]rune(s)))
}

func (f *flow) stroke(x1, y1, x2, y2, weight float64, t Tone) {
	if f.page != nil {
		f.page.Line(x1, pageHigh-y1, x2, pageHigh-y2, weight, palette[t])
	}
}

// tint fills a box whose upper left corner is x, y.
func (f *flow) tint(x, y, w, h float64, c writer.RGB) {
	if f.page != nil {
		f.page.Fill(x, pageHigh-y-h, w, h, c)
	}
}

func (f *flow) frame(x, y, w, h, r, weight float64, t Tone) {
	if f.page != nil {
		f.page.Frame(x, pageHigh-y-h, w, h, r, weight, palette[t])
	}
}

// witness draws the witness mark across a rule at x, y. Nothing else in a
// document uses this stroke.
func (f *flow) witness(x, y, size float64) {
	f.stroke(x-size*0.36, y+size*0.5, x+size*0.36, y-size*0.5, size*0.115, Copper)
}

// fit sets s on one line, cut with an ellipsis where it is too wide.
func (f *flow) fit(s string, l look, wide float64) line {
	flat := Plain(oneLine(s))
	ls := f.set(flat, l, 1e6)
	if ls[0].wide <= wide {
		return ls[0]
	}
	all := []rune(oneLine(s))
	low, high := 0, len(all)
	for low < high { // the longest start that fits with its ellipsis
		mid := (low + high + 1) / 2
		if f.set(Plain(string(all[:mid])+"…"), l, 1e6)[0].wide <= wide {
			low = mid
		} else {
			high = mid - 1
		}
	}
	return f.set(Plain(string(all[:low])+"…"), l, 1e6)[0]
}

// oneLine is s without breaks.
func oneLine(s string) string { return strings.ReplaceAll(clean(s), "\n", " ") }
