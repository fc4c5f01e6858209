package codecard_test

import (
	"bytes"
	"encoding/xml"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"testing"

	"github.com/google/uuid"
	qr "github.com/skip2/go-qrcode"
	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/math/f64"

	"witnessmark/internal/codecard"
)

var (
	mine   = uuid.MustParse("0d3f6a52-9e0b-4f7c-8a43-5e1b2c9d7f10")
	theirs = uuid.MustParse("7c1e2b44-03aa-4a0e-9d55-b1a2c3d4e5f6")
)

// card draws the code as the page's SVG has it, dot pixels a module.
func card(t testing.TB, id uuid.UUID, dot int) *image.Gray {
	t.Helper()
	svg, err := codecard.SVG(id)
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		ViewBox string `xml:"viewBox,attr"`
		Path    []struct {
			D string `xml:"d,attr"`
		} `xml:"path"`
	}
	if err := xml.Unmarshal(svg, &doc); err != nil {
		t.Fatal(err)
	}
	side := number(t, regexp.MustCompile(`^0 0 (\d+) `).FindStringSubmatch(doc.ViewBox)[1])
	img := image.NewGray(image.Rect(0, 0, side*dot, side*dot))
	draw.Draw(img, img.Rect, image.White, image.Point{}, draw.Src)
	for _, m := range regexp.MustCompile(`M(\d+) (\d+)h1`).FindAllStringSubmatch(doc.Path[1].D, -1) {
		x, y := number(t, m[1])*dot, number(t, m[2])*dot
		draw.Draw(img, image.Rect(x, y, x+dot, y+dot), image.Black, image.Point{}, draw.Src)
	}
	return img
}

func number(t testing.TB, s string) int {
	t.Helper()
	n, err := strconv.Atoi(s)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// bench is a picture of a bench with grain, of a camera's usual proportions.
func bench(w, h int) *image.RGBA {
	rnd := rand.New(rand.NewPCG(3, 8))
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint8(150 + 40*y/h + rnd.IntN(18))
			img.SetRGBA(x, y, color.RGBA{v, v - 8, v - 20, 255})
		}
	}
	for x := w / 10; x < w; x += max(1, w/5) {
		draw.Draw(img, image.Rect(x, 0, x+w/40, h), image.NewUniform(color.RGBA{150, 80, 40, 255}), image.Point{}, draw.Src)
	}
	return img
}

// laid lays a card into the picture, turned by degrees, its side in pixels.
func laid(on *image.RGBA, card image.Image, x, y, side, degrees float64) {
	k := side / float64(card.Bounds().Dx())
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	m := f64.Aff3{k * cos, -k * sin, x, k * sin, k * cos, y}
	xdraw.CatmullRom.Transform(on, m, card, card.Bounds(), draw.Over, nil)
}

// photographed is the picture after a camera's JPEG.
func photographed(t *testing.T, img image.Image) image.Image {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 82}); err != nil {
		t.Fatal(err)
	}
	got, err := jpeg.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestCardsAreFoundInPhotos(t *testing.T) {
	for _, test := range []struct {
		name              string
		side, degrees     float64
		width, high       int
		x, y              float64
		other, nobodyElse bool
	}{
		{name: "a corner of the picture", side: 190, x: 60, y: 60, width: 1600, high: 1200},
		{name: "turned", side: 300, degrees: 33, x: 700, y: 300, width: 1600, high: 1200},
		{name: "upside down", side: 260, degrees: 180, x: 900, y: 800, width: 1600, high: 1200},
		{name: "filling the picture", side: 1000, x: 100, y: 100, width: 1200, high: 1200},
		{name: "a large picture", side: 420, degrees: 8, x: 1500, y: 900, width: 2400, high: 1800},
		{name: "beside another's card", side: 260, x: 200, y: 200, width: 1600, high: 1200, other: true},
	} {
		t.Run(test.name, func(t *testing.T) {
			img := bench(test.width, test.high)
			laid(img, card(t, mine, 8), test.x, test.y, test.side, test.degrees)
			want := []uuid.UUID{mine}
			if test.other {
				laid(img, card(t, theirs, 8), 1000, 700, 260, -12)
				want = append(want, theirs)
			}
			got := codecard.Read(photographed(t, img))
			slices.SortFunc(got, func(a, b uuid.UUID) int { return bytes.Compare(a[:], b[:]) })
			if !slices.Equal(got, want) {
				t.Errorf("found %v; want %v", got, want)
			}
		})
	}
}

// An appliance's own plate is no card, whatever it says.
func TestOtherCodesArePassedOver(t *testing.T) {
	for _, text := range []string{"https://maker.example/boiler/24?sn=001723", "WITNESSMARK 1 ", "WITNESSMARK 1 ILOU", "WITNESSMARK 2 " + "01F8MECHZX3TBDSZ7XRADM79XE"} {
		code, err := qr.New(text, qr.Medium)
		if err != nil {
			t.Fatal(err)
		}
		img := bench(900, 700)
		laid(img, code.Image(300), 200, 200, 300, 0)
		if got := codecard.Read(photographed(t, img)); len(got) > 0 {
			t.Errorf("%q is read as %v", text, got)
		}
	}
}

func TestPicturesWithoutACard(t *testing.T) {
	for name, img := range map[string]image.Image{
		"a bench": bench(1200, 900), "gravel": gravel(1600, 1200), "a dot": bench(1, 1), "a line": bench(3000, 1), "nothing": image.NewGray(image.Rect(0, 0, 0, 0)),
	} {
		if got := codecard.Read(img); len(got) > 0 {
			t.Errorf("%s: found %v", name, got)
		}
	}
}

// gravel is a picture in which thousands of things look like the corner of a code.
func gravel(w, h int) *image.Gray {
	rnd := rand.New(rand.NewPCG(1, 2))
	img := image.NewGray(image.Rect(0, 0, w, h))
	draw.Draw(img, img.Rect, image.White, image.Point{}, draw.Src)
	for range w * h / 900 {
		x, y := rnd.IntN(w), rnd.IntN(h)
		for i, c := range []*image.Uniform{image.Black, image.White, image.Black} {
			draw.Draw(img, image.Rect(x+2*i, y+2*i, x+14-2*i, y+14-2*i), c, image.Point{}, draw.Src)
		}
	}
	return img
}

func TestShortNamesTellCardsApart(t *testing.T) {
	if got := codecard.Short(mine); got == codecard.Short(theirs) || !regexp.MustCompile(`^[0-9A-HJKMNP-TV-Z]{4}-[0-9A-HJKMNP-TV-Z]{4}$`).MatchString(got) {
		t.Errorf("the cards are called %s and %s", got, codecard.Short(theirs))
	}
}
