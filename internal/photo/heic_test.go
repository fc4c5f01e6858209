package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"slices"
	"testing"
	"time"

	"witnessmark/internal/fault"
	"witnessmark/internal/heif/heiftest"
)

func TestCheckReadsHEIC(t *testing.T) {
	want := Info{Media: HEIC, Width: heiftest.Width, Height: heiftest.Height, Orientation: 1,
		TakenAt: heiftest.TakenAt, ZoneStated: true, Make: heiftest.Make, Model: heiftest.Model}
	for name, in := range map[string][]byte{"upright": heiftest.Upright, "turned": heiftest.Turned} {
		want.HasLocation = name == "upright"
		got, err := check(in)
		if err != nil || !got.TakenAt.Equal(want.TakenAt) {
			t.Errorf("%s: taken %s (%v); want %s", name, got.TakenAt, err, want.TakenAt)
		}
		got.TakenAt = want.TakenAt // the same moment may have its zone in another form
		if got != want {
			t.Errorf("%s: got %+v, want %+v", name, got, want)
		}
	}
}

// isoBox is a box with its parts in it.
func isoBox(kind string, parts ...[]byte) []byte {
	body := slices.Concat(parts...)
	return slices.Concat(binary.BigEndian.AppendUint32(nil, uint32(8+len(body))), []byte(kind), body)
}

// numbers are big-endian, each of so many bytes.
func numbers(bytes int, values ...int) []byte {
	var b []byte
	for _, v := range values {
		for i := bytes - 1; i >= 0; i-- {
			b = append(b, byte(v>>(8*i)))
		}
	}
	return b
}

// heicOf is a HEIC of one item with these properties, in the long forms that Debian's heif-enc does not write: versions with
// wide numbers, EXIF inside the description, a box whose length has eight bytes. Its fields are those of ISO/IEC 14496-12,
// 8.11, and ISO/IEC 23008-12, 6.5 and 9.3.1.
func heicOf(exif []byte, properties ...[]byte) []byte {
	uses := numbers(4, 1<<24|1, 1, 70_000)
	uses = append(uses, byte(len(properties)))
	for i := range properties {
		uses = append(uses, numbers(2, 0x8000|(i+1))...)
	}
	items := [][]byte{
		isoBox("infe", numbers(4, 3<<24, 70_000), numbers(2, 0), []byte("hvc1")),
		isoBox("infe", numbers(4, 3<<24, 70_001), numbers(2, 0), []byte("Exif")),
	}
	where := slices.Concat(numbers(4, 2<<24), numbers(1, 0x84, 0x04), numbers(4, 1), // offsets of 8, lengths of 4, an index of 4
		numbers(4, 70_001), numbers(2, 1, 0, 1), numbers(4, 9), numbers(8, 2), numbers(4, len(exif)))
	meta := slices.Concat(numbers(4, 0), isoBox("pitm", numbers(4, 1<<24, 70_000)),
		isoBox("iinf", numbers(4, 1<<24, 2), slices.Concat(items...)), isoBox("iloc", where), isoBox("idat", []byte("ab"), exif),
		isoBox("iprp", isoBox("ipco", properties...), isoBox("ipma", uses)))
	return slices.Concat(isoBox("ftyp", []byte("heic\x00\x00\x00\x00mif1")), isoBox("free", make([]byte, 100)),
		numbers(4, 1), []byte("meta"), numbers(8, 16+len(meta)), meta)
}

func ispe(w, h int) []byte { return isoBox("ispe", numbers(4, 0, w, h)) }

func TestCheckReadsTheLongForms(t *testing.T) {
	exif := slices.Concat(numbers(4, 6), []byte("Exif\x00\x00"), EXIF{Model: "M", TakenAt: time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC), Orientation: 8}.encode())
	clap := isoBox("clap", numbers(4, 1998, 2, 700, 1, 0, 1, 0, 1))
	quarter, half := isoBox("irot", numbers(1, 1)), isoBox("irot", numbers(1, 2))
	tests := []struct {
		name          string
		properties    [][]byte
		width, height int
	}{
		{"plain", [][]byte{ispe(1000, 800)}, 1000, 800},
		{"cut, then turned", [][]byte{ispe(1000, 800), clap, quarter}, 700, 999},
		{"upside down, mirrored", [][]byte{ispe(1000, 800), half, isoBox("imir", numbers(1, 1))}, 1000, 800},
		{"the largest", [][]byte{ispe(8192, 6400)}, 8192, 6400},
		{"larger", [][]byte{ispe(60_000, 60_000)}, 0, 0},
		{"longer", [][]byte{ispe(30_001, 10)}, 0, 0},
		{"of a size past any number", [][]byte{ispe(1<<32-1, 1<<32-1)}, 0, 0},
		{"cut by a broken fraction", [][]byte{ispe(1000, 800), isoBox("clap", numbers(4, 9, 0, 9, 1))}, 0, 0},
		{"without a size", [][]byte{quarter}, 0, 0},
	}
	for _, tt := range tests {
		info, err := check(heicOf(exif, tt.properties...))
		want := Info{Media: HEIC, Width: tt.width, Height: tt.height, Orientation: 1, Model: "M", TakenAt: time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)}
		if err != nil || info != want {
			t.Errorf("%s: got %+v, %v; want %+v", tt.name, info, err, want)
		}
	}
}

// A HEIC is never refused. What is cut off it is not there, and its size is right or none.
func TestNoHEICIsRefused(t *testing.T) {
	for n := 12; n < len(heiftest.Turned); n++ {
		info, err := check(heiftest.Turned[:n])
		none, whole := info.Width == 0 && info.Height == 0, info.Width == heiftest.Width && info.Height == heiftest.Height
		if err != nil || info.Media != HEIC || !none && !whole {
			t.Fatalf("cut after %d bytes: %+v, %v", n, info, err)
		}
	}
}

func TestRedrawn(t *testing.T) {
	of, err := check(heiftest.Turned)
	if err != nil {
		t.Fatal(err)
	}
	drawn := encodeJPEG(t, image.NewRGBA(image.Rect(0, 0, heiftest.Width, heiftest.Height)), 90)
	// Debian 12's heif-convert draws it upright and copies EXIF that says that it lies on its side.
	turned := withEXIF(t, drawn, EXIF{Orientation: 6})
	got, err := Redrawn(bytes.NewReader(turned), int64(len(turned)), of)
	want := of
	want.Media = JPEG
	if err != nil || got != want || got.Orientation != 1 {
		t.Errorf("got %+v, %v; want %+v", got, err, want)
	}
	for name, b := range map[string][]byte{
		"another size":    encodeJPEG(t, image.NewRGBA(image.Rect(0, 0, heiftest.Height, heiftest.Width)), 90),
		"another kind":    encodePNG(t, image.NewRGBA(image.Rect(0, 0, heiftest.Width, heiftest.Height))),
		"half a picture":  drawn[:len(drawn)/2],
		"a giant picture": withSize(t, drawn, 60_000, 60_000),
	} {
		if info, err := Redrawn(bytes.NewReader(b), int64(len(b)), of); fault.KindOf(err) != fault.KindInvalid {
			t.Errorf("%s: got %+v, %v; want it refused", name, info, err)
		}
	}
}

// Whatever a HEIC claims, reading it ends, stays within its bytes, and gives a size that may be drawn or none.
func FuzzCheckHEIC(f *testing.F) {
	f.Add(heiftest.Upright)
	f.Add(heiftest.Turned)
	f.Add(heicOf([]byte("\x00\x00\x00\x00II*\x00"), ispe(1000, 800), isoBox("irot", []byte{1})))
	f.Fuzz(func(t *testing.T, b []byte) {
		info, err := checkHEIC(bytes.NewReader(b), int64(len(b)))
		if err != nil {
			t.Fatal(err)
		}
		if none := info.Width == 0 && info.Height == 0; !none {
			if err := (header{width: info.Width, height: info.Height}).withinLimits(); err != nil {
				t.Error(err)
			}
		}
	})
}
