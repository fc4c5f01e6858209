package writer_test

import (
	"bytes"
	"crypto/md5"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/pdf/writer"
)

// attachedFile writes one page with what is to be attached, and gives its path.
func attachedFile(t *testing.T, all ...writer.Attachment) string {
	t.Helper()
	var b bytes.Buffer
	f := writer.New(&b, writer.Meta{Title: "With files", Producer: "Witnessmark"})
	for _, a := range all {
		f.Attach(a)
	}
	f.Page(100, 100).Close()
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "with.pdf")
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	tool(t, "qpdf", "--check", path)
	return path
}

// Attachments come out as they went in, by a program that is not ours, with what they are to the document.
func TestAttachments(t *testing.T) {
	made := time.Date(2026, 5, 5, 8, 30, 0, 0, time.UTC)
	record := writer.Attachment{Name: "record.json", MediaType: "application/json", Description: "What the pages say", Relationship: "Data", Made: made, Data: []byte(`{"edition":"1"}`)}
	log := writer.Attachment{Name: "a (log) ü.json", MediaType: "application/json", Relationship: "Supplement", Made: made, Data: bytes.Repeat([]byte("proof\n"), 9000)}
	path := attachedFile(t, record, log)
	folder := t.TempDir()
	tool(t, "pdfdetach", "-saveall", "-o", folder, path)
	for _, a := range []writer.Attachment{record, log} {
		got, err := os.ReadFile(filepath.Join(folder, a.Name))
		if err != nil || !bytes.Equal(got, a.Data) {
			t.Errorf("%s: %d bytes came out, %d went in: %v", a.Name, len(got), len(a.Data), err)
		}
	}
	said := tool(t, "qpdf", "--json=2", path)
	for _, want := range []string{`"/AFRelationship": "/Data"`, `"/AFRelationship": "/Supplement"`, `"/Subtype": "/application/json"`, `"/AF": [`, `"/EmbeddedFiles"`,
		`"/Size": 54000`, `u:D:20260505083000Z`, fmt.Sprintf("b:%x", md5.Sum(record.Data))} {
		if !strings.Contains(said, want) {
			t.Errorf("qpdf does not say %s", want)
		}
	}
}

func TestAttachmentNamesAreUnique(t *testing.T) {
	f := writer.New(&bytes.Buffer{}, writer.Meta{})
	for range 2 {
		f.Attach(writer.Attachment{Name: "record.json"})
	}
	f.Page(10, 10).Close()
	if err := f.Close(); err == nil || !strings.Contains(err.Error(), "record.json") {
		t.Errorf("got %v, want the name in it", err)
	}
}

// What the file says of itself stands in both its places alike, whatever was put in (ISO 19005-3, 6.6.3; from memory).
func TestFactsAreTheSameTwice(t *testing.T) {
	var b bytes.Buffer
	f := writer.New(&b, writer.Meta{Title: "A\tB\x00 & \xff <c>", Author: "Łukasz\nŽ", Subject: "Unit 7"})
	f.Page(10, 10).Close()
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "facts.pdf")
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	info, xmp := tool(t, "pdfinfo", path), tool(t, "pdfinfo", "-meta", path)
	for _, c := range []struct{ info, xmp string }{
		{"A B  & \uFFFD <c>", "A B  &amp; \uFFFD &lt;c&gt;"}, {"Łukasz Ž", "Łukasz Ž"}, {"Unit 7", "Unit 7"},
	} {
		if !strings.Contains(info, c.info) || !strings.Contains(xmp, ">"+c.xmp+"<") {
			t.Errorf("%q and %q do not stand in\n%s\n%s", c.info, c.xmp, info, xmp)
		}
	}
	for _, want := range []string{"<pdfaid:part>3<", "<pdfaid:conformance>A<", "<pdfuaid:part>1<", "<pdfaSchema:prefix>pdfuaid<", "<rdf:li>en<"} {
		if !strings.Contains(xmp, want) {
			t.Errorf("XMP does not say %s", want)
		}
	}
}
