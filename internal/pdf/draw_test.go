package pdf_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"

	"witnessmark/internal/golden"
	"witnessmark/internal/pdf"
)

// draw draws d, has qpdf and mutool look at it, and gives its path.
func draw(t *testing.T, d pdf.Document) (string, pdf.Report) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "drawn.pdf")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	r, err := pdf.Draw(t.Context(), f, d)
	if err := errors.Join(err, f.Close()); err != nil {
		t.Fatal(err)
	}
	tool(t, "qpdf", "--check", path)
	conforms(t, path)
	tool(t, "mutool", "draw", "-N", "-q", "-r", "20", "-o", filepath.Join(t.TempDir(), "%d.png"), path)
	return path, r
}

// tool runs a program of the system and gives what it printed; a complaint is
// a failure, and so is a missing program.
func tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	var out, said bytes.Buffer
	cmd := exec.CommandContext(t.Context(), name, args...)
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil || strings.Contains(said.String(), "rror") || strings.Contains(said.String(), "warning") {
		t.Fatalf("%s %s: %v\n%s%s", name, strings.Join(args, " "), err, out.String(), said.String())
	}
	return out.String()
}

// pages is the text of each page.
func pages(t *testing.T, path string) []string {
	t.Helper()
	all := strings.Split(tool(t, "pdftotext", "-layout", path, "-"), "\f")
	return all[:len(all)-1]
}

// squeezed is text without any white space, to compare across line breaks.
func squeezed(s string) string { return strings.Join(strings.Fields(s), "") }

func TestSampleText(t *testing.T) {
	d, _ := sample(t)
	path, r := draw(t, d)
	if len(r.Missing)+len(r.NotShown) != 0 {
		t.Errorf("report %+v, want nothing missing", r)
	}
	golden.Check(t, "../../testdata/pdf/sample.txt", []byte(tool(t, "pdftotext", "-layout", path, "-")))
}

func TestPhotosComeOutAsTheyWentIn(t *testing.T) {
	d, photos := sample(t)
	path, _ := draw(t, d)
	stem := filepath.Join(t.TempDir(), "out")
	tool(t, "pdfimages", "-all", path, stem)
	for i, want := range photos {
		got, err := os.ReadFile(fmt.Sprintf("%s-%03d.jpg", stem, i))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("photo %d: %d bytes came out, %d went in, and they differ", i+1, len(got), len(want))
		}
	}
}

func TestFaces(t *testing.T) {
	d, _ := sample(t)
	path, _ := draw(t, d)
	rows := strings.Split(strings.TrimSpace(tool(t, "pdffonts", path)), "\n")[2:]
	if len(rows) != 3 {
		t.Errorf("%d faces, want 3", len(rows))
	}
	for _, row := range rows {
		if !strings.Contains(row, "Identity-H       yes yes yes") {
			t.Errorf("not embedded, cut down and mapped to Unicode: %s", row)
		}
	}
}

func TestSameInputSameBytes(t *testing.T) {
	d, _ := sample(t)
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if _, err := pdf.Draw(t.Context(), w, d); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two drawings of one document differ")
	}
}

// Every page that the text quotes is the page on which the thing stands, and
// the column titles stand on every page of the table.
func TestLongTable(t *testing.T) {
	const rows = 400
	path, r := draw(t, long(rows))
	all := pages(t, path)
	if len(all) != r.Pages || r.Pages < 5 {
		t.Fatalf("%d pages of text, report says %d", len(all), r.Pages)
	}
	stands, quotes := map[int]int{}, map[int]int{}
	line := regexp.MustCompile(`(?m)^ *R-(\d{3}) .*?(\d+)$`)
	for i, text := range all {
		if !strings.Contains(text, "What was recorded") {
			t.Errorf("page %d has no column titles", i+1)
		}
		if want := fmt.Sprintf("Page %d of %d", i+1, len(all)); !strings.Contains(text, want) {
			t.Errorf("page %d does not say %q", i+1, want)
		}
		for _, m := range line.FindAllStringSubmatch(text, -1) {
			var n, page int
			fmt.Sscan(strings.TrimLeft(m[1], "0"), &n)
			fmt.Sscan(m[2], &page)
			stands[n], quotes[rows+1-n] = i+1, page
		}
	}
	for n := 1; n <= rows; n++ {
		if stands[n] == 0 || stands[n] != quotes[n] {
			t.Errorf("item %d stands on page %d, quoted as %d", n, stands[n], quotes[n])
		}
	}
}

// A row taller than a page goes over in parts and loses nothing, in a table
// of its own and beside a decision that is longer than it.
func TestTallRowsAndDecisions(t *testing.T) {
	var words []string
	for i := range 1500 {
		words = append(words, fmt.Sprintf("word%04d", i))
	}
	tall := pdf.Table{Columns: []pdf.Column{{Title: "Item", Fixed: 60}, {Title: "Tall", Share: 1}},
		Rows: []pdf.Row{{Cells: []pdf.Cell{{Text: pdf.Plain("one")}, {Text: pdf.Plain(strings.Join(words, " "))}}}}}
	reason := strings.Join(words, " ")
	for name, blocks := range map[string][]pdf.Block{
		"table":    {tall},
		"decision": {pdf.Beside{Evidence: []pdf.Block{pdf.Para{Text: pdf.Plain("short")}}, Decision: pdf.Decision{Word: "met", Lines: []pdf.Text{pdf.Plain(reason)}}}},
		"evidence": {pdf.Beside{Evidence: []pdf.Block{tall}, Decision: pdf.Decision{Word: "met", Lines: []pdf.Text{pdf.Plain("short")}}}},
		"bar":      {pdf.Bar{Label: "Hold 1", Text: pdf.Plain(reason), Word: "released", State: pdf.Plain("short")}},
		"para":     {pdf.Para{Text: pdf.Plain(reason)}},
		"caution":  {pdf.Caution{Text: pdf.Plain(reason)}},
		"list":     {pdf.List{Items: []pdf.Text{pdf.Plain(reason)}}},
		"working":  {pdf.Working{Lines: []pdf.Text{pdf.Plain(reason)}}},
		"stage":    {pdf.Stage{Number: "1", Title: reason}},
	} {
		t.Run(name, func(t *testing.T) {
			d := pdf.Document{Title: name, Created: created, Blocks: append([]pdf.Block{pdf.Heading{Level: 1, Title: "Before"}}, blocks...)}
			path, r := draw(t, d)
			if r.Pages < 2 || r.Pages > 40 {
				t.Errorf("%d pages", r.Pages)
			}
			text := tool(t, "pdftotext", path, "-")
			at := 0
			for _, w := range words {
				next := strings.Index(text[at:], w)
				if next < 0 {
					t.Fatalf("%s is lost or out of order", w)
				}
				at += next
			}
			inside(t, path)
		})
	}
}

// inside checks that every word stands on the sheet, between its edges.
func inside(t *testing.T, path string) {
	t.Helper()
	word := regexp.MustCompile(`<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*)</word>`)
	for _, m := range word.FindAllStringSubmatch(tool(t, "pdftotext", "-bbox", path, "-"), -1) {
		var box [4]float64
		for i := range box {
			fmt.Sscan(m[i+1], &box[i])
		}
		if box[0] < 27 || box[2] > 553 || box[1] < 20 || box[3] > 820 {
			t.Errorf("%q stands at %v, off the sheet", m[5], box)
		}
	}
}

func TestSampleStandsInside(t *testing.T) {
	d, _ := sample(t)
	path, _ := draw(t, d)
	inside(t, path)
	path, _ = draw(t, long(50))
	inside(t, path)
}

// A caption of 5,000 characters starts under its picture and is all there.
func TestLongCaption(t *testing.T) {
	long := strings.TrimSpace(strings.Repeat("The pump stands to the right. ", 167))[:5000]
	data := photograph(t, 4, 300, 400)
	fig := pdf.Figure{Picture: picture(data, 300, 400, 1), Label: "Photo 9", Caption: pdf.Plain(long)}
	for name, b := range map[string]pdf.Block{"figure": fig, "gallery": pdf.Gallery{Figures: []pdf.Figure{fig, fig}}} {
		t.Run(name, func(t *testing.T) {
			path, _ := draw(t, pdf.Document{Title: "Caption", Created: created,
				Blocks: []pdf.Block{pdf.Para{Text: pdf.Plain(strings.Repeat("Filling. ", 600))}, b}})
			var text string
			for _, page := range strings.Split(tool(t, "pdftotext", path, "-"), "\f") {
				text += strings.Split(page, "Page ")[0]
			}
			if !strings.Contains(squeezed(text), squeezed(long)) {
				t.Error("the caption is not whole")
			}
			images := tool(t, "pdfimages", "-list", path)
			for i, page := range pages(t, path) {
				has := regexp.MustCompile(fmt.Sprintf(`(?m)^ *%d +\d+ image`, i+1)).MatchString(images)
				if starts := strings.Contains(page, "Photo 9"); has != starts {
					t.Errorf("page %d: picture %v, start of caption %v", i+1, has, starts)
				}
			}
		})
	}
}

// Names in scripts beyond the faces never stop a portfolio: what can be shown
// is, in the order in which it is read, and the rest is reported.
func TestScripts(t *testing.T) {
	for _, c := range []struct{ name, text, want, missing string }{
		{"latin", "Zoë Łukasiewicz-Ångström", "Zoë Łukasiewicz-Ångström", ""},
		{"composed", "Zoe\u0308", "Zoë", ""},
		{"greek and cyrillic", "Σοφία Жанна", "Σοφία Жанна", ""},
		{"hebrew", "נועה לוי", "נועה לוי", ""},
		{"arabic", "سمير", "سمير", ""},
		{"han", "水田", "水田", "水田"},
		{"emoji with joiner", "a👩\u200d🔧\ufe0fb", "a👩🔧b", "👩🔧"},
		{"not UTF-8", "a\xffb", "a\uFFFDb", ""},
		{"controls", "a\x00\x07b\u202ec", "abc", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			path, r := draw(t, pdf.Document{Title: c.text, HeadLeft: c.text, Created: created,
				Blocks: []pdf.Block{pdf.Heading{Level: 1, Title: c.text}, pdf.Working{Label: c.text, Lines: []pdf.Text{pdf.Plain(c.text)}}}})
			text := strings.NewReplacer("\u202b", "", "\u202c", "", "\u202a", "").Replace(tool(t, "pdftotext", path, "-"))
			if !strings.Contains(text, c.want) {
				t.Errorf("got %q, want %q in it", text, c.want)
			}
			if joins := c.name == "arabic"; joins != (len(r.Unjoined) > 0) {
				t.Errorf("unjoined %q", string(r.Unjoined))
			}
			for _, m := range c.missing {
				if !strings.ContainsRune(string(r.Missing), m) {
					t.Errorf("missing %q, want %q in it", string(r.Missing), m)
				}
			}
		})
	}
}

// vast is a picture of any size that is never in memory: a real picture's
// head, then filling.
type vast struct {
	head io.Reader
	left int64
	peak *int
}

func (v *vast) Read(b []byte) (int, error) {
	*v.peak = max(*v.peak, len(b))
	if n, err := v.head.Read(b); err == nil {
		return n, nil
	}
	if v.left <= 0 {
		return 0, io.EOF
	}
	n := int(min(int64(len(b)), v.left))
	v.left -= int64(n)
	return n, nil
}

func (v *vast) Close() error { return nil }

// Forty photos of 4 MiB pass through in less memory than two of them, and each
// is opened once, in the writing pass.
func TestMemoryIsBounded(t *testing.T) {
	head := photograph(t, 5, 64, 48)
	opened, peak := 0, 0
	var d pdf.Document
	for i := range 40 {
		d.Blocks = append(d.Blocks, pdf.Figure{Label: fmt.Sprint("Photo ", i), Picture: &pdf.Picture{Wide: 64, High: 48,
			Open: func() (io.ReadCloser, error) {
				opened++
				return &vast{head: bytes.NewReader(head), left: 4 << 20, peak: &peak}, nil
			}}})
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	if _, err := pdf.Draw(t.Context(), io.Discard, d); err != nil {
		t.Fatal(err)
	}
	runtime.ReadMemStats(&after)
	// All that was ever asked for, freed or not, bounds what was held.
	if got := (after.TotalAlloc - before.TotalAlloc) >> 20; got > 8 {
		t.Errorf("asked for %d MiB in all, for 160 MiB of photos", got)
	}
	if opened != 40 || peak > 1<<20 {
		t.Errorf("opened %d times, read at most %d bytes at once", opened, peak)
	}
}

func TestSamePictureIsStoredOnce(t *testing.T) {
	data, opened := photograph(t, 6, 64, 48), 0
	p := &pdf.Picture{Key: "one", Wide: 64, High: 48, Open: func() (io.ReadCloser, error) {
		opened++
		return io.NopCloser(bytes.NewReader(data)), nil
	}}
	draw(t, pdf.Document{Blocks: []pdf.Block{pdf.Figure{Picture: p}, pdf.Figure{Picture: p}}})
	if opened != 1 {
		t.Errorf("opened %d times, want once", opened)
	}
}

func TestDrawRefuses(t *testing.T) {
	broken := errors.New("the disk is gone")
	gone := &pdf.Picture{Open: func() (io.ReadCloser, error) { return nil, broken }}
	ended, stop := context.WithCancel(t.Context())
	stop()
	for _, c := range []struct {
		name  string
		ctx   context.Context
		block pdf.Block
		want  string
	}{
		{"lost anchor", t.Context(), pdf.Para{Text: pdf.PageOf("nowhere")}, "nowhere"},
		{"picture that does not open", t.Context(), pdf.Figure{Label: "Photo 7", Picture: gone}, "Photo 7: open picture: the disk is gone"},
		{"cancelled", ended, pdf.Para{Text: pdf.Plain("a")}, context.Canceled.Error()},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := pdf.Draw(c.ctx, io.Discard, pdf.Document{Blocks: []pdf.Block{c.block}})
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q in it", err, c.want)
			}
		})
	}
}

// What is no JPEG is named on the page and in the report; the rest stands.
func TestPictureThatCannotBeShown(t *testing.T) {
	path, r := draw(t, pdf.Document{Blocks: []pdf.Block{
		pdf.Figure{Label: "Photo 8", Picture: picture([]byte("GIF89a"), 10, 10, 1), Caption: pdf.Plain("Under it.")}}})
	if len(r.NotShown) != 1 || r.NotShown[0] != "Photo 8" {
		t.Errorf("report names %q, want Photo 8", r.NotShown)
	}
	text := tool(t, "pdftotext", path, "-")
	for _, want := range []string{"cannot be shown", "Under it."} {
		if !strings.Contains(text, want) {
			t.Errorf("want %q in %q", want, text)
		}
	}
}

// One portfolio of 120 photos of 2.4 MB each.
func BenchmarkDraw(b *testing.B) {
	head := photograph(b, 7, 400, 300)
	peak := 0
	d, _ := sample(b)
	for i := range 120 {
		d.Blocks = append(d.Blocks, pdf.Figure{Label: fmt.Sprint("Photo ", i), Caption: pdf.Plain("One of many."), Picture: &pdf.Picture{
			Wide: 400, High: 300, Open: func() (io.ReadCloser, error) {
				return &vast{head: bytes.NewReader(head), left: 2_400_000, peak: &peak}, nil
			}}})
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := pdf.Draw(b.Context(), io.Discard, d); err != nil {
			b.Fatal(err)
		}
	}
}
