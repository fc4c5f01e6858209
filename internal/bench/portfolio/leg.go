package main

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"witnessmark/internal/blob"
	"witnessmark/internal/httpd"
	"witnessmark/internal/keyring"
	"witnessmark/internal/pades"
	"witnessmark/internal/pdf"
	"witnessmark/internal/photo"
	"witnessmark/internal/portfolio"
)

// made is what a leg tells of what it made.
type made struct {
	Bytes int64
	Pages int
	Peak  int64 // bytes of memory, at most
}

// leg is one side of a round, in a process of its own: its kind, the folder and the list of photos.
func leg(args []string) error {
	if len(args) != 3 {
		return errors.New("a leg is a kind, a folder and a list")
	}
	text, err := os.ReadFile(filepath.Join(args[1], args[2]))
	if err != nil {
		return err
	}
	var shots []shot
	if err := json.Unmarshal(text, &shots); err != nil {
		return err
	}
	var m made
	if args[0] == "baseline" {
		m, err = copied(args[1], shots)
	} else {
		m, err = build(args[1], shots, portfolio.Photos(args[0]))
	}
	if err != nil {
		return err
	}
	if m.Peak, err = highWater(); err != nil {
		return err
	}
	return json.NewEncoder(os.Stdout).Encode(m)
}

// highWater is this process's own peak; what the system tells its parent has the parent's in it.
func highWater() (int64, error) {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0, err
	}
	for line := range strings.Lines(string(status)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kB, err := strconv.ParseInt(strings.TrimSuffix(strings.TrimSpace(rest), " kB"), 10, 64)
			return kB << 10, err
		}
	}
	return 0, errors.New("the system does not tell a process's peak memory")
}

// build makes a portfolio as the program does once it has read its rows.
func build(dir string, shots []shot, photos portfolio.Photos) (m made, err error) {
	httpd.SettleMemory() // as the server does
	blobs, err := blob.OpenFolder(filepath.Join(dir, "evidence"))
	if err != nil {
		return m, err
	}
	ring, err := keyring.Open(filepath.Join(dir, "keys"))
	if err != nil {
		return m, err
	}
	by, err := ring.CertificateOrNew(1, "Harbour Lane Training Centre", time.Now())
	if err != nil {
		return m, err
	}
	doc := portfolio.Assemble(source(shots, photos))
	r, err := doc.Record()
	if err != nil {
		return m, err
	}
	record, err := r.JSON()
	if err != nil {
		return m, err
	}
	at := time.Now()
	o := pdf.Options{Open: opener(blobs, doc.Files),
		Attachments: []pdf.Attachment{{Name: "record.json", MediaType: "application/json", Relationship: "Data", Made: doc.MadeAt, Data: record, Description: "The record"}},
		Sign:        &pdf.Signing{Name: doc.CentreName, At: at, Sign: func(digest [sha256.Size]byte) ([]byte, error) { return pades.Sign(digest, by, at, nil) }}}
	var report pdf.Report
	d, size, err := blobs.PutWritten(context.Background(), 1<<40, func(w *blob.Writer) (err error) {
		report, err = pdf.Portfolio(context.Background(), w, doc, o)
		return err
	})
	if err != nil {
		return m, err
	}
	if len(report.NotShown) > 0 {
		return m, fmt.Errorf("not shown: %v", report.NotShown)
	}
	return made{Bytes: size, Pages: report.Pages}, blobs.Remove(d)
}

// opener opens photos as the application does: each read once, with its digest checked.
func opener(blobs *blob.Folder, files []portfolio.File) func(string) (io.ReadCloser, error) {
	originals := map[string]string{}
	for _, f := range files {
		if f.Show == portfolio.Bare {
			originals[f.Shown] = f.Digest
		}
	}
	return func(digest string) (io.ReadCloser, error) {
		want, err := blob.Parse(digest)
		if err != nil {
			return nil, err
		}
		if originals[digest] == "" {
			return blobs.Once(want)
		}
		d, err := blob.Parse(originals[digest])
		if err != nil {
			return nil, err
		}
		return blobs.OnceThrough(d, want, photo.Strip)
	}
}

// copied reads the photos and writes them through a buffer, with two SHA-256 of every byte: every digest is checked again, and the
// signature's is over the whole.
func copied(dir string, shots []shot) (m made, err error) {
	name := filepath.Join(dir, "baseline")
	out, err := os.Create(name)
	if err != nil {
		return m, err
	}
	defer func() { err = errors.Join(err, out.Close(), os.Remove(name)) }()
	blobs, err := blob.OpenFolder(filepath.Join(dir, "evidence"))
	if err != nil {
		return m, err
	}
	whole, buffer := sha256.New(), make([]byte, 256<<10)
	for _, s := range shots {
		d, err := blob.Parse(s.Digest)
		if err != nil {
			return m, err
		}
		in, _, err := blobs.Open(d)
		if err != nil {
			return m, err
		}
		each := sha256.New()
		n, err := io.CopyBuffer(struct{ io.Writer }{io.MultiWriter(out, each, whole)}, struct{ io.Reader }{in}, buffer)
		if err := errors.Join(err, in.Close()); err != nil {
			return m, err
		}
		if blob.Digest(each.Sum(nil)) != d {
			return m, fmt.Errorf("%s has changed", s.Digest)
		}
		m.Bytes += n
	}
	return m, out.Sync()
}
