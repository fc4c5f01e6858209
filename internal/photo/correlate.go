package photo

import (
	"bytes"
	"cmp"
	"fmt"
	"image/jpeg"
	"math"
	"slices"
)

// The second look at two pictures whose hashes lie near: small grey copies laid over each other. The sizes, eight scales and
// 49 shifts are those of a trial on 160 drawn scenes, in which a picture that was sent again, made smaller or cropped by up to
// a tenth stayed at 0.95 and above, and 95 % of different pipework at the same framing below it. All ways of laying them are
// tried on copies a quarter as wide first, which costs a sixteenth, and only the best of them on the copies themselves.
const (
	greyWide, greyHigh = 192, 144
	coarsely           = 4
	shiftsEachWay      = 3
	looksClosely       = 12    // of the 686 ways (our own value; a test holds what it finds against all of them)
	plainlySame        = 0.995 // laid over each other as they are; then nobody is served by looking for more (our own value)
)

// scales are how much of one picture is laid over the whole of the other, after both were laid over each other as they are.
func scales() [7]float64 { return [7]float64{0.98, 0.96, 0.94, 0.92, 0.9, 0.85, 0.8} }

// Grey is a small grey copy of a picture, 192 × 144, whatever its shape was.
type Grey struct{ fine, coarse plane }

// GreyOf shrinks a preview that Preview has drawn.
func GreyOf(preview []byte) (Grey, error) {
	img, err := jpeg.Decode(bytes.NewReader(preview))
	if err != nil {
		return Grey{}, fmt.Errorf("laying a preview over another: %w", err)
	}
	fine := plane{wide: greyWide, high: greyHigh, at: make([]uint8, greyWide*greyHigh)}
	for i, v := range greys(img, greyWide, greyHigh) {
		fine.at[i] = uint8(v + 0.5)
	}
	return Grey{fine, fine.shrunk(coarsely)}, nil
}

// way is how one picture's part is laid over the whole of another.
type way struct {
	turned bool // the other picture's part over the whole of this one
	scale  float64
	dx, dy int
	fits   float64 // on the coarse copies
}

// Correlation says how well the two pictures lie over each other at best, where some of either may have been cut off: 1 for
// the same, about 0 for pictures that have nothing to do with each other. A picture of one colour correlates with nothing.
func (g Grey) Correlation(other Grey) float64 {
	look := closely(g.fine, other.fine)
	best := max(0, look.fit(way{scale: 1}))
	if !look.seen || best >= plainlySame {
		return best
	}
	var ways []way
	glance := closely(g.coarse, other.coarse)
	for _, turned := range [2]bool{false, true} {
		for _, scale := range scales() {
			for dy := -shiftsEachWay; dy <= shiftsEachWay; dy++ {
				for dx := -shiftsEachWay; dx <= shiftsEachWay; dx++ {
					w := way{turned: turned, scale: scale, dx: dx, dy: dy}
					w.fits = glance.fit(w)
					ways = append(ways, w)
				}
			}
		}
	}
	slices.SortStableFunc(ways, func(a, b way) int { return cmp.Compare(b.fits, a.fits) })
	for _, w := range ways[:looksClosely] {
		best = max(best, look.fit(w))
	}
	return best
}

// overlay lays two planes of one size over each other again and again, in the same memory.
type overlay struct {
	of    [2]plane
	whole [2][]float64 // each laid as it is
	part  []float64
	seen  bool // there is something to be seen in both
}

func closely(a, b plane) *overlay {
	o := &overlay{of: [2]plane{a, b}, part: make([]float64, len(a.at)/4), seen: true}
	for i, p := range o.of {
		o.whole[i] = make([]float64, len(o.part))
		p.lay(o.whole[i], way{scale: 1})
		o.seen = normal(o.whole[i]) && o.seen
	}
	return o
}

// fit is the correlation of the two, laid like that; 0 where nothing is to be seen in one of them.
func (o *overlay) fit(w way) float64 {
	part, whole := o.of[0], o.whole[1]
	if w.turned {
		part, whole = o.of[1], o.whole[0]
	}
	part.lay(o.part, w)
	if !o.seen || !normal(o.part) {
		return 0
	}
	return dot(o.part, whole)
}

// plane is a grey picture, row by row.
type plane struct {
	wide, high int
	at         []uint8
}

// shrunk is the plane with each square of n × n pixels as one.
func (p plane) shrunk(n int) plane {
	out := plane{wide: p.wide / n, high: p.high / n, at: make([]uint8, len(p.at)/n/n)}
	for i := range out.at {
		sum := 0
		for y := range n {
			from := (i/out.wide*n+y)*p.wide + i%out.wide*n
			for _, v := range p.at[from : from+n] {
				sum += int(v)
			}
		}
		out.at[i] = uint8((sum + n*n/2) / (n * n))
	}
	return out
}

// lay draws the part of the plane of that scale, shifted from its middle by so many thirds of the room there is, half as wide
// and high as the plane.
func (p plane) lay(out []float64, w way) {
	wide, high := w.scale*float64(p.wide), w.scale*float64(p.high)
	left := (float64(p.wide) - wide) / 2 * (1 + float64(w.dx)/shiftsEachWay)
	top := (float64(p.high) - high) / 2 * (1 + float64(w.dy)/shiftsEachWay)
	var columns [greyWide / 2]struct {
		at   int
		part float64
	}
	outWide, outHigh := p.wide/2, p.high/2
	for x := range outWide {
		columns[x].at, columns[x].part = between(left+(float64(x)+0.5)*wide/float64(outWide), p.wide)
	}
	for y := range outHigh {
		row, below := between(top+(float64(y)+0.5)*high/float64(outHigh), p.high)
		upper, lower := p.at[row*p.wide:(row+1)*p.wide], p.at[(row+1)*p.wide:(row+2)*p.wide]
		for x, c := range columns[:outWide] {
			a := float64(upper[c.at])*(1-c.part) + float64(upper[c.at+1])*c.part
			b := float64(lower[c.at])*(1-c.part) + float64(lower[c.at+1])*c.part
			out[y*outWide+x] = a*(1-below) + b*below
		}
	}
}

// between is the pixel before a place, and how far the place lies from its middle on the way to the next one's.
func between(place float64, pixels int) (at int, part float64) {
	place = min(max(place-0.5, 0), float64(pixels)-1)
	at = min(int(place), pixels-2)
	return at, place - float64(at)
}

// normal takes the mean away and makes the length 1; false for a picture that has nothing in it.
func normal(o []float64) bool {
	sum := 0.0
	for _, v := range o {
		sum += v
	}
	mean, square := sum/float64(len(o)), 0.0
	for i := range o {
		o[i] -= mean
		square += o[i] * o[i]
	}
	if square < float64(len(o)) { // less than one step of 255 from its mean
		return false
	}
	length := math.Sqrt(square)
	for i := range o {
		o[i] /= length
	}
	return true
}

func dot(o, p []float64) float64 {
	sum := 0.0
	for i := range o {
		sum += o[i] * p[i]
	}
	return sum
}
