package photo

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

// littleEndian is an EXIF block written down by hand after TIFF 6.0 (section 2: header, directory, entry) and Exif 2.32
// (4.6.3: pointers; 4.6.5: tags), from memory of both, so that reading is not only held against our own writing.
const littleEndian = "" +
	"4949 2a00 08000000" + // "II", 42, first directory at 8
	"0500" + // five entries
	"0f01 0200 05000000 4a000000" + // Make: 5 characters at 74
	"1001 0200 03000000 42370000" + // Model: "B7" within the entry
	"1201 0300 01000000 06000000" + // Orientation: 6
	"6987 0400 01000000 50000000" + // EXIF directory at 80
	"2588 0400 01000000 aa000000" + // GPS directory at 170
	"00000000" + // no next directory
	"4b696c6e00 00" + // 74: "Kiln"
	"0300" + // 80: three entries
	"0390 0200 14000000 7a000000" + // DateTimeOriginal: 20 characters at 122
	"1190 0200 07000000 8e000000" + // OffsetTimeOriginal: 7 characters at 142
	"7c92 0700 10000000 96000000" + // MakerNote: 16 bytes at 150
	"00000000" +
	"323032363a30333a31342030393a32363a353300" + // 122: "2026:03:14 09:26:53"
	"2b30313a303000 00" + // 142: "+01:00"
	"deadbeefdeadbeefdeadbeefdeadbeef" + "00000000" + // 150, and four bytes of nothing
	"0200" + // 170: two entries
	"0100 0200 02000000 4e000000" + // GPSLatitudeRef: "N"
	"0200 0500 03000000 00000000" + // GPSLatitude
	"00000000"

func handWritten(t testing.TB) []byte {
	t.Helper()
	b, err := hex.DecodeString(strings.ReplaceAll(littleEndian, " ", ""))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestReadEXIFWrittenByHand(t *testing.T) {
	got := readEXIF(handWritten(t)).info(JPEG)
	want := Info{Media: JPEG, Orientation: 6, Make: "Kiln", Model: "B7", HasLocation: true, ZoneStated: true}
	if at := time.Date(2026, 3, 14, 8, 26, 53, 0, time.UTC); !got.TakenAt.Equal(at) {
		t.Errorf("TakenAt = %v; want %v", got.TakenAt, at)
	}
	if got.TakenAt = (time.Time{}); got != want {
		t.Errorf("got %+v; want %+v", got, want)
	}
}

func TestWithEXIFIsReadBack(t *testing.T) {
	plain := encodeJPEG(t, scene(1, 64, 48), 80)
	summer := time.Date(2026, 7, 1, 14, 5, 6, 0, time.FixedZone("", 3600))
	wall := time.Date(2026, 7, 1, 14, 5, 6, 0, time.UTC)
	tests := []struct {
		name string
		in   EXIF
		want Info
	}{
		{"nothing", EXIF{}, Info{Orientation: 1}},
		{"one short text", EXIF{Make: "K"}, Info{Orientation: 1, Make: "K"}},
		{"time in its zone", EXIF{TakenAt: summer, ZoneStated: true}, Info{Orientation: 1, TakenAt: summer, ZoneStated: true}},
		{"time without a zone", EXIF{TakenAt: summer}, Info{Orientation: 1, TakenAt: wall}},
		{"place alone", EXIF{GPS: &GPS{-51.5, -0.12}}, Info{Orientation: 1, HasLocation: true}},
		{"everything", EXIF{summer, true, "Kiln & Daughter", "Bay Seven", 8, &GPS{52.2, 0.1}},
			Info{Orientation: 8, TakenAt: summer, ZoneStated: true, Make: "Kiln & Daughter", Model: "Bay Seven", HasLocation: true}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := check(withEXIF(t, plain, tt.in))
			if err != nil {
				t.Fatal(err)
			}
			tt.want.Media, tt.want.Width, tt.want.Height = JPEG, 64, 48
			if tt.want.Orientation >= 5 {
				tt.want.Width, tt.want.Height = 48, 64
			}
			if !got.TakenAt.Equal(tt.want.TakenAt) {
				t.Errorf("TakenAt = %v; want %v", got.TakenAt, tt.want.TakenAt)
			}
			if got.TakenAt, tt.want.TakenAt = (time.Time{}), (time.Time{}); got != tt.want {
				t.Errorf("got %+v; want %+v", got, tt.want)
			}
		})
	}
	if _, err := WithEXIF([]byte("GIF89a"), EXIF{}); err == nil {
		t.Error("wrote into a GIF")
	}
	if _, err := WithEXIF(plain, EXIF{Make: strings.Repeat("x", 65536)}); err == nil {
		t.Error("wrote a segment past its length")
	}
	twice := withEXIF(t, withEXIF(t, plain, EXIF{Model: "old"}), EXIF{Model: "new"})
	if got, err := check(twice); err != nil || got.Model != "new" {
		t.Errorf("written twice: %q, %v; want the new one", got.Model, err)
	}
}

func TestTakenAt(t *testing.T) {
	tests := []struct {
		taken, offset, want string // want is RFC 3339, empty for not known
		zoned               bool
	}{
		{"2026:03:14 09:26:53", "", "2026-03-14T09:26:53Z", false},
		{"2026:03:14 09:26:53", "-03:30", "2026-03-14T09:26:53-03:30", true},
		{"2026:03:14 09:26:53", "   :  ", "2026-03-14T09:26:53Z", false},
		{"2026:03:14 09:26:53", "+99:99", "2026-03-14T09:26:53Z", false},
		{"9999:12:31 23:59:59", "", "9999-12-31T23:59:59Z", false},
		{"0000:00:00 00:00:00", "", "", false},
		{"0000:01:01 00:00:00", "", "", false},
		{"    :  :     :  :  ", "", "", false},
		{"2026:02:30 09:00:00", "", "", false},
		{"2026:02:03 24:00:00", "", "", false},
		{"<script>", "+01:00", "", false},
		{"", "+01:00", "", false},
	}
	for _, tt := range tests {
		got := facts{taken: tt.taken, offset: tt.offset}.info(JPEG)
		text := got.TakenAt.Format(time.RFC3339)
		if got.TakenAt.IsZero() {
			text = ""
		}
		if text != tt.want || got.ZoneStated != tt.zoned {
			t.Errorf("%q %q = %q, %v; want %q, %v", tt.taken, tt.offset, text, got.ZoneStated, tt.want, tt.zoned)
		}
	}
}

func TestHostileEXIF(t *testing.T) {
	base := handWritten(t)
	put16 := func(at int, v uint16) []byte {
		b := bytes.Clone(base)
		binary.LittleEndian.PutUint16(b[at:], v)
		return b
	}
	put32 := func(at int, v uint32) []byte {
		b := bytes.Clone(base)
		binary.LittleEndian.PutUint32(b[at:], v)
		return b
	}
	tests := []struct {
		name        string
		in          []byte
		orientation int
		maker       string
	}{
		{"65,535 entries", put16(8, 65535), 6, "Kiln"},
		{"first directory points to itself", put32(54, 8), 6, "Kiln"},
		{"EXIF directory is the first one", put32(54, 8), 6, "Kiln"},
		{"EXIF directory past the end", put32(54, 1<<32-1), 6, "Kiln"},
		{"first directory past the end", put32(4, 1<<31), 1, ""},
		{"make past the end", put32(18, 1<<32-2), 6, ""},
		{"make of 4 GB", put32(14, 1<<32-1), 6, ""},
		{"orientation 0", put16(42, 0), 1, "Kiln"},
		{"orientation 9", put16(42, 9), 1, "Kiln"},
		{"orientation 255", put16(42, 255), 1, "Kiln"},
		{"orientation as text", put16(36, typeASCII), 1, "Kiln"},
		{"neither byte order", put16(0, 0x4141), 1, ""},
		{"eight bytes", base[:8], 1, ""},
		{"empty", nil, 1, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := readEXIF(tt.in).info(JPEG)
			if got.Orientation != tt.orientation || got.Make != tt.maker {
				t.Errorf("got %+v; want orientation %d, make %q", got, tt.orientation, tt.maker)
			}
		})
	}
	for n := range base {
		readEXIF(base[:n]) // must not read past the end
	}
}

func TestPrintable(t *testing.T) {
	for in, want := range map[string]string{
		"Kiln\u202eedis rehto": "Kilnedis rehto", "a\nb\x1b[31m": "ab[31m", "\xff\xfeK": "K", "  Siân ": "Siân",
		strings.Repeat("é", 100): strings.Repeat("é", 64),
	} {
		if got := printable(in); got != want {
			t.Errorf("printable(%q) = %q; want %q", in, got, want)
		}
	}
}

// FuzzReadEXIF: no block, however broken, reads past its end or says what cannot be shown.
func FuzzReadEXIF(f *testing.F) {
	f.Add(handWritten(f))
	f.Add(EXIF{time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC), true, "Kiln", "Seven", 3, &GPS{1, 2}}.encode())
	f.Fuzz(func(t *testing.T, b []byte) {
		got := readEXIF(b).info(JPEG)
		if got.Orientation < 1 || got.Orientation > 8 || got.ZoneStated && got.TakenAt.IsZero() {
			t.Errorf("%+v", got)
		}
		for _, s := range []string{got.Make, got.Model} {
			if !utf8.ValidString(s) || utf8.RuneCountInString(s) > maxText || s != printable(s) {
				t.Errorf("text %q", s)
			}
		}
	})
}

// FuzzWithEXIF: what is written is what is read.
func FuzzWithEXIF(f *testing.F) {
	f.Add("Kiln", "Bay Seven", int64(1_800_000_000), 60, uint8(6))
	f.Fuzz(func(t *testing.T, maker, model string, at int64, offset int, orientation uint8) {
		zone := time.FixedZone("", offset%(14*60)*60)
		in := EXIF{TakenAt: time.Unix(at%250_000_000_000, 0).In(zone), ZoneStated: true, Make: maker, Model: model, Orientation: int(orientation%8) + 1}
		if in.TakenAt.Year() < 1 {
			return
		}
		got := readEXIF(in.encode()).info(JPEG)
		if !got.TakenAt.Equal(in.TakenAt) || !got.ZoneStated || got.Orientation != in.Orientation {
			t.Errorf("wrote %+v, read %+v", in, got)
		}
		if len(maker) < maxRawText && got.Make != printable(strings.ReplaceAll(maker, "\x00", "")) {
			t.Errorf("wrote %q, read %q", maker, got.Make)
		}
	})
}

func ExampleWithEXIF() {
	jpeg := []byte{0xff, 0xd8, 0xff, 0xd9}
	b, err := WithEXIF(jpeg, EXIF{Make: "Bay"})
	fmt.Printf("% x %v", b, err)
	// Output: ff d8 ff e1 00 22 45 78 69 66 00 00 4d 4d 00 2a 00 00 00 08 00 01 01 0f 00 02 00 00 00 04 42 61 79 00 00 00 00 00 ff d9 <nil>
}
