package verify_test

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"witnessmark/internal/verify"
	"witnessmark/internal/verify/verifytest"
)

// others is what a program that is not ours says; pdfsig's exit code is of no use.
func others(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), name, args...).CombinedOutput()
	var exit *exec.ExitError
	if err != nil && !(name == "pdfsig" && errors.As(err, &exit)) {
		t.Fatalf("%s %v: %v\n%s", name, args, err, out)
	}
	return string(out)
}

// A whole portfolio, with its photos, its record, its proofs and its signature, is found sound by QPDF, Poppler and MuPDF: what a
// stranger has who does not want to take our word.
func TestOthersReadAWholePortfolio(t *testing.T) {
	data := verifytest.New(t).Portfolio(verifytest.Spoil{})
	dir := t.TempDir()
	path := filepath.Join(dir, "portfolio.pdf")
	lay := func(b []byte) {
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	lay(data)
	if said := others(t, "qpdf", "--check", path); !strings.Contains(said, "No syntax or stream encoding errors") {
		t.Errorf("qpdf says\n%s", said)
	}
	said := others(t, "pdfsig", "-nocert", path)
	for _, want := range []string{"Signature #1:", "Signature Validation: Signature is Valid.", "Total document signed", "ETSI.CAdES.detached", "Signer Certificate Common Name: Harbour Lane Training Centre", "Signing Hash Algorithm: SHA-256"} {
		if !strings.Contains(said, want) {
			t.Errorf("pdfsig does not say %q:\n%s", want, said)
		}
	}
	if strings.Contains(said, "Signature #2") {
		t.Errorf("pdfsig finds more than one signature:\n%s", said)
	}

	others(t, "pdfdetach", "-saveall", "-o", dir, path)
	record, err := check(data, verify.Trust{}).Record.JSON()
	if err != nil {
		t.Fatal(err)
	}
	if got, err := os.ReadFile(filepath.Join(dir, verify.RecordFile)); err != nil || !bytes.Equal(got, record) {
		t.Errorf("pdfdetach saves a %s of %d bytes, and we read one of %d (%v)", verify.RecordFile, len(got), len(record), err)
	}
	if list := others(t, "pdfdetach", "-list", path); !strings.HasPrefix(list, "2 embedded files") || !strings.Contains(list, verify.LogFile) {
		t.Errorf("pdfdetach lists\n%s", list)
	}

	if said := others(t, "mutool", "draw", "-N", "-q", "-r", "20", "-o", filepath.Join(dir, "%d.png"), path); strings.Contains(said, "error:") || strings.Contains(said, "warning:") {
		t.Errorf("mutool says\n%s", said)
	}
	pages, err := filepath.Glob(filepath.Join(dir, "*.png"))
	if err != nil || len(pages) < 5 {
		t.Errorf("mutool draws %d pages (%v)", len(pages), err)
	}
	if said := others(t, "mutool", "draw", "-N", "-q", "-F", "txt", "-o", "-", path); !strings.Contains(said, "Ines Okafor-Lindqvist") || !strings.Contains(said, "Statement of authenticity") {
		t.Errorf("mutool reads %d characters, without the trainee or the statement", len(said))
	}

	lay(flip(data))
	if said := others(t, "pdfsig", "-nocert", path); !strings.Contains(said, "Digest Mismatch") {
		t.Errorf("of a changed file pdfsig says\n%s", said)
	}
}
