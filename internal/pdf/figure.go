package pdf

import (
	"cmp"
	"errors"
	"fmt"
	"io"

	"witnessmark/internal/pdf/writer"
)

// Picture is a photo to be copied in as it is.
type Picture struct {
	Key         string                        // the same picture has the same key (its digest); empty: never shared
	Open        func() (io.ReadCloser, error) // called once, in the writing pass
	Wide, High  int                           // pixels as stored
	Orientation int                           // EXIF 1 to 8; others count as 1
}

// upright is the picture's size once it stands upright; a picture that states
// none counts as a square.
func (p Picture) upright() (wide, high float64) {
	w, h := float64(max(1, p.Wide)), float64(max(1, p.High))
	if p.Orientation >= 5 && p.Orientation <= 8 {
		return h, w
	}
	return w, h
}

// Figure is a picture, upright and whole, over its caption. The caption never
// leaves it: where it is too long for the page its first lines stay.
type Figure struct {
	Picture *Picture // nil: there is nothing to show, and Instead says why
	Instead string
	Label   string // such as "Photo 3"
	Caption Text
	Alt     string // what is to be seen, for who cannot see it; empty: the caption
	Notes   Text   // under the caption: both clocks, digest, instrument
	Anchor  string
}

const (
	figureHigh = 300.0 // tallest picture of one figure
	figureLow  = 150.0 // lowest that a picture is shrunk to for its caption's sake
	pairHigh   = 235.0 // tallest picture in a gallery
	pairGap    = 14.0
)

func (p Figure) set(f *flow, wide float64) (ls []line) {
	head := p.Caption
	if p.Label != "" {
		head = Join(Strong(p.Label+"  "), p.Caption)
	}
	return f.set(head, caption, wide)
}

func (p Figure) notes(f *flow, wide float64) []line {
	if len(p.Notes) == 0 {
		return nil
	}
	return f.set(p.Notes, label, wide)
}

// size is the box of the picture within a width and height.
func (p Figure) size(wide, high float64) (w, h float64) {
	if p.Picture == nil {
		return wide, 54
	}
	pw, ph := p.Picture.upright()
	scale := min(wide/pw, high/ph)
	return pw * scale, ph * scale
}

func (p Figure) captionHigh(f *flow, wide float64) float64 {
	return 6 + float64(len(p.set(f, wide)))*caption.lead + float64(len(p.notes(f, wide)))*label.lead
}

// pictureHigh is how tall the picture may stand: as tall as it likes, less
// what a long caption takes of a whole page.
func (p Figure) pictureHigh(f *flow) float64 {
	free := textBottom - textTop - p.captionHigh(f, f.captionWide()) - 14
	return min(figureHigh, max(figureLow, free))
}

func (f *flow) captionWide() float64 { return min(measure, f.wide()) }

// least keeps the picture and its caption together. A caption that would ask
// for more than three quarters of a page goes over to the next one, all but
// its first four lines.
func (p Figure) least(f *flow) float64 {
	_, h := p.size(f.wide(), p.pictureHigh(f))
	text := p.captionHigh(f, f.captionWide())
	if h+text > (textBottom-textTop)*0.75 {
		text = min(text, 6+4*caption.lead)
	}
	return h + text + 4
}

func (p Figure) place(f *flow) {
	high := p.pictureHigh(f)
	w, h := p.size(f.wide(), high)
	f.need(p.least(f))
	f.y += 4
	f.anchor(p.Anchor)
	f.within(writer.DivTag, writer.Attributes{}, func() {
		p.draw(f, f.left, f.y, w, h)
		f.y += h + 6
		f.within(writer.CaptionTag, writer.Attributes{}, func() {
			f.para(func() { f.lines(f.left, p.set(f, f.captionWide()), caption.lead) })
			f.para(func() { f.lines(f.left, p.notes(f, f.captionWide()), label.lead) })
		})
	})
	f.y += 12
}

// alt is what is said in place of the picture. A long caption is not said twice
// over: it stands under the picture, whole.
func (p Figure) alt() string {
	const most = 300
	s := p.Alt
	if s == "" {
		for _, r := range p.Caption {
			s += r.Text
		}
		if p.Label != "" {
			s = p.Label + ": " + s
		}
	}
	if all := []rune(oneLine(s)); len(all) > most {
		return string(all[:most]) + "…"
	}
	return cmp.Or(oneLine(s), "a picture without a caption")
}

// draw sets the picture, or the sentence instead of it, in its box.
func (p Figure) draw(f *flow, x, y, w, h float64) {
	instead := p.Instead
	if p.Picture != nil {
		image, err := f.image(p)
		switch {
		case errors.Is(err, writer.ErrPicture):
			f.notShown = append(f.notShown, p.Label)
			instead = "This picture cannot be shown here. Its original is kept with the evidence."
		case err != nil:
			f.err = fmt.Errorf("%s: %w", p.Label, err)
			return
		case image != nil:
			box := [4]float64{x, pageHigh - y - h, x + w, pageHigh - y}
			f.within(writer.FigureTag, writer.Attributes{Alt: p.alt(), Box: box}, func() {
				f.mark()
				f.page.Image(image, x, pageHigh-y-h, w, h)
			})
		}
	}
	f.frame(x, y, w, h, 0, 0.4, Rule)
	if instead != "" {
		f.tint(x, y, w, h, paper)
		f.para(func() {
			for i, l := range f.set(Quiet(instead), caption, w-24) {
				if at := 18 + float64(i)*caption.lead; at < h {
					f.text(x+12, y+at, l)
				}
			}
		})
	}
}

// image copies a picture into the file, once however often it is shown; while
// measuring there is none.
func (f *flow) image(p Figure) (image *writer.Image, err error) {
	if f.file == nil || f.err != nil {
		return nil, f.err
	}
	if known, ok := f.file.Image(p.Picture.Key); ok {
		return known, nil
	}
	r, err := p.Picture.Open()
	if err != nil {
		return nil, fmt.Errorf("open picture: %w", err)
	}
	defer func() {
		if shut := r.Close(); shut != nil { // what is wrong with the bytes goes before what is wrong with the picture
			image, err = nil, shut
		}
	}()
	return f.file.AddJPEG(p.Picture.Key, r, p.Picture.Orientation)
}

// Gallery is figures two side by side, each over its caption. A figure whose
// caption is long stands alone.
type Gallery struct{ Figures []Figure }

// rows pairs the figures up.
func (g Gallery) rows(f *flow) [][]Figure {
	var rows [][]Figure
	half := (f.wide() - pairGap) / 2
	open := false
	for _, p := range g.Figures {
		if p.captionHigh(f, half) > pairHigh*0.7 {
			rows, open = append(rows, []Figure{p}), false
			continue
		}
		if open {
			rows[len(rows)-1] = append(rows[len(rows)-1], p)
		} else {
			rows = append(rows, []Figure{p})
		}
		open = !open
	}
	return rows
}

func (g Gallery) least(f *flow) float64 {
	rows := g.rows(f)
	if len(rows) == 0 {
		return 0
	}
	return g.high(f, rows[0])
}

func (g Gallery) high(f *flow, row []Figure) float64 {
	half, picture, text := (f.wide()-pairGap)/2, 0.0, 0.0
	if len(row) == 1 && row[0].captionHigh(f, half) > pairHigh*0.7 {
		return row[0].least(f)
	}
	for _, p := range row {
		_, h := p.size(half, pairHigh)
		picture, text = max(picture, h), max(text, p.captionHigh(f, half))
	}
	return picture + text + 4
}

func (g Gallery) place(f *flow) {
	half := (f.wide() - pairGap) / 2
	for _, row := range g.rows(f) {
		if f.err != nil {
			return
		}
		if len(row) == 1 && row[0].captionHigh(f, half) > pairHigh*0.7 {
			row[0].place(f)
			continue
		}
		f.need(g.high(f, row))
		f.y += 4
		end := f.y
		for i, p := range row {
			f.within(writer.DivTag, writer.Attributes{}, func() {
				end = max(end, p.beside(f, f.left+float64(i)*(half+pairGap), half))
			})
		}
		f.y = end + 10
	}
}

// beside draws a figure of a pair with its left edge at x and gives the height
// at which its caption ends.
func (p Figure) beside(f *flow, x, wide float64) float64 {
	w, h := p.size(wide, pairHigh)
	f.anchor(p.Anchor)
	p.draw(f, x, f.y, w, h)
	y := f.y + h + 6
	head, notes := p.set(f, wide), p.notes(f, wide)
	f.within(writer.CaptionTag, writer.Attributes{}, func() {
		f.para(func() { f.column(x, y, head, caption.lead) })
		f.para(func() { f.column(x, y+float64(len(head))*caption.lead, notes, label.lead) })
	})
	return y + float64(len(head))*caption.lead + float64(len(notes))*label.lead
}
