package codecard_test

import (
	"image"
	"image/color"
	"runtime"
	"slices"
	"testing"

	"github.com/google/uuid"
	qr "github.com/skip2/go-qrcode"

	"witnessmark/internal/codecard"
)

// allocatedMost bounds what one small picture may have allocated in all while it was read, in bytes: a busy one takes six
// million.
const allocatedMost = 128 << 20

// read reads a picture and fails where that took too much memory.
func read(t *testing.T, img image.Image) []uuid.UUID {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	found := codecard.Read(img)
	runtime.ReadMemStats(&after)
	if n := after.TotalAlloc - before.TotalAlloc; n > allocatedMost {
		t.Errorf("a picture of %v took %d bytes to read, want at most %d", img.Bounds(), n, allocatedMost)
	}
	return found
}

// spoilt is a card on which the modules whose bits are set are turned round, dot pixels a module.
func spoilt(t *testing.T, dot int, bits []byte) *image.Gray {
	t.Helper()
	dots, err := codecard.Dots(mine)
	if err != nil {
		t.Fatal(err)
	}
	side := len(dots)
	img := image.NewGray(image.Rect(0, 0, side*dot, side*dot))
	for y := range side * dot {
		for x := range side * dot {
			n := y/dot*side + x/dot
			turned := n/8 < len(bits) && bits[n/8]>>(n%8)&1 == 1
			if dots[y/dot][x/dot] == turned {
				img.SetGray(x, y, color.Gray{Y: 255})
			}
		}
	}
	return img
}

// FuzzRead reads pictures of any pixels, and cards with any of their modules turned round: nothing panics, memory stays
// bounded, and no other card is ever made out of the one that is there.
func FuzzRead(f *testing.F) {
	f.Add(uint16(0), uint8(4), []byte{})
	f.Add(uint16(0), uint8(4), []byte{1: 0x55, 60: 0xaa, 90: 0xff})
	f.Add(uint16(0), uint8(1), []byte{0xff, 0xff, 0xff, 0xff})
	f.Add(uint16(200), uint8(1), []byte{0, 255, 0, 0, 0, 255, 0})
	f.Add(uint16(1), uint8(3), []byte("a line"))
	f.Add(uint16(300), uint8(1), gravel(300, 200).Pix)
	f.Add(uint16(117), uint8(1), card(f, mine, 3).Pix)
	f.Fuzz(func(t *testing.T, width uint16, dot uint8, data []byte) {
		if len(data) > 100_000 {
			return // of pictures: of cards a few hundred bytes are all
		}
		if width == 0 {
			for _, id := range read(t, spoilt(t, 1+int(dot%6), data)) {
				if id != mine {
					t.Errorf("a spoilt card of %v is read as %v", mine, id)
				}
			}
			return
		}
		w := 1 + int(width-1)%600
		img := image.NewGray(image.Rect(0, 0, w, (len(data)+w-1)/w))
		copy(img.Pix, data)
		read(t, img)
	})
}

// FuzzText reads codes of any text, as they stand on an appliance's plate: what is read as a card's id is the text of that card.
func FuzzText(f *testing.F) {
	for _, text := range []string{"", "WITNESSMARK 1 ", "WITNESSMARK 1 1MZN4MGY1DZHY2J3BRDJQ7BZ20", "WITNESSMARK 1 1MZN4MGY1DZHY2J3BRDJQ7BZ2Z", "WITNESSMARK 2 0", "\x00\xff", "水"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		code, err := qr.New(text, qr.Medium)
		if err != nil {
			return // longer than any code, or nothing
		}
		side := len(code.Bitmap())
		found := read(t, code.Image(side*4))
		if len(found) == 0 {
			return
		}
		card, err := codecard.Dots(found[0])
		if err != nil {
			t.Fatal(err)
		}
		again, err := qr.New(text, qr.High)
		if err != nil || len(found) > 1 || !slices.EqualFunc(card, again.Bitmap(), slices.Equal[[]bool]) {
			t.Errorf("%q is read as %v", text, found)
		}
	})
}
