// Package codecard draws and reads the one-off card of an attempt, which lies in a photo to show that it was taken for this
// attempt and not kept from another. A card carries an id that is nothing else's: whoever reads it learns nothing.
//
// A card that is not found proves nothing (glare, a thumb, a crease), so nobody is refused for it.
package codecard

import (
	"bytes"
	"encoding/base32"
	"fmt"
	"image"
	"slices"
	"strings"

	"github.com/google/uuid"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	qr "github.com/skip2/go-qrcode"
	"golang.org/x/image/draw"
)

// head begins the text of every card. Capitals, digits and spaces alone make the smallest code.
const head = "WITNESSMARK 1 "

// letters are the digits of an id on a card: none looks like another (Crockford's base 32, from memory).
var letters = base32.NewEncoding("0123456789ABCDEFGHJKMNPQRSTVWXYZ").WithPadding(base32.NoPadding)

// Short is the card's own short name, for people to compare: two groups of four letters.
func Short(id uuid.UUID) string {
	s := letters.EncodeToString(id[11:]) // the first bytes of an id may be a time, much the same for a whole cohort
	return s[:4] + "-" + s[4:8]
}

// Dots is the card's code with its quiet margin, row by row, true where it is dark. A quarter of it may be covered by dirt.
func Dots(id uuid.UUID) ([][]bool, error) {
	code, err := qr.New(head+letters.EncodeToString(id[:]), qr.High)
	if err != nil {
		return nil, fmt.Errorf("draw a code card: %w", err)
	}
	return code.Bitmap(), nil
}

// SVG draws the card's code, black on white, a unit a dot.
func SVG(id uuid.UUID) ([]byte, error) {
	dots, err := Dots(id)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %[1]d" shape-rendering="crispEdges"><path fill="#fff" d="M0 0h%[1]dv%[1]dH0z"/><path d="`, len(dots))
	for y, row := range dots {
		for x, dark := range row {
			if dark {
				fmt.Fprintf(&b, "M%d %dh1v1h-1z", x, y)
			}
		}
	}
	b.WriteString(`"/></svg>`)
	return b.Bytes(), nil
}

// How a picture is looked at: whole and small, where a card that fills it stands without grain and creases, then in larger
// overlapping tiles, where a card at its edge is large enough. That bounds time and memory, and since the reader gives one code
// at a time, it finds a card beside an appliance's own code too.
var (
	wholes   = []int{500, 1000} // longer sides, pixels
	tiled    = 1600
	tileSide = 700
	tileStep = 450
)

// Read lists the ids of the cards that it finds in a picture, each once. Other codes, as on an appliance's plate, are passed
// over.
func Read(img image.Image) []uuid.UUID {
	var found []uuid.UUID
	look := func(part *image.Gray) {
		if id, ok := parse(text(part)); ok && !slices.Contains(found, id) {
			found = append(found, id)
		}
	}
	for _, side := range wholes {
		look(within(img, side))
	}
	large := within(img, tiled)
	for y := 0; y == 0 || y+tileSide-tileStep < large.Rect.Dy(); y += tileStep {
		for x := 0; x == 0 || x+tileSide-tileStep < large.Rect.Dx(); x += tileStep {
			look(large.SubImage(image.Rect(x, y, x+tileSide, y+tileSide)).(*image.Gray))
		}
	}
	return found
}

// parse reads the text of a card: of each id there is one, though the decoder takes others, with line ends or spare bits.
func parse(text string) (uuid.UUID, bool) {
	digits, ok := strings.CutPrefix(text, head)
	if !ok {
		return uuid.Nil, false
	}
	b, err := letters.DecodeString(digits)
	if err != nil || letters.EncodeToString(b) != digits {
		return uuid.Nil, false
	}
	id, err := uuid.FromBytes(b)
	return id, err == nil
}

// within is the picture in greys, its longer side at most side pixels.
func within(img image.Image, side int) *image.Gray {
	size := img.Bounds().Size()
	if long := max(size.X, size.Y); long > side {
		size = image.Pt(max(1, size.X*side/long), max(1, size.Y*side/long))
	}
	small := image.NewGray(image.Rectangle{Max: size})
	draw.BiLinear.Scale(small, small.Rect, img, img.Bounds(), draw.Src, nil)
	return small
}

// cornersMost is how many things in a picture may look like the corner of a code before it counts as too busy to be read: the
// reader tries them in threes, and would not come back from a picture of gravel.
const cornersMost = 150

// corners counts them.
type corners int

// FoundPossibleResultPoint is told of each.
func (n *corners) FoundPossibleResultPoint(gozxing.ResultPoint) {
	if *n++; *n > cornersMost {
		panic("too busy")
	}
}

// text reads one code in the picture; "" where it finds none. The reader is other people's work on whatever pixels come: one
// that trips over them has found nothing.
func text(img *image.Gray) (found string) {
	defer func() {
		if recover() != nil {
			found = ""
		}
	}()
	if img.Rect.Empty() {
		return ""
	}
	bits, err := gozxing.NewBinaryBitmapFromImage(img)
	if err != nil {
		return ""
	}
	result, err := qrcode.NewQRCodeReader().Decode(bits, map[gozxing.DecodeHintType]any{
		gozxing.DecodeHintType_TRY_HARDER:                 true,
		gozxing.DecodeHintType_NEED_RESULT_POINT_CALLBACK: gozxing.ResultPointCallback(new(corners).FoundPossibleResultPoint),
	})
	if err != nil {
		return ""
	}
	return result.GetText()
}
