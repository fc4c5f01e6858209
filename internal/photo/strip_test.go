package photo

import (
	"bytes"
	"encoding/binary"
	"image/jpeg"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
)

// segmentOf is a JPEG segment.
func segmentOf(marker byte, body string) []byte {
	return append(binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(body)+2)), body...)
}

// with puts segments behind the start of a JPEG.
func with(picture []byte, segments ...[]byte) []byte {
	return slices.Concat(picture[:2], slices.Concat(segments...), picture[2:])
}

func stripOf(t testing.TB, b []byte) []byte {
	t.Helper()
	out, err := io.ReadAll(Strip(bytes.NewReader(b)))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Whatever stands beside a picture and may tell of its place goes; every pixel stays.
func TestStrip(t *testing.T) {
	plain := encodeJPEG(t, scene(3, 640, 480), 90)
	place, err := WithEXIF(plain, EXIF{Orientation: 6, GPS: &GPS{Latitude: 51.5, Longitude: -0.1}, Make: "Kiln"})
	if err != nil {
		t.Fatal(err)
	}
	jfif := segmentOf(markerAPP0, "JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x00\x00")
	icc := segmentOf(markerAPP2, "ICC_PROFILE\x00\x01\x01a profile")
	adobe := segmentOf(markerAPP14, "Adobe\x00\x64\x00\x00\x00\x00\x01")
	for name, tt := range map[string]struct{ in, want []byte }{
		"nothing beside it":    {plain, plain},
		"EXIF with a place":    {place, plain},
		"XMP":                  {with(plain, segmentOf(markerAPP1, "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta exif:GPSLatitude='51'/>")), plain},
		"IPTC":                 {with(plain, segmentOf(0xed, "Photoshop 3.0\x008BIM a town")), plain},
		"a comment":            {with(plain, segmentOf(markerCOM, "taken at 51 N")), plain},
		"more pictures (MPF)":  {append(with(plain, segmentOf(markerAPP2, "MPF\x00 II")), place...), plain},
		"a small picture":      {with(plain, segmentOf(markerAPP0, "JFXX\x00\x10")), plain},
		"a maker's own":        {with(plain, segmentOf(0xe5, "anything")), plain},
		"bytes behind the end": {append(bytes.Clone(plain), "51.5 N"...), plain},
		"its colours stay":     {with(plain, jfif, icc, segmentOf(markerAPP1, "Exif\x00\x00"), adobe), with(plain, jfif, icc, adobe)},
	} {
		t.Run(name, func(t *testing.T) {
			if got := stripOf(t, tt.in); !bytes.Equal(got, tt.want) {
				t.Errorf("got %d bytes, want %d", len(got), len(tt.want))
			}
			// However it is read, the same comes out.
			for how, r := range map[string]io.Reader{"in bytes": iotest.OneByteReader(bytes.NewReader(tt.in)), "in halves": iotest.HalfReader(bytes.NewReader(tt.in))} {
				got, err := io.ReadAll(iotest.OneByteReader(Strip(r)))
				if err != nil || !bytes.Equal(got, tt.want) {
					t.Errorf("%s: got %d bytes, %v", how, len(got), err)
				}
			}
		})
	}
}

// The kinds that are taken as evidence keep their pixels: the files are drawn, see the README beside them.
func TestStripKeepsPixels(t *testing.T) {
	for _, name := range []string{"quarters-baseline.jpg", "quarters-progressive.jpg", "quarters-grey.jpg", "quarters-cmyk.jpg"} {
		b, err := os.ReadFile(filepath.Join("../../testdata/pdf", name))
		if err != nil {
			t.Fatal(err)
		}
		placed, err := WithEXIF(b, EXIF{Orientation: 3, GPS: &GPS{Latitude: 1, Longitude: 2}})
		if err != nil {
			t.Fatal(err)
		}
		bare := stripOf(t, placed)
		info, err := Check(bytes.NewReader(bare), int64(len(bare)))
		if err != nil || info.HasLocation || info.Orientation != 1 {
			t.Errorf("%s: %+v, %v", name, info, err)
		}
		if got, want := pixels(t, bare), pixels(t, b); !slices.Equal(got, want) {
			t.Errorf("%s: other pixels", name)
		}
	}
}

func pixels(t *testing.T, b []byte) []uint32 {
	t.Helper()
	m, err := jpeg.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	var all []uint32
	for y := range m.Bounds().Dy() {
		for x := range m.Bounds().Dx() {
			r, g, b, _ := m.At(x, y).RGBA()
			all = append(all, r, g, b)
		}
	}
	return all
}

func TestStripWhatIsNoPicture(t *testing.T) {
	plain := encodeJPEG(t, scene(3, 64, 48), 90)
	for name, b := range map[string][]byte{
		"nothing": nil, "words": []byte("no picture"), "cut in the head": plain[:20], "cut in the picture": plain[:len(plain)-2],
		"a start inside": with(plain, []byte{0xff, markerSOI}), "a length of nothing": with(plain, []byte{0xff, markerAPP1, 0, 0}),
	} {
		if got, err := io.ReadAll(Strip(bytes.NewReader(b))); err == nil || !strings.Contains(err.Error(), "beside a picture") {
			t.Errorf("%s: %d bytes, %v", name, len(got), err)
		}
	}
}

// What was taken as evidence can be stripped, says as much as before, and cannot be stripped further.
func FuzzStrip(f *testing.F) {
	plain := encodeJPEG(f, scene(3, 16, 16), 60)
	place, err := WithEXIF(plain, EXIF{GPS: &GPS{Latitude: 51.5, Longitude: -0.1}})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(plain)
	f.Add(place)
	f.Fuzz(func(t *testing.T, b []byte) {
		if !hasPrefix(b, "\xff\xd8\xff") {
			return
		}
		before, err := walkJPEG(bytes.NewReader(b))
		if err != nil {
			return
		}
		bare, err := io.ReadAll(Strip(bytes.NewReader(b)))
		if err != nil {
			t.Fatalf("taken as evidence, and not stripped: %v", err)
		}
		after, err := walkJPEG(bytes.NewReader(bare))
		if err != nil || after.width != before.width || after.height != before.height || after.exif != nil {
			t.Errorf("got %+v, %v, want %+v", after, err, before)
		}
		again, err := io.ReadAll(Strip(bytes.NewReader(bare)))
		if err != nil || !bytes.Equal(again, bare) {
			t.Errorf("stripped again: %d bytes, %v, want %d", len(again), err, len(bare))
		}
	})
}
