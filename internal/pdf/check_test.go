package pdf_test

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/pdf"
	"witnessmark/internal/pdf/writer"
	"witnessmark/internal/pdfcheck"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/portfolio/portfoliotest"
)

// conforms holds a drawn file against our reading of PDF/A-3a and PDF/UA-1.
func conforms(t *testing.T, path string) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	}()
	about, err := f.Stat()
	if err != nil {
		t.Fatal(err)
	}
	found, err := pdfcheck.CheckFile(f, about.Size())
	if err != nil {
		t.Fatal(err)
	}
	for _, finding := range found {
		t.Error(finding)
	}
}

// A whole portfolio conforms with all that may be in it: attachments, the log's
// page and a signature. (Every file that these tests draw is held against the
// rules.)
func TestPortfolioConforms(t *testing.T) {
	src, files := portfoliotest.Source(t)
	attach := func(name, relationship string) pdf.Attachment {
		return pdf.Attachment{Name: name, MediaType: "application/json", Description: "What " + name + " holds", Relationship: relationship, Made: created, Data: []byte(`{"a":"b"}`)}
	}
	drawOptions(t, src, pdf.Options{
		Open:        fromMemory(files),
		Attachments: []pdf.Attachment{attach("record.json", "Data"), attach("log.json", "Supplement")},
		Sign: &writer.Signing{Name: "Harbour Lane", Reason: "It is whole", Location: "Bristol", At: created,
			Sign: func([32]byte) ([]byte, error) { return []byte("no signature, but as long as one may be"), nil }},
		Log: &portfolio.LogPage{Origin: "centre.example/log", Size: 40, Checkpoint: "centre.example/log\n40\nAAAA\n\n— centre BBBB\n", Keys: []string{"centre+1234+AAAA"},
			Entries: []portfolio.LogEntry{{Index: 12, Kind: "sign-off", What: "task 1, attempt 2", At: created.Add(time.Hour), Digest: strings.Repeat("ab", 32)}}},
	})
}

// What reading a portfolio whole and holding it against every rule takes.
func BenchmarkConforms(b *testing.B) {
	src, files := portfoliotest.Source(b)
	var file bytes.Buffer
	if _, err := pdf.Portfolio(b.Context(), &file, portfolio.Assemble(src), pdf.Options{Open: fromMemory(files)}); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if found, err := pdfcheck.CheckFile(bytes.NewReader(file.Bytes()), int64(file.Len())); err != nil || len(found) > 0 {
			b.Fatal(found, err)
		}
	}
}
