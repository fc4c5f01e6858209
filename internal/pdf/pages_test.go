package pdf_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"witnessmark/internal/golden"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/portfolio/portfoliotest"
)

// rendered is a page as Poppler draws it, at a number of dots to the inch.
func rendered(t *testing.T, path string, page, dpi int) image.Image {
	t.Helper()
	stem := filepath.Join(t.TempDir(), "page")
	n := fmt.Sprint(page)
	tool(t, "pdftoppm", "-png", "-r", fmt.Sprint(dpi), "-f", n, "-l", n, "-singlefile", path, stem)
	data, err := os.ReadFile(stem + ".png")
	if err != nil {
		t.Fatal(err)
	}
	return decoded(t, data)
}

func decoded(t *testing.T, data []byte) image.Image {
	t.Helper()
	m, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// grey is a picture in shades of grey.
func grey(m image.Image) *image.Gray {
	out := image.NewGray(m.Bounds())
	for y := m.Bounds().Min.Y; y < m.Bounds().Max.Y; y++ {
		for x := m.Bounds().Min.X; x < m.Bounds().Max.X; x++ {
			out.Set(x, y, color.GrayModel.Convert(m.At(x, y)))
		}
	}
	return out
}

// apart says how far two pages are from one another, "" where no more than one dot in two hundred differs by a third of the
// range: letters may be drawn a little otherwise by another edition of the renderer, but stand where they stood.
func apart(t *testing.T) func(got, want []byte) string {
	return func(a, b []byte) string {
		got, want := grey(decoded(t, a)), grey(decoded(t, b))
		if got.Bounds() != want.Bounds() {
			return fmt.Sprintf("it is %v, and was %v", got.Bounds(), want.Bounds())
		}
		n := 0
		for i := range got.Pix {
			if d := int(got.Pix[i]) - int(want.Pix[i]); d > 85 || d < -85 {
				n++
			}
		}
		if n > len(got.Pix)/200 {
			return fmt.Sprintf("%d of %d dots are other ones", n, len(got.Pix))
		}
		return ""
	}
}

// logged is a page of the log for tests; the note is the one of the checkpoint format's description (c2sp.org/tlog-checkpoint,
// from memory), its signature invented.
func logged() *portfolio.LogPage {
	return &portfolio.LogPage{
		Origin: "harbour-lane.example/log", Size: 1204, Keys: []string{"harbour-lane.example/log+0ab3d2f1+AbCdEfGhIjKlMnOpQrStUvWxYz0123456789abcdefgh"},
		Checkpoint: "harbour-lane.example/log\n1204\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n\n" +
			"— harbour-lane.example/log Az3grlgtzPICa5OS8npVmf1Myq/5IZniMp+ZJurmRDeOoRDe4URYN7u5/Zhcyv2q1gGzGku9nTo+zyWE+xeMcTOAYQ8=\n",
		Entries: []portfolio.LogEntry{
			{Index: 911, Kind: "criterion decision", What: "task 1, attempt 2, criterion 1.2", At: portfoliotest.Start, Digest: strings.Repeat("4be1c0d2", 8)},
			{Index: 1203, Kind: "sign-off", What: "task 1, attempt 2", At: portfoliotest.Start, Digest: strings.Repeat("77a02b1c", 8)},
		},
	}
}

// pageWith is the number of the first page after the contents that says something.
func pageWith(t *testing.T, path, words string) int {
	t.Helper()
	for i, text := range flat(pages(t, path)) {
		if i > 1 && strings.Contains(text, words) {
			return i + 1
		}
	}
	t.Fatalf("no page says %q", words)
	return 0
}

// Pages look as they did when a person last looked at them.
func TestPagesLookRight(t *testing.T) {
	path := drawWith(t, logged())
	for name, page := range map[string]int{
		"cover": 1, "contents": 2, "criteria": 3, "evidence": pageWith(t, path, "Photo 1 "), "decisions": pageWith(t, path, "Decisions, criterion by criterion"),
		"log": pageWith(t, path, "Appendix: proofs of the decision log"),
	} {
		var b bytes.Buffer
		if err := png.Encode(&b, grey(rendered(t, path, page, 72))); err != nil {
			t.Fatal(err)
		}
		golden.CheckBy(t, "../../testdata/pdf/page-"+name+".png", b.Bytes(), apart(t))
	}
}

// A phone reads the codes: the document's number with its log, and the signed state of the log.
func TestCodesAreRead(t *testing.T) {
	l := logged()
	path := drawWith(t, l)
	src, _ := portfoliotest.Source(t)
	for page, want := range map[int]string{1: "Portfolio " + src.ID.String() + "\nLog " + l.Origin, pageWith(t, path, "Appendix: proofs of the decision log"): l.Checkpoint} {
		bits, err := gozxing.NewBinaryBitmapFromImage(rendered(t, path, page, 200))
		if err != nil {
			t.Fatal(err)
		}
		got, err := qrcode.NewQRCodeReader().Decode(bits, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
		if err != nil || got.GetText() != want {
			t.Errorf("page %d: read %q, want %q: %v", page, got, want, err)
		}
	}
}

func TestPagesCanDiffer(t *testing.T) {
	var pages [2][]byte
	for i, name := range []string{"criteria", "evidence"} {
		data, err := os.ReadFile("../../testdata/pdf/page-" + name + ".png")
		if err != nil {
			t.Fatal(err)
		}
		pages[i] = data
	}
	if apart(t)(pages[0], pages[1]) == "" {
		t.Error("two pages that have nothing in common count as alike")
	}
	if words := apart(t)(pages[0], pages[0]); words != "" {
		t.Errorf("a page differs from itself: %s", words)
	}
}
