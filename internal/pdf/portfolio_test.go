package pdf_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/pdf"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/portfolio/portfoliotest"
)

// fromMemory opens files that are held in memory.
func fromMemory(files map[string][]byte) func(string) (io.ReadCloser, error) {
	return func(digest string) (io.ReadCloser, error) {
		data, ok := files[digest]
		if !ok {
			return nil, fmt.Errorf("no file has the digest %s", digest)
		}
		return io.NopCloser(bytes.NewReader(data)), nil
	}
}

// drawPortfolio draws src, has qpdf and mutool look at it, and gives its path.
func drawPortfolio(t *testing.T, src portfolio.Source, files map[string][]byte) string {
	t.Helper()
	path, _ := drawOptions(t, src, pdf.Options{Open: fromMemory(files)})
	return path
}

// drawWith draws the source for tests with a page of the log.
func drawWith(t *testing.T, l *portfolio.LogPage) string {
	t.Helper()
	src, files := portfoliotest.Source(t)
	path, _ := drawOptions(t, src, pdf.Options{Open: fromMemory(files), Log: l})
	return path
}

func drawOptions(t *testing.T, src portfolio.Source, o pdf.Options) (string, pdf.Report) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "portfolio.pdf")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	r, err := pdf.Portfolio(t.Context(), f, portfolio.Assemble(src), o)
	if err := errors.Join(err, f.Close()); err != nil {
		t.Fatal(err)
	}
	tool(t, "qpdf", "--check", path)
	conforms(t, path)
	tool(t, "mutool", "draw", "-N", "-q", "-r", "20", "-o", filepath.Join(t.TempDir(), "%d.png"), path)
	return path, r
}

// unbroken is a document's text with every stretch of white space as one space, so that a sentence is found over lines.
func unbroken(t *testing.T, path string) string {
	t.Helper()
	return strings.Join(strings.Fields(tool(t, "pdftotext", path, "-")), " ")
}

func TestPortfolioText(t *testing.T) {
	src, files := portfoliotest.Source(t)
	text := unbroken(t, drawPortfolio(t, src, files))
	for name, want := range map[string]string{
		"cover":                  "Portfolio of evidence Ines Okafor-Lindqvist Unit H2: Put a heating system right and prove it",
		"code and cohort":        "Ines Okafor-Lindqvist (ines.okafor) Cohort Evening group, spring 2026",
		"made, in summer time":   "5 May 2026, 09:30 BST",
		"document id":            "Document " + src.ID.String(),
		"index":                  "Where each criterion is shown, and who decided",
		"no task bears on it":    "No evidence: no task that was set bears on it.",
		"nothing handed in":      "No evidence yet: task 2 bears on it, and nothing has been handed in.",
		"earlier decision":       "before: not yet met in attempt 1",
		"brief":                  "Caution Pipes above 60 °C burn.",
		"brief's digest":         src.Tasks[0].Digest,
		"given value":            "14.5\u2009kW",
		"hold point":             "To be shown: The wiring is tested dead and the covers are on.",
		"released by":            "Marit Solheim, tutor, 21 April 2026, 12:30 BST",
		"must be visible":        "Must be visible: the whole rig; the pump and its isolating valves.",
		"before the release":     "Captured before the hold point was released.",
		"phone's clock":          "On the phone 21 April 2026 10:30:00 BST",
		"server's clock":         "Received 21 April 2026 10:33:00 BST",
		"camera without a zone":  "Taken by the camera's clock 21 April 2026 10:30:00, zone not stated",
		"preview":                "Shown is a JPEG preview; the original is a PNG file.",
		"reading as left":        "69.8\u2009°C",
		"limit":                  "at least 60\u2009°C, at most 80\u2009°C",
		"superseded reading":     "entry 1, superseded Note: The bypass was still open.",
		"note in between":        "Shut the bypass to a quarter turn, waited ten minutes.",
		"check reading":          "tutor's check reading",
		"seen":                   "seen on the instrument by the tutor",
		"wrong cell in words":    "Seen “heating”, expected “mid”.",
		"what a grid points at":  "What the grid points at, as advice and no mark: 1 cell is not as expected.",
		"step's times":           "Prove the tester again, at least 10 s and at most 15 min after the step before.",
		"figure off":             "The working gives 947\u2009kW; 948\u2009kW is stated.",
		"working as written":     "12.4 × 0.988 × 4.18 × 18.5 = 947",
		"from own figures":       "Checked answer, from the trainee's own figures",
		"figure worked out":      "worked from the given and measured values; shown rounded, worked with all digits",
		"choice worked out":      "so it is this one: ",
		"last step":              "× 18.5\u2009K ≈ 15.7",
		"override":               "overridden: right",
		"override's reason":      "Sixteen and a half is 16.5, and she said so when asked.",
		"decision's words":       "The valve did not go to mid when both called.",
		"decision's reason":      "falls short of being sufficient",
		"superseded decision":    "Superseded: not yet met, Marit Solheim, tutor, 29 April 2026, 08:30 BST.",
		"carried decision":       "carried over from attempt 1",
		"more to do":             "To be done by 30 April 2026.",
		"declaration":            "This is my own work. What others helped with is said beside it.",
		"sign-off":               "signed off Marit Solheim tutor 29 April 2026, 10:30 BST",
		"sign-off's words":       "Well worked. Take the label of the pump into the picture next time.",
		"nothing for an item":    "Nothing was handed in for this item.",
		"the marker's version":   src.Tasks[0].Attempts[0].Marking.Engine,
		"source of properties":   src.Tasks[0].Attempts[0].Marking.Properties,
		"a person decided":       "The program re-worked the figures; a person decided.",
		"digest of a listed PDF": src.Tasks[0].Attempts[0].Evidence[2].Digest,
	} {
		if !strings.Contains(text, strings.Join(strings.Fields(want), " ")) {
			t.Errorf("%s: %q is not in the text", name, want)
		}
	}
}

// flat is pages with every stretch of white space as one space.
func flat(pages []string) []string {
	for i := range pages {
		pages[i] = strings.Join(strings.Fields(pages[i]), " ")
	}
	return pages
}

// Each page that the index and the appendix quote is the page on which the thing stands.
func TestPortfolioPages(t *testing.T) {
	src, files := portfoliotest.Source(t)
	all := flat(pages(t, drawPortfolio(t, src, files)))
	page := func(of string) int {
		for i, text := range all {
			if strings.Contains(text, of) && i > 2 { // after cover, contents and index
				return i + 1
			}
		}
		t.Fatalf("%q stands on no page", of)
		return 0
	}
	for title, stands := range map[string]string{"1 The rig as you find it": "1 The rig as you find it photo", "4 Risk assessment": "4 Risk assessment confirm"} {
		if want := fmt.Sprintf("%s, p. %d", title, page(stands)); !strings.Contains(all[2], want) {
			t.Errorf("the index does not say %q:\n%s", want, all[2])
		}
	}
	for i, text := range all[1:] {
		for _, want := range []string{"Ines Okafor-Lindqvist (ines.okafor)", "Unit H2: Put a heating system right and prove it", fmt.Sprintf("Page %d of %d", i+2, len(all))} {
			if !strings.Contains(text, want) {
				t.Errorf("page %d does not say %q", i+2, want)
			}
		}
	}
}

func TestPortfolioPhotosComeOutAsTheyWentIn(t *testing.T) {
	src, files := portfoliotest.Source(t)
	stem := filepath.Join(t.TempDir(), "out")
	tool(t, "pdfimages", "-all", drawPortfolio(t, src, files), stem)
	d := portfolio.Assemble(src)
	n := 0
	for _, f := range d.Files {
		if f.Show == portfolio.Listed {
			continue
		}
		got, err := os.ReadFile(fmt.Sprintf("%s-%03d.jpg", stem, n))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, files[f.Shown]) {
			t.Errorf("%s: %d bytes came out, %d went in, and they differ", f.Name, len(got), len(files[f.Shown]))
		}
		n++
	}
	if n != 5 {
		t.Errorf("%d pictures shown, want 5: four originals and one preview", n)
	}
}

// A HEIC is listed until there is a JPEG copy of it, which is then shown with its own digest beside the original's.
func TestPortfolioHEIC(t *testing.T) {
	src, files := portfoliotest.Source(t)
	at := &src.Tasks[0].Attempts[0]
	e := &at.Evidence[4]
	if text := unbroken(t, drawPortfolio(t, src, files)); e.MediaType != "image/heic" || strings.Contains(text, "is a HEIC file") {
		t.Fatalf("the fifth file is %s, and shown", e.MediaType)
	}
	seen := portfoliotest.Photograph(t, 300, 160, 120)
	e.CoveredDigest, e.Width, e.Height, e.Orientation = fmt.Sprintf("%x", sha256.Sum256(seen)), 160, 120, 1
	files[e.CoveredDigest] = seen
	text := unbroken(t, drawPortfolio(t, src, files))
	for _, want := range []string{
		"Shown is a JPEG copy; the original is a HEIC file, which cannot be shown on paper as it is. Its SHA-256 " + e.CoveredDigest[:16] + "…",
		"SHA-256 of the original " + e.Digest[:16] + "…", e.Digest, "copy shown: " + e.CoveredDigest,
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the text", want)
		}
	}
}

// Whatever people typed, nothing stops the drawing and nothing leaves the sheet.
func TestPortfolioHostileWords(t *testing.T) {
	long := strings.Repeat("Åsa-Žofie van der Łukasiewicz ", 12)
	for name, word := range map[string]string{
		"long":        long,
		"unbroken":    strings.Repeat("W", 400),
		"signs":       "נועה לוי a\x00b\x07\u202ec\r\n\td a\xff\xfe ) Tj ET (\\ << >> endobj %%EOF",
		"empty":       "",
		"line breaks": strings.Repeat("\n", 50),
	} {
		t.Run(name, func(t *testing.T) {
			src, files := portfoliotest.Source(t)
			src.Trainee, src.TraineeCode, src.CentreName, src.Cohort = word, word, word, word
			src.Unit.Title, src.Unit.Edition, src.Unit.Outcomes[0].Criteria[0].Text = word, word, word
			src.Tasks = src.Tasks[:1]
			task := &src.Tasks[0]
			task.Attempts = task.Attempts[:1]
			task.Brief.Title, task.Brief.About, task.Brief.Stages[1].Hold.Show, task.Brief.Stages[0].Items[0].Title = word, word, word, word
			at := &task.Attempts[0]
			for i := range at.Entries {
				at.Entries[i].Text, at.Entries[i].Working, at.Entries[i].Note = word, word, word
			}
			for i := range at.Evidence {
				at.Evidence[i].Name, at.Evidence[i].Caption = word, word
			}
			for i := range at.Records {
				at.Records[i].ByName, at.Records[i].Words, at.Records[i].Role = word, word, word
			}
			at.Declaration = word
			inside(t, drawPortfolio(t, src, files))
		})
	}
}

// An attempt with 400 items: the index leads to every one of them, and titles of columns come again on every page.
func TestPortfolioFourHundredItems(t *testing.T) {
	src, files := portfoliotest.Source(t)
	b := *src.Tasks[1].Brief
	items := make([]brief.Item, 400)
	at := portfolio.Attempt{Number: 1, State: decision.Decided}
	for i := range items {
		key := fmt.Sprintf("r%d", i+1)
		items[i] = brief.Item{Key: key, Title: fmt.Sprintf("Valve %03d", i+1), Criteria: []string{"1.3"}, Reading: &brief.Reading{Is: "flow", Unit: "L/min"}}
		at.Entries = append(at.Entries, portfolio.Entry{Entry: marking.Entry{Item: key, Text: "12.4"}, ReceivedAt: portfoliotest.Start})
	}
	b.Stages = []brief.Stage{{Key: "all", Title: "All", Items: items}}
	src.Tasks = []portfolio.Task{{Brief: &b, Attempts: []portfolio.Attempt{at}}}
	all := flat(pages(t, drawPortfolio(t, src, files)))
	titled := regexp.MustCompile(`Evidence and its page`)
	quoted := regexp.MustCompile(`(\d+) Valve (\d{3}), p\.\s*(\d+)`)
	n := 0
	for i, text := range all {
		if !titled.MatchString(text) {
			continue
		}
		for _, m := range quoted.FindAllStringSubmatch(text, -1) {
			n++
			var page int
			fmt.Sscan(m[3], &page)
			if page > len(all) || !strings.Contains(all[page-1], m[1]+" Valve "+m[2]+" reading") {
				t.Errorf("page %d of the index sends valve %s to page %d, where it is not", i+1, m[2], page)
			}
		}
	}
	if n != len(items) {
		t.Errorf("the index names %d of %d items on pages with column titles", n, len(items))
	}
}

// A photo that cannot be opened stops the drawing, and the message says which one it is.
func TestPortfolioPhotoThatDoesNotOpen(t *testing.T) {
	src, files := portfoliotest.Source(t)
	lost := src.Tasks[0].Attempts[0].Evidence[1]
	delete(files, lost.Digest)
	_, err := pdf.Portfolio(t.Context(), io.Discard, portfolio.Assemble(src), pdf.Options{Open: fromMemory(files)})
	if err == nil {
		t.Fatal("drawn without the photo")
	}
	for _, want := range []string{"Photo 2", lost.Name, lost.Digest} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q does not name %q", err, want)
		}
	}
}

// A portfolio with nothing in it is still one, and says so.
func TestPortfolioOfNothing(t *testing.T) {
	text := unbroken(t, drawPortfolio(t, portfolio.Source{}, nil))
	for _, want := range []string{"The unit has no criteria yet.", "No file was handed in."} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the text", want)
		}
	}
}

// Times are London's: GMT in winter, BST in summer, each said.
func TestPortfolioZone(t *testing.T) {
	src, files := portfoliotest.Source(t)
	src.MadeAt = time.Date(2026, time.December, 31, 23, 30, 0, 0, time.UTC)
	text := unbroken(t, drawPortfolio(t, src, files))
	for _, want := range []string{"31 December 2026, 23:30 GMT", "21 April 2026, 09:30 BST"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the text", want)
		}
	}
}
