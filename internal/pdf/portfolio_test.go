package pdf_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"

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
	path := filepath.Join(t.TempDir(), "portfolio.pdf")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	err = pdf.Portfolio(t.Context(), f, portfolio.Assemble(src), fromMemory(files))
	if err := errors.Join(err, f.Close()); err != nil {
		t.Fatal(err)
	}
	tool(t, "qpdf", "--check", path)
	tool(t, "mutool", "draw", "-N", "-q", "-r", "20", "-o", filepath.Join(t.TempDir(), "%d.png"), path)
	return path
}

func TestPortfolioText(t *testing.T) {
	src, files := portfoliotest.Source(t)
	path := drawPortfolio(t, src, files)
	if keep := os.Getenv("KEEP_PDF"); keep != "" {
		data, err := os.ReadFile(path)
		if err := errors.Join(err, os.WriteFile(keep, data, 0o600)); err != nil {
			t.Fatal(err)
		}
	}
}
