package pdf

import (
	"strings"

	"witnessmark/internal/pdf/writer"
)

// text draws a line with its baseline at y and the links in it, as content of
// the present element. A line that goes on says so by a space at its end, for
// those who hear it read.
func (f *flow) text(x, y float64, l line) {
	if f.page == nil {
		return
	}
	for i, p := range l.pieces {
		text := p.text
		if l.goesOn && i == len(l.pieces)-1 {
			text += " "
		}
		if f.at == nil || p.to == "" && p.out == "" {
			f.mark()
			f.page.Text(f.fonts[p.face], p.size, x, pageHigh-y, 0, palette[p.tone], text)
		} else {
			f.linked(x, y, p, text)
		}
		x += p.wide
	}
}

// linked draws a piece that leads somewhere. Pieces of one link, on one line or
// several, make one element.
func (f *flow) linked(x, y float64, p piece, text string) {
	l := &f.link
	if l.element == nil || l.in != f.at || l.to != p.to || l.out != p.out {
		f.unlink()
		*l = openLink{element: f.at.Add(writer.LinkTag, writer.Attributes{}), in: f.at, to: p.to, out: p.out}
	}
	f.page.In(l.element)
	f.page.Text(f.fonts[p.face], p.size, x, pageHigh-y, 0, palette[p.tone], text)
	f.page.Line(x, pageHigh-y-1.6, x+p.wide, pageHigh-y-1.6, 0.3, palette[Soft])
	bottom, high := pageHigh-y-3, p.size+3
	if p.to != "" {
		f.page.LinkTo(l.element, p.to, p.text, x, bottom, p.wide, high)
	} else {
		f.page.LinkOut(l.element, p.out, p.text, x, bottom, p.wide, high)
	}
}

// spaced draws s in capitals' spacing, as on a stamp or a printed form.
func (f *flow) spaced(x, y, size, spread float64, t Tone, s string) {
	if f.page != nil {
		f.mark()
		f.page.Text(f.fonts[bold], size, x, pageHigh-y, spread, palette[t], s)
	}
}

func (f *flow) spacedWide(size, spread float64, s string) float64 {
	return f.faces[bold].Width(s, size) + spread*float64(len([]rune(s)))
}

// stroke draws a straight line: an artifact, as tints and frames are, except
// inside a formula.
func (f *flow) stroke(x1, y1, x2, y2, weight float64, t Tone) {
	if f.page != nil {
		f.ornament()
		f.page.Line(x1, pageHigh-y1, x2, pageHigh-y2, weight, palette[t])
	}
}

// tint fills a box whose upper left corner is x, y.
func (f *flow) tint(x, y, w, h float64, c writer.RGB) {
	if f.page != nil {
		f.ornament()
		f.page.Fill(x, pageHigh-y-h, w, h, c)
	}
}

func (f *flow) frame(x, y, w, h, r, weight float64, t Tone) {
	if f.page != nil {
		f.ornament()
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
