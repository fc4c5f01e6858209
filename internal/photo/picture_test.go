package photo

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/fault"
)

// scene draws an invented bay: a wall, pipes, a box with a dial. One seed is one picture.
func scene(seed uint64, w, h int) *image.RGBA {
	rnd := rand.New(rand.NewPCG(seed, 7))
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	top, bottom := 120+rnd.IntN(120), 60+rnd.IntN(120)
	for y := range h {
		v := uint8(top + (bottom-top)*y/h)
		draw.Draw(img, image.Rect(0, y, w, y+1), image.NewUniform(color.RGBA{v, v, v - 10, 255}), image.Point{}, draw.Src)
	}
	for range 9 + rnd.IntN(6) {
		c := color.RGBA{uint8(rnd.IntN(256)), uint8(rnd.IntN(256)), uint8(rnd.IntN(256)), 255}
		x, y, thick := rnd.IntN(w), rnd.IntN(h), w/40+rnd.IntN(w/12)
		bar := image.Rect(x, y, x+thick, y+h/3+rnd.IntN(h/2))
		if rnd.IntN(2) == 0 {
			bar = image.Rect(x, y, x+w/3+rnd.IntN(w/2), y+thick)
		}
		draw.Draw(img, bar, image.NewUniform(c), image.Point{}, draw.Src)
	}
	return img
}

func encodeJPEG(t testing.TB, img image.Image, quality int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func encodePNG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func withEXIF(t testing.TB, jpeg []byte, e EXIF) []byte {
	t.Helper()
	b, err := WithEXIF(jpeg, e)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// goPictures reads the pictures that the Go distribution tests its own decoders with.
func goPictures(t testing.TB, pattern string) map[string][]byte {
	t.Helper()
	root, err := exec.CommandContext(t.Context(), "go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatalf("asking where Go lies: %v", err)
	}
	paths, err := filepath.Glob(filepath.Join(strings.TrimSpace(string(root)), "src/image", pattern))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no %s in Go's own sources (%v)", pattern, err)
	}
	got := map[string][]byte{}
	for _, path := range paths {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		got[filepath.Base(path)] = b
	}
	return got
}

// withSize forges the size in a JPEG's frame header.
func withSize(t testing.TB, jpeg []byte, w, h uint16) []byte {
	t.Helper()
	b := slices.Clone(jpeg)
	at := frameAt(t, b)
	binary.BigEndian.PutUint16(b[at+5:], h)
	binary.BigEndian.PutUint16(b[at+7:], w)
	return b
}

// frameAt is where the frame header of a baseline JPEG begins.
func frameAt(t testing.TB, b []byte) int {
	t.Helper()
	at := bytes.Index(b, []byte{0xff, 0xc0, 0, 17, 8})
	if at < 0 {
		t.Fatal("no baseline frame header")
	}
	return at
}

// afterSOI puts segments at a JPEG's front.
func afterSOI(jpeg []byte, segments ...[]byte) []byte {
	return slices.Concat(jpeg[:2], slices.Concat(segments...), jpeg[2:])
}

func segment(marker byte, body []byte) []byte {
	return append(binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(body)+2)), body...)
}

func pngChunk(name string, body []byte) []byte {
	b := append(binary.BigEndian.AppendUint32(nil, uint32(len(body))), name...)
	b = append(b, body...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// pngHeader is a PNG of the given size, 8-bit grey, up to its IHDR.
func pngHeader(w, h uint32, depth, colour byte) []byte {
	b := binary.BigEndian.AppendUint32(nil, w)
	b = append(binary.BigEndian.AppendUint32(b, h), depth, colour, 0, 0, 0)
	return append([]byte(pngMagic), pngChunk("IHDR", b)...)
}

// wantRefusal asks for a fault on the field "file" whose message holds the word.
func wantRefusal(t *testing.T, err error, word string) {
	t.Helper()
	e, ok := fault.As(err)
	if !ok || e.Kind != fault.KindInvalid || e.Fields[0].Name != "file" || !strings.Contains(e.Message, word) {
		t.Errorf("err = %v; want a fault on the file that says %q", err, word)
	}
}
