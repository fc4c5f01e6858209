package pdfread_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/go-fonts/dejavu/dejavusans"

	"witnessmark/internal/pdf/typeface"
	"witnessmark/internal/pdf/writer"
	"witnessmark/internal/pdfread"
)

const pictures = "../../testdata/pdf/"

var pictureNames = []string{"quarters-baseline.jpg", "quarters-grey.jpg", "quarters-progressive.jpg"}

// drawn is a file by our own writer: three pages, three pictures, text.
func drawn(t testing.TB) []byte {
	t.Helper()
	face, err := typeface.Parse(dejavusans.TTF)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	f := writer.New(&b, writer.Meta{Title: "Größe (Δ)", Author: "A. Tutor", Language: "en-GB", Created: time.Date(2026, 5, 4, 15, 30, 0, 0, time.UTC)})
	font := f.AddFont(face)
	for i, name := range pictureNames {
		m, err := f.AddJPEG(name, bytes.NewReader(picture(t, name)), 1)
		if err != nil {
			t.Fatal(err)
		}
		p := f.Page(200, 100+float64(i))
		p.Text(font, 12, 20, 70, 0, writer.RGB{}, "Page "+fmt.Sprint(i+1))
		p.Image(m, 20, 10, 40, 40)
		p.Close()
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func picture(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(pictures + name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// built makes a file of the objects given, numbered from 1, with a classic
// table; the first is the catalogue. Trailer is put beside /Size and /Root.
func built(trailer string, objects ...string) []byte {
	var b bytes.Buffer
	b.WriteString("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
	table := fmt.Sprintf("xref\n0 %d\n0000000000 65535 f \n", len(objects)+1)
	for i, body := range objects {
		table += fmt.Sprintf("%010d 00000 n \n", b.Len())
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", i+1, body)
	}
	fmt.Fprintf(&b, "%strailer\n<< /Size %d /Root 1 0 R %s >>\nstartxref\n%d\n%%%%EOF\n", table, len(objects)+1, trailer, b.Len())
	return b.Bytes()
}

// plain is the least that opens.
func plain(more ...string) []byte {
	return built("", append([]string{"<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Count 0 /Kids [] >>"}, more...)...)
}

func stream(dict, data string) string {
	return fmt.Sprintf("<< %s /Length %d >>\nstream\n%s\nendstream", dict, len(data), data)
}

func open(t testing.TB, b []byte) *pdfread.File {
	t.Helper()
	f, err := pdfread.Open(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// onDisk puts a file where tools find it.
func onDisk(t testing.TB, b []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "a.pdf")
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// tool runs a program of the system and gives what it printed. The tools are
// required: a check that cannot run has failed.
func tool(t testing.TB, name string, args ...string) string {
	t.Helper()
	var said bytes.Buffer
	cmd := exec.CommandContext(t.Context(), name, args...)
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s%s", name, strings.Join(args, " "), err, out, said.String())
	}
	return string(out)
}

// repacked is the file written otherwise by a program that is not ours, such as
// with object streams and an xref stream.
func repacked(t testing.TB, b []byte, how string) []byte {
	t.Helper()
	in := onDisk(t, b)
	tool(t, "qpdf", how, "--stream-data=preserve", in, in+"2")
	out, err := os.ReadFile(in + "2")
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func must(t *testing.T, err error, pattern string) {
	t.Helper()
	if err == nil || !regexp.MustCompile(pattern).MatchString(err.Error()) {
		t.Errorf("got %v, want an error like %q", err, pattern)
	}
}
