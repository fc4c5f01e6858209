package pdf_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/pdf"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/portfolio/portfoliotest"
)

// kept adds bytes to the files and gives their digest.
func kept(files map[string][]byte, data []byte) string {
	d := fmt.Sprintf("%x", sha256.Sum256(data))
	files[d] = data
	return d
}

// quarters is one of the pictures that programs of others encoded (testdata/pdf/README.md).
func quarters(t *testing.T, kind string) []byte {
	t.Helper()
	data, err := os.ReadFile("../../testdata/pdf/quarters-" + kind + ".jpg")
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// withPicture puts one picture in the place of all evidence of the first attempt.
func withPicture(t *testing.T, e portfolio.Evidence) portfolio.Source {
	t.Helper()
	src, _ := portfoliotest.Source(t)
	at := &src.Tasks[0].Attempts[0]
	e.ID, e.Item, e.ReceivedAt = at.Evidence[0].ID, "before", portfoliotest.Start
	at.Evidence = []portfolio.Evidence{e}
	src.Tasks[0].Attempts = src.Tasks[0].Attempts[:1]
	src.Tasks = src.Tasks[:1]
	return src
}

// Pictures that files for the archive cannot carry, or that are no JPEG, are shown by their preview and say so; a progressive one
// is shown as it is.
func TestPicturesOfOddKinds(t *testing.T) {
	var deep bytes.Buffer
	if err := png.Encode(&deep, image.NewRGBA64(image.Rect(0, 0, 96, 64))); err != nil { // 16 bits a part
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, media string
		data        []byte
		uncarried   bool
		says        string
	}{
		{"progressive", "image/jpeg", quarters(t, "progressive"), false, "96 × 64 pixels"},
		{"inks", "image/jpeg", quarters(t, "cmyk"), true, "the original's colours or its coding are of a kind that a file for the archive cannot carry"},
		{"arithmetic", "image/jpeg", quarters(t, "arithmetic"), true, "cannot carry"},
		{"sixteen bits", "image/png", deep.Bytes(), false, "the original is a PNG file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := map[string][]byte{}
			if c.media == "image/jpeg" {
				if err := pdf.Carries(bytes.NewReader(c.data)); (err != nil) != c.uncarried {
					t.Errorf("asked whether it can be carried: %v", err)
				}
			}
			src := withPicture(t, portfolio.Evidence{Name: c.name, MediaType: c.media, Digest: kept(files, c.data), Size: int64(len(c.data)), Width: 96, Height: 64, Orientation: 1,
				PreviewDigest: kept(files, portfoliotest.Photograph(t, 7, 96, 64)), Uncarried: c.uncarried})
			path, r := drawOptions(t, src, pdf.Options{Open: fromMemory(files)})
			if len(r.NotShown) != 0 {
				t.Errorf("not shown: %q", r.NotShown)
			}
			if text := unbroken(t, path); !strings.Contains(text, c.says) {
				t.Errorf("it does not say %q", c.says)
			}
			if images := tool(t, "pdfimages", "-list", path); strings.Contains(images, "cmyk") || !strings.Contains(images, "rgb") {
				t.Errorf("pictures in the file:\n%s", images)
			}
			checkStructure(t, path)
		})
	}
}

// One that nobody looked at beforehand is not drawn: a sentence stands in its place, and the report names it.
func TestInksThatNobodyNoticed(t *testing.T) {
	files := map[string][]byte{}
	src := withPicture(t, portfolio.Evidence{Name: "ink.jpg", MediaType: "image/jpeg", Digest: kept(files, quarters(t, "cmyk")), Width: 96, Height: 64, Orientation: 1})
	path, r := drawOptions(t, src, pdf.Options{Open: fromMemory(files)})
	if !slices.Equal(r.NotShown, []string{"Photo 1"}) || !strings.Contains(unbroken(t, path), "This picture cannot be shown here.") {
		t.Errorf("not shown: %q", r.NotShown)
	}
	checkStructure(t, path)
}

// Pictures stand upright whatever way they were stored, mirrored ones too: tall ones are those that are stored on their side.
func TestOrientationsInAPortfolio(t *testing.T) {
	files := map[string][]byte{}
	data := quarters(t, "baseline") // 96 × 64
	src := withPicture(t, portfolio.Evidence{})
	at := &src.Tasks[0].Attempts[0]
	first := at.Evidence[0]
	at.Evidence = nil
	for o := range 8 {
		e := first
		e.Name, e.MediaType, e.Caption, e.Width, e.Height, e.Orientation = fmt.Sprintf("o%d.jpg", o+1), "image/jpeg", fmt.Sprintf("way %d", o+1), 96, 64, o+1
		e.Digest = kept(files, append(slices.Clone(data), byte(o))) // after the end of the picture, so that no two are the same file
		at.Evidence = append(at.Evidence, e)
	}
	path, _ := drawOptions(t, src, pdf.Options{Open: fromMemory(files)})
	o := readObjects(t, path)
	seen := 0
	way := regexp.MustCompile(`way (\d)`)
	for _, d := range o {
		m := way.FindStringSubmatch(text(d["/Alt"]))
		if d["/S"] != "/Figure" || m == nil {
			continue
		}
		seen++
		box := o.list(o.dict(d["/A"])["/BBox"])
		ratio := (box[2].(float64) - box[0].(float64)) / (box[3].(float64) - box[1].(float64))
		want := 1.5
		if m[1] >= "5" {
			want = 1 / want
		}
		if math.Abs(ratio-want) > 0.01 {
			t.Errorf("%s: %.3f times as wide as high, want %.3f", m[0], ratio, want)
		}
	}
	if seen != 8 {
		t.Errorf("%d pictures, want 8", seen)
	}
}

// A caption of 5,000 characters is whole under its picture, and its start alone stands in for the picture where it is read aloud.
func TestLongCaptionInAPortfolio(t *testing.T) {
	long := strings.TrimSpace(strings.Repeat("The pump stands to the right. ", 167))[:5000]
	files := map[string][]byte{}
	src := withPicture(t, portfolio.Evidence{Name: "a.jpg", Caption: long, MediaType: "image/jpeg", Digest: kept(files, quarters(t, "baseline")), Width: 96, Height: 64, Orientation: 1})
	path, _ := drawOptions(t, src, pdf.Options{Open: fromMemory(files)})
	checkStructure(t, path)
	whole := ""
	for _, page := range pages(t, path) {
		lines := strings.Split(page, "\n")
		for _, l := range lines {
			if !strings.Contains(l, "Page ") && !strings.Contains(l, "Unit H2:") {
				whole += l
			}
		}
	}
	if !strings.Contains(squeezed(whole), squeezed(long)) {
		t.Error("the caption is not whole")
	}
	for _, d := range readObjects(t, path) {
		if d["/S"] == "/Figure" && strings.Contains(text(d["/Alt"]), "pump") && len(text(d["/Alt"])) > 400 {
			t.Errorf("what is read aloud is %d bytes long", len(text(d["/Alt"])))
		}
	}
}

// Names in any Latin, Greek or Cyrillic script are right; what cannot be shown falls back, can be copied out, and is listed.
func TestNamesInManyScripts(t *testing.T) {
	for _, c := range []struct{ name, lists string }{
		{"Zoë Łukasiewicz-Ångström Þórðardóttir Ğülşah Nguyễn Thị", ""}, {"Ευαγγελία Παπαδοπούλου", ""}, {"Жанна Щёткина Ђорђевић", ""},
		{"נועה לוי", ""}, {"سمير", "Letters that do not join Script"}, {"水田 Mizuta", "Han U+6C34 U+7530"}, {"Ed 🪠", "U+1FAA0"},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := map[string][]byte{}
			src := withPicture(t, portfolio.Evidence{Name: c.name, MediaType: "image/jpeg", Digest: kept(files, quarters(t, "baseline")), Width: 96, Height: 64})
			src.Trainee, src.Tasks[0].Attempts = c.name, nil
			path, r := drawOptions(t, src, pdf.Options{Open: fromMemory(files)})
			checkStructure(t, path)
			text := unbroken(t, path)
			plain := strings.NewReplacer("\u202b", "", "\u202c", "", "\u202a", "").Replace(text)
			if !strings.Contains(plain, c.name) {
				t.Errorf("%q is not in the text", c.name)
			}
			if fine := c.lists == ""; fine != strings.Contains(text, "Every sign of every name and text is shown as it was written.") {
				t.Errorf("what could not be shown is not told, or told of nothing; missing %q", string(r.Missing))
			}
			if !strings.Contains(text, c.lists) {
				t.Errorf("%q is not listed", c.lists)
			}
		})
	}
}

// breaking gives some bytes and then says that they are not those that were received.
type breaking struct {
	io.Reader
	err error
}

func (b *breaking) Read(p []byte) (int, error) {
	n, err := b.Reader.Read(p)
	if errors.Is(err, io.EOF) {
		err = b.err
	}
	return n, err
}

func (b *breaking) Close() error { return nil }

// A picture whose bytes turn out not to match their digest while they are read stops the drawing, which says which one it is.
func TestPictureThatDoesNotMatchItsDigest(t *testing.T) {
	src, files := portfoliotest.Source(t)
	spoilt := src.Tasks[0].Attempts[0].Evidence[1]
	mismatch := errors.New("its bytes have another digest")
	open := fromMemory(files)
	_, err := pdf.Portfolio(t.Context(), io.Discard, portfolio.Assemble(src), pdf.Options{Open: func(digest string) (io.ReadCloser, error) {
		r, err := open(digest)
		if digest == spoilt.Digest {
			return &breaking{r, mismatch}, err
		}
		return r, err
	}})
	if !errors.Is(err, mismatch) || !strings.Contains(err.Error(), "Photo 2") {
		t.Errorf("got %v, want the mismatch with the photo's number", err)
	}
}

// A whole portfolio keeps its structure, log and samples in it.
func TestPortfolioStructure(t *testing.T) {
	src, files := portfoliotest.Source(t)
	src.Samples = sampled(src)
	path, _ := drawOptions(t, src, pdf.Options{Open: fromMemory(files), Log: logged()})
	checkStructure(t, path)
	said := unbroken(t, path)
	for _, want := range []string{
		"Index of evidence", "Statement of authenticity", "agree, with an action", "“The label could be in the picture.”", "Nobody has looked at it yet.", "because a new assessor",
		"Iris Quaye internal quality assurer", "harbour-lane.example/log+0ab3d2f1", "1203 sign-off, task 1, attempt 2", "none: the time of the entries is stated by the centre alone",
		"Every sign of every name and text is shown as it was written.",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is not in the text", want)
		}
	}
}

func sampled(src portfolio.Source) []portfolio.Sample {
	drawn := portfolio.Sample{Attempt: src.Tasks[0].Attempts[1].ID, Plan: "Spring, heating", DrawnBy: "Iris Quaye", DrawnAt: portfoliotest.Start, Why: []string{"a new assessor"}}
	looked := drawn
	looked.Outcome, looked.Words, looked.Sampler, looked.Role, looked.LookedAt = "agree_with_action", "The label could be in the picture.", "Iris Quaye", "internal_quality_assurer", portfoliotest.Start
	return []portfolio.Sample{looked, drawn}
}

// The last page tells of what could not be shown, and sums up what the centre chose to show otherwise.
func TestWhatCouldNotBeShown(t *testing.T) {
	src, files := portfoliotest.Source(t)
	src.Photos = portfolio.Previews
	for i := range src.Tasks[0].Attempts {
		for j := range src.Tasks[0].Attempts[i].Evidence {
			e := &src.Tasks[0].Attempts[i].Evidence[j]
			if e.MediaType == "image/jpeg" {
				e.PreviewDigest = e.Digest // a small picture, its own preview
			}
		}
	}
	path, _ := drawOptions(t, src, pdf.Options{Open: fromMemory(files)})
	all := flat(pages(t, path))
	last := all[len(all)-1]
	for _, want := range []string{"as the centre chose for its portfolios: 4 photos.", "wiring sheet.pdf By name and digest: it is no picture.",
		"terminals.png Shown is a JPEG preview; the original is a PNG file.", "IMG_0414.heic By name and digest: a picture of this kind"} {
		if !strings.Contains(last, want) {
			t.Errorf("%q is not on the last page:\n%s", want, last)
		}
	}
	if strings.Contains(last, "IMG_0412.jpg") {
		t.Error("a photo that the centre chose to show small counts as one that cannot be shown")
	}
}
