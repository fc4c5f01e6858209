package writer_test

import (
	"bytes"
	"errors"
	"fmt"
	"image/color"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/go-fonts/dejavu/dejavusans"

	"witnessmark/internal/pdf/typeface"
	"witnessmark/internal/pdf/writer"
)

const pictures = "../../../testdata/pdf/"

// tool runs a program of the system on a file and gives what it printed. The
// tools are required: a check that cannot run has failed.
func tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	var out, said bytes.Buffer
	cmd := exec.CommandContext(t.Context(), name, args...)
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %s: %v\n%s%s", name, strings.Join(args, " "), err, out.String(), said.String())
	}
	if strings.Contains(said.String(), "warning") || strings.Contains(said.String(), "rror") {
		t.Fatalf("%s %s said:\n%s", name, strings.Join(args, " "), said.String())
	}
	return out.String()
}

func read(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(pictures + name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// onePicture is a file of one 96 × 96 point page that the picture fills.
func onePicture(t *testing.T, data []byte, orientation int) string {
	t.Helper()
	var b bytes.Buffer
	f := writer.New(&b, writer.Meta{Title: "One picture"})
	m, err := f.AddJPEG("one", bytes.NewReader(data), orientation)
	if err != nil {
		t.Fatal(err)
	}
	p := f.Page(96, 96)
	p.Image(m, 0, 0, 96, 96)
	p.Close()
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "one.pdf")
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	tool(t, "qpdf", "--check", path)
	return path
}

// corner names a quarter of the page by where it is seen.
type corner struct{ top, left bool }

// pixel reads the middle of a quarter of a one-page file drawn at 72 dpi.
func pixels(t *testing.T, ppm string) map[corner]color.RGBA {
	t.Helper()
	b, err := os.ReadFile(ppm)
	if err != nil {
		t.Fatal(err)
	}
	var wide, high, top int
	if _, err := fmt.Sscanf(string(b[:20]), "P6\n%d %d\n%d", &wide, &high, &top); err != nil {
		t.Fatal(err)
	}
	raster := b[len(b)-3*wide*high:]
	seen := map[corner]color.RGBA{}
	for _, c := range []corner{{true, true}, {true, false}, {false, true}, {false, false}} {
		x, y := wide/4, high/4
		if !c.left {
			x = wide * 3 / 4
		}
		if !c.top {
			y = high * 3 / 4
		}
		at := 3 * (y*wide + x)
		seen[c] = color.RGBA{raster[at], raster[at+1], raster[at+2], 255}
	}
	return seen
}

func render(t *testing.T, path string) []map[corner]color.RGBA {
	t.Helper()
	stem := strings.TrimSuffix(path, ".pdf")
	tool(t, "pdftoppm", "-r", "72", "-singlefile", path, stem)
	tool(t, "mutool", "draw", "-N", "-q", "-r", "72", "-o", stem+"-mu.ppm", path)
	return []map[corner]color.RGBA{pixels(t, stem+".ppm"), pixels(t, stem+"-mu.ppm")}
}

var (
	red    = color.RGBA{200, 30, 30, 255}
	green  = color.RGBA{30, 160, 60, 255}
	blue   = color.RGBA{30, 60, 190, 255}
	yellow = color.RGBA{230, 210, 40, 255}
)

func near(a, b color.RGBA, by int) bool {
	d := func(x, y uint8) int { return max(int(x)-int(y), int(y)-int(x)) }
	return d(a.R, b.R) <= by && d(a.G, b.G) <= by && d(a.B, b.B) <= by
}

// What the stored first row and first column are when the picture is seen
// upright: EXIF 2.32 (CIPA DC-008), tag Orientation. Two renderers that are
// not ours judge.
func TestOrientation(t *testing.T) {
	for _, c := range []struct {
		orientation      int
		rowIsSide        bool // first row is seen at the left or right
		rowFar, colFar   bool // first row at the bottom or right; first column likewise
		firstRow, firstC string
	}{
		{1, false, false, false, "top", "left"}, {2, false, false, true, "top", "right"},
		{3, false, true, true, "bottom", "right"}, {4, false, true, false, "bottom", "left"},
		{5, true, false, false, "left", "top"}, {6, true, true, false, "right", "top"},
		{7, true, true, true, "right", "bottom"}, {8, true, false, true, "left", "bottom"},
	} {
		t.Run(fmt.Sprintf("%d first row %s first column %s", c.orientation, c.firstRow, c.firstC), func(t *testing.T) {
			seenAt := func(rowFirst, colFirst bool) corner {
				rowNear, colNear := rowFirst != c.rowFar, colFirst != c.colFar
				if c.rowIsSide {
					return corner{top: colNear, left: rowNear}
				}
				return corner{top: rowNear, left: colNear}
			}
			want := map[corner]color.RGBA{seenAt(true, true): red, seenAt(true, false): green,
				seenAt(false, true): blue, seenAt(false, false): yellow}
			for i, got := range render(t, onePicture(t, read(t, "quarters-baseline.jpg"), c.orientation)) {
				for at, colour := range want {
					if !near(got[at], colour, 12) {
						t.Errorf("renderer %d, %+v: got %v, want %v", i, at, got[at], colour)
					}
				}
			}
		})
	}
}

// Each kind of picture is shown in its colours and comes out byte for byte as
// it went in. Grey by the weights of ITU-R BT.601.
func TestPictureKinds(t *testing.T) {
	grey := color.RGBA{81, 81, 81, 255} // 0.299·200 + 0.587·30 + 0.114·30
	for _, c := range []struct {
		file string
		want color.RGBA
		by   int
	}{
		{"quarters-baseline.jpg", red, 12}, {"quarters-progressive.jpg", red, 12},
		{"quarters-grey.jpg", grey, 6},
	} {
		t.Run(c.file, func(t *testing.T) {
			data := read(t, c.file)
			path := onePicture(t, data, 1)
			for i, got := range render(t, path) {
				if at := (corner{true, true}); !near(got[at], c.want, c.by) {
					t.Errorf("renderer %d: got %v, want %v within %d", i, got[at], c.want, c.by)
				}
			}
			stem := filepath.Join(t.TempDir(), "out")
			tool(t, "pdfimages", "-all", path, stem)
			back, err := os.ReadFile(stem + "-000.jpg")
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(back, data) {
				t.Errorf("came out as %d bytes that differ from the %d that went in", len(back), len(data))
			}
		})
	}
}

func TestPicturesRefused(t *testing.T) {
	whole := read(t, "quarters-baseline.jpg")
	for name, data := range map[string][]byte{
		"none": {}, "text": []byte("no picture at all"), "PNG": []byte("\x89PNG\r\n\x1a\n0000"),
		"cut before its size": whole[:100], "arithmetic": read(t, "quarters-arithmetic.jpg"),
		"inks":        read(t, "quarters-cmyk.jpg"),
		"twelve bits": {0xFF, 0xD8, 0xFF, 0xC1, 0, 11, 12, 0, 8, 0, 8, 1, 1, 0x11, 0},
		"no height":   {0xFF, 0xD8, 0xFF, 0xC0, 0, 11, 8, 0, 0, 0, 8, 1, 1, 0x11, 0},
	} {
		t.Run(name, func(t *testing.T) {
			var b bytes.Buffer
			f := writer.New(&b, writer.Meta{})
			if _, err := f.AddJPEG("", bytes.NewReader(data), 1); !errors.Is(err, writer.ErrPicture) {
				t.Errorf("got %v, want ErrPicture", err)
			}
			f.Page(10, 10).Close()
			if err := f.Close(); err != nil {
				t.Errorf("the file is spoilt: %v", err)
			}
		})
	}
}

// Whatever is handed over as a picture, the file is either good or says why.
func FuzzAddJPEG(f *testing.F) {
	for _, name := range []string{"quarters-baseline.jpg", "quarters-cmyk.jpg", "quarters-progressive.jpg"} {
		b, err := os.ReadFile(pictures + name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b, 6)
	}
	f.Fuzz(func(t *testing.T, data []byte, orientation int) {
		var b bytes.Buffer
		file := writer.New(&b, writer.Meta{})
		m, err := file.AddJPEG("k", bytes.NewReader(data), orientation)
		if err == nil {
			if !bytes.Contains(b.Bytes(), data) && file.Close() != nil {
				t.Error("taken, but the file does not close")
			}
			if w, h := m.Upright(); w <= 0 || h <= 0 {
				t.Errorf("upright size %d × %d", w, h)
			}
		} else if !errors.Is(err, writer.ErrPicture) {
			t.Errorf("got %v", err)
		}
	})
}

// Text comes back as it was written, also where the face has no shape for it,
// and facts about the file are found by programs that are not ours.
func TestTextAndFacts(t *testing.T) {
	face, err := typeface.Parse(dejavusans.TTF)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	f := writer.New(&b, writer.Meta{Title: "Bay 7: Größe (Δ)", Author: "A & B <c>", Language: "en-GB", Producer: "Witnessmark 100%",
		Created: time.Date(2026, 5, 4, 15, 30, 0, 0, time.FixedZone("", 3600))})
	font := f.AddFont(face)
	for i, title := range []string{"First", "Zweite (Ж)", "Third"} {
		p := f.Page(300, 200)
		p.In(f.Root().Add(writer.ParaTag, writer.Attributes{}))
		p.Text(font, 12, 20, 150, 0, writer.RGB{}, "Ångström 12.4 L/min Δθ Жук 水 "+title)
		p.Target(fmt.Sprintf("place-%d", i), 150)
		p.Bookmark([]int{1, 2, 1}[i], title, 150)
		link := f.Root().Add(writer.LinkTag, writer.Attributes{})
		p.In(link)
		p.Text(font, 12, 10, 10, 0, writer.RGB{}, "to the first")
		p.LinkTo(link, "place-0", "to the first", 10, 10, 20, 20)
		p.Close()
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "text.pdf")
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := string(font.Missing()); got != "水" {
		t.Errorf("missing %q, want the one sign that the face lacks", got)
	}
	checks := map[string][]string{
		tool(t, "qpdf", "--check", path):                                    {"No syntax or stream encoding errors"},
		tool(t, "pdftotext", "-layout", path, "-"):                          {"Ångström 12.4 L/min Δθ Жук 水 First", "Zweite (Ж)"},
		tool(t, "pdfinfo", path):                                            {"Bay 7: Größe (Δ)", "A & B <c>", "Pages:           3"},
		tool(t, "pdfinfo", "-meta", path):                                   {"A &amp; B &lt;c&gt;", "2026-05-04T15:30:00+01:00", "Witnessmark 100%"},
		tool(t, "pdfinfo", "-dests", path):                                  {"\"place-2\""},
		tool(t, "mutool", "show", path, "outline"):                          {"\"First\"", "\"Zweite (Ж)\"", "\"Third\""},
		tool(t, "pdffonts", path):                                           {"DejaVuSans", "Identity-H       yes yes yes"},
		tool(t, "mutool", "draw", "-N", "-q", "-F", "txt", "-o", "-", path): {"Third"},
	}
	for out, wants := range checks {
		for _, want := range wants {
			if !strings.Contains(out, want) {
				t.Errorf("want %q in:\n%s", want, out)
			}
		}
	}
}

type failing struct{ left int }

func (w *failing) Write(b []byte) (int, error) {
	if w.left -= len(b); w.left < 0 {
		return 0, errors.New("the disk is full")
	}
	return len(b), nil
}

func TestWriteFails(t *testing.T) {
	f := writer.New(&failing{left: 100}, writer.Meta{})
	for range 2000 {
		f.Page(100, 100).Close()
	}
	if err := f.Close(); err == nil || !strings.Contains(err.Error(), "disk is full") {
		t.Errorf("got %v, want what the writer underneath said", err)
	}
}
