package photo

import (
	"bufio"
	"bytes"
	"errors"
	"image"
	"io"
	"os"
	"runtime"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"witnessmark/internal/fault"
)

func check(b []byte) (Info, error) {
	return Check(bytes.NewReader(b), int64(len(b)))
}

// Sizes as `file` 5.44 prints them for the same files. Those named "truncated" lack their last scans, not their end, and
// are whole files.
func TestCheckGoPictures(t *testing.T) {
	all := goPictures(t, "testdata/video-*.jpeg")
	for name, b := range goPictures(t, "testdata/video-*.png") {
		all[name] = b
	}
	for name, b := range all {
		info, err := check(b)
		want := Info{Media: JPEG, Width: 150, Height: 103, Orientation: 1}
		if strings.HasSuffix(name, ".png") {
			want.Media = PNG
		}
		if err != nil || info != want {
			t.Errorf("%s: %+v, %v; want %+v", name, info, err, want)
		}
	}
}

func TestCheckRefuses(t *testing.T) {
	j := encodeJPEG(t, scene(1, 64, 48), 80)
	p := encodePNG(t, scene(1, 64, 48))
	at := frameAt(t, j)
	changed := func(b []byte, at int, v byte) []byte {
		b = slices.Clone(b)
		b[at] = v
		return b
	}
	idat := pngChunk("IDAT", nil)
	end := pngChunk("IEND", nil)
	scan := segment(markerSOS, []byte{1, 1, 0, 0, 63, 0})
	tests := []struct {
		name string
		in   []byte
		word string
	}{
		{"no bytes", nil, "0 bytes"},
		{"one byte", []byte{0xff}, "JPEG or PNG"},
		{"start of a JPEG", []byte{0xff, 0xd8, 0xff}, "half-way"},
		{"JPEG cut in half", j[:len(j)/2], "Send it again"},
		{"JPEG without its end", j[:len(j)-2], "Send it again"},
		{"JPEG cut in its EXIF", withEXIF(t, j, EXIF{Make: "Kiln & Daughter"})[:30], "half-way"},
		{"JPEG of a start and an end", []byte{0xff, 0xd8, 0xff, 0xd9}, "half-way"},
		{"JPEG 60000 × 60000", withSize(t, j, 60000, 60000), "60,000 × 60,000"},
		{"JPEG 65500 × 65500", withSize(t, j, 65500, 65500), "50 megapixels"},
		{"JPEG one pixel too wide", withSize(t, j, 30001, 1), "30,000"},
		{"JPEG of no height", withSize(t, j, 64, 0), "nothing to see"},
		{"JPEG of 12-bit samples", changed(j, at+4, 12), "rare kind"},
		{"JPEG, arithmetic coding", changed(j, at+1, 0xc9), "rare kind"},
		{"JPEG, lossless", changed(j, at+1, 0xc3), "rare kind"},
		{"JPEG, two frames", slices.Concat(j[:at+19], j[at:]), "damaged"},
		{"JPEG, segment of length 1", afterSOI(j, []byte{0xff, 0xe2, 0, 1}), "damaged"},
		{"JPEG of 102 scans", slices.Concat(j[:len(j)-2], bytes.Repeat(scan, 101), j[len(j)-2:]), "layers"},
		{"PNG cut in half", p[:len(p)/2], "Send it again"},
		{"PNG without IEND", p[:len(p)-12], "half-way"},
		{"PNG without pixels", slices.Concat(pngHeader(4, 4, 8, 0), end), "half-way"},
		{"PNG with a changed byte", changed(p, len(p)-20, p[len(p)-20]^1), "damaged"},
		{"PNG without IHDR", slices.Concat([]byte(pngMagic), idat, end), "damaged"},
		{"PNG 60000 × 60000", slices.Concat(pngHeader(60000, 60000, 8, 0), idat, end), "60,000 × 60,000"},
		{"PNG 20000 × 20000", slices.Concat(pngHeader(20000, 20000, 8, 0), idat, end), "50 megapixels"},
		{"PNG 2147483647 × 1", slices.Concat(pngHeader(1<<31-1, 1, 1, 0), idat, end), "2,147,483,647 × 1"},
		{"PNG of no width", slices.Concat(pngHeader(0, 9, 8, 0), idat, end), "nothing to see"},
		{"PNG chunk of 4 GB", slices.Concat(pngHeader(4, 4, 8, 0), []byte("\xff\xff\xff\xffIDAT")), "damaged"},
		{"PNG chunk of 2 GB", slices.Concat(pngHeader(4, 4, 8, 0), []byte("\x7f\xff\xff\xffIDAT")), "half-way"},
		{"PNG of no colour type", slices.Concat(pngHeader(4, 4, 8, 5), idat, end), "cannot be read"},
		{"PDF cut in half", []byte("%PDF-1.7\n1 0 obj <<>> endobj"), "half-way"},
	}
	for name, b := range goPictures(t, "png/testdata/invalid-*.png") {
		if name != "invalid-zlib.png" && name != "invalid-palette.png" { // only decoding finds these
			tests = append(tests, struct {
				name string
				in   []byte
				word string
			}{"Go's " + name, b, "gain"})
		}
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			info, err := check(tt.in)
			wantRefusal(t, err, tt.word)
			if info.Width != 0 {
				t.Errorf("info = %+v; want none", info)
			}
		})
	}
}

func TestCheckTakes(t *testing.T) {
	j := encodeJPEG(t, scene(1, 64, 48), 80)
	p := encodePNG(t, scene(1, 64, 48))
	comment := segment(0xfe, bytes.Repeat([]byte("c"), 65533))
	usual := Info{Media: JPEG, Width: 64, Height: 48, Orientation: 1}
	sized := func(w, h int) Info { return Info{Media: JPEG, Width: w, Height: h, Orientation: 1} }
	tests := []struct {
		name string
		in   []byte
		want Info
	}{
		{"web page after the end", append(slices.Clone(j), "<html><script>PK\x03\x04"...), usual},
		{"second picture after the end", append(slices.Clone(j), j...), usual},
		{"longest comment", afterSOI(j, comment), usual},
		{"empty comment", afterSOI(j, segment(0xfe, nil)), usual},
		{"a thousand segments of 64 kB", afterSOI(j, bytes.Repeat(segment(0xe2, make([]byte, 65533)), 1000)), usual},
		{"fill bytes", afterSOI(j, []byte{0xff, 0xff, 0xff}), usual},
		{"a picture inside a segment", afterSOI(j, segment(0xe2, j)), usual},
		{"XMP is not read", afterSOI(j, segment(0xe1, []byte("http://ns.adobe.com/xap/1.0/\x00<!ENTITY a 'b'>"))), usual},
		{"a 50-megapixel camera", withSize(t, j, 8192, 6144), sized(8192, 6144)},
		{"a panorama", withSize(t, j, 30000, 1000), sized(30000, 1000)},
		{"one pixel", encodeJPEG(t, image.NewGray(image.Rect(0, 0, 1, 1)), 90), sized(1, 1)},
		{"PNG with text chunks", slices.Concat(p[:33], pngChunk("zTXt", make([]byte, 1<<20)), p[33:]),
			Info{Media: PNG, Width: 64, Height: 48, Orientation: 1}},
		{"PNG with EXIF", slices.Concat(p[:33], pngChunk("eXIf", EXIF{Orientation: 6, Model: "M"}.encode()), p[33:]),
			Info{Media: PNG, Width: 48, Height: 64, Orientation: 6, Model: "M"}},
		{"PDF", []byte("%PDF-1.7\nstartxref\n9\n%%EOF\n"), Info{Media: PDF}},
		{"HEIC", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), Info{Media: HEIC, Orientation: 1}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if info, err := check(tt.in); err != nil || info != tt.want {
				t.Errorf("Check = %+v, %v; want %+v", info, err, tt.want)
			}
		})
	}
}

func TestEveryCutIsNoticed(t *testing.T) {
	j := withEXIF(t, encodeJPEG(t, scene(1, 24, 16), 60), EXIF{Make: "Kiln", Orientation: 6})
	for name, b := range map[string][]byte{"JPEG": j, "PNG": encodePNG(t, scene(1, 24, 16)),
		"progressive": goPictures(t, "testdata/video-001.progressive.jpeg")["video-001.progressive.jpeg"]} {
		for n := range b {
			if info, err := check(b[:n]); fault.KindOf(err) != fault.KindInvalid {
				t.Fatalf("%s cut after %d of %d bytes: %+v, %v", name, n, len(b), info, err)
			}
		}
	}
}

// TestHugeClaimsAreNotBelieved: decoding the picture that claims 65500 × 65500 would take 4 GB.
func TestHugeClaimsAreNotBelieved(t *testing.T) {
	b := withSize(t, encodeJPEG(t, scene(1, 64, 48), 80), 65500, 65500)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := check(b)
	_, previewErr := Preview(bytes.NewReader(b), Info{Media: JPEG, Width: 64, Height: 48, Orientation: 1}, 200)
	runtime.ReadMemStats(&after)
	wantRefusal(t, err, "65,500")
	wantRefusal(t, previewErr, "65,500")
	if used := after.TotalAlloc - before.TotalAlloc; used > 4<<20 {
		t.Errorf("took %d bytes; want under 4 MiB", used)
	}
}

// A progressive 4:4:4 picture of 50 megapixels takes 5 bytes for each of 3 samples a pixel; a grey one a third of that.
func TestDecodingCostIsBounded(t *testing.T) {
	frame := func(components ...byte) header {
		w := jpegWalk{}
		b := append([]byte{8, 6144 >> 8, 6144 & 0xff, 8160 >> 8, 8160 & 0xff, byte(len(components) / 3)}, components...)
		w.r = bufio.NewReader(bytes.NewReader(b))
		if err := w.frameHeader(markerSOF2, len(b)); err != nil {
			t.Fatal(err)
		}
		return w.h
	}
	if err := frame(1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0).withinLimits(); err == nil {
		t.Error("a progressive 4:4:4 picture of 50 megapixels was taken")
	}
	if err := frame(1, 0x22, 0, 2, 0x11, 0, 3, 0x11, 0).withinLimits(); err != nil {
		t.Errorf("a progressive 4:2:0 picture of 50 megapixels: %v", err)
	}
}

func TestReadErrorsAreInternal(t *testing.T) {
	broken := errors.New("disk gone")
	b := encodeJPEG(t, scene(1, 64, 48), 80)
	r := struct {
		io.Reader
		io.Seeker
	}{io.MultiReader(bytes.NewReader(b[:len(b)/2]), iotest.ErrReader(broken)), stay{}}
	if _, err := Check(r, int64(len(b))); !errors.Is(err, broken) || fault.KindOf(err) != fault.Internal {
		t.Errorf("Check = %v; want %v as an internal error", err, broken)
	}
}

type stay struct{}

func (stay) Seek(int64, int) (int64, error) { return 0, nil }

func TestSniff(t *testing.T) {
	box := func(brand string) string { return "\x00\x00\x00\x14ftyp" + brand + "\x00\x00\x00\x00" }
	tests := []struct {
		name, head string
		want       Media
		word       string
	}{
		{"JPEG", "\xff\xd8\xff\xe1", JPEG, ""},
		{"PNG", pngMagic, PNG, ""},
		{"PDF", "%PDF-1.4", PDF, ""},
		{"HEIC", box("heic") + "mif1", HEIC, ""},
		{"HEIF naming HEIC as compatible", box("mif1") + "heic", HEIC, ""},
		{"AVIF", box("avif") + "mif1", "", "AVIF"},
		{"AVIF named as compatible", box("mif1") + "avif", "", "AVIF"},
		{"film", box("isom") + "mp42", "", "film"},
		{"moving part of a live photo", box("qt  "), "", "live photo"},
		{"raw in a box", box("crx "), "", "raw"},
		{"file-type box cut off", "\x00\x00\x00\x14ftyp", "", "JPEG or PNG"},
		{"GIF", "GIF89a", "", "GIF"},
		{"WebP", "RIFF\x10\x00\x00\x00WEBPVP8X", "", "WebP"},
		{"sound", "RIFF\x10\x00\x00\x00WAVEfmt ", "", "not a photo"},
		{"BMP", "BM\x00\x00", "", "BMP"},
		{"TIFF or DNG", "II*\x00", "", "raw"},
		{"TIFF, big-endian", "MM\x00*", "", "raw"},
		{"JPEG XL", "\xff\x0a", "", "JPEG XL"},
		{"JPEG XL in a box", "\x00\x00\x00\x0cJXL \r\n\x87\n", "", "JPEG XL"},
		{"SVG", "\xef\xbb\xbf \n<svg onload=alert(1)>", "", "drawing"},
		{"XML", "<?xml version='1.0'?>", "", "drawing"},
		{"zip", "PK\x03\x04", "", "zip"},
		{"old office document", "\xd0\xcf\x11\xe0", "", "PDF"},
		{"PDF behind other bytes", "x%PDF-1.4", "", "not a photo"},
		{"text", "reading: 1.5 bar", "", "not a photo"},
		{"nothing", "", "", "empty"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Sniff([]byte(tt.head))
			if got != tt.want {
				t.Errorf("Sniff = %q; want %q", got, tt.want)
			}
			if tt.word != "" {
				wantRefusal(t, err, tt.word)
			} else if err != nil {
				t.Errorf("err = %v", err)
			}
		})
	}
}

// FuzzCheck: whatever is taken is within the limits and readable by the decoder; whatever is refused is refused kindly.
func FuzzCheck(f *testing.F) {
	j := encodeJPEG(f, scene(1, 32, 24), 60)
	f.Add(j)
	f.Add(withEXIF(f, j, EXIF{Make: "Kiln", Orientation: 8, GPS: &GPS{1, 2}}))
	f.Add(encodePNG(f, scene(1, 32, 24)))
	f.Add([]byte("%PDF-1.7\n%%EOF"))
	for _, b := range goPictures(f, "testdata/video-005.gray*.jpeg") {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		info, err := check(b)
		if err != nil {
			if fault.KindOf(err) != fault.KindInvalid {
				t.Fatalf("refused with %v, which tells its sender nothing", err)
			}
			return
		}
		if info.Media != JPEG && info.Media != PNG {
			return
		}
		if info.Width < 1 || info.Height < 1 || info.Width > MaxSide || info.Height > MaxSide ||
			info.Width*info.Height > MaxPixels || info.Orientation < 1 || info.Orientation > 8 {
			t.Errorf("took %+v", info)
		}
		if info.Width*info.Height > 1<<20 {
			return // decoding is Go's own business; keep the fuzzing quick
		}
		if _, err := Preview(bytes.NewReader(b), info, 64); err != nil && fault.KindOf(err) != fault.KindInvalid {
			t.Errorf("preview: %v", err)
		}
	})
}

func TestCheckReadsAnOpenFile(t *testing.T) {
	path := t.TempDir() + "/photo"
	b := encodeJPEG(t, scene(1, 64, 48), 80)
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	for range 2 { // wherever the last reader left off
		if info, err := Check(file, int64(len(b))); err != nil || info.Width != 64 {
			t.Errorf("Check = %+v, %v", info, err)
		}
	}
}
