package app

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/bag"
	"witnessmark/internal/blob"
	"witnessmark/internal/fault"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/store"
	"witnessmark/internal/verify"
)

// The places in a portfolio's bag.
const (
	bagPortfolio = "data/portfolio.pdf"
	bagRecord    = "data/" + verify.RecordFile
	bagLog       = "data/" + verify.LogFile
	bagOriginals = "data/originals/"
)

// ExportPortfolio puts a finished portfolio together as a BagIt bag (RFC 8493): the file, its record and proofs, and each file of
// evidence as it was received, or as its covered copy where that alone leaves the centre. It is for commands of whoever runs the
// program. put keeps one file of the bag, and is given a path with slashes. The same portfolio gives the same bag.
func (a *App) ExportPortfolio(ctx context.Context, centre int64, id uuid.UUID, put func(path string, r io.Reader) error) (files int, err error) {
	p, err := a.db.Portfolio(ctx, centre, id)
	if err != nil {
		return 0, err
	}
	if p.State != store.PortfolioReady {
		return 0, fault.Conflict("This portfolio is not finished, so there is nothing to export.")
	}
	found, err := a.readPortfolio(p)
	if err != nil {
		return 0, err
	}
	b := bagging{app: a, put: put}
	b.stored(bagPortfolio, p.Digest)
	record, err := found.Record.JSON()
	if err != nil {
		return 0, err
	}
	log, err := found.Log.JSON()
	if err != nil {
		return 0, err
	}
	b.made(bagRecord, record)
	b.made(bagLog, log)
	there := map[string]bool{}
	for _, f := range found.Record.Files {
		if digest := leaves(found.Record.Photos, f); digest != "" && !there[digest] {
			there[digest] = true
			b.stored(fmt.Sprintf("%s%04d-%s", bagOriginals, f.Number, bag.Name(f.Name)), digest)
			files++
		}
	}
	if b.err != nil {
		return 0, b.err
	}
	return files, b.tags(found.Record)
}

// readPortfolio reads a stored portfolio's record and proofs from the file itself, so that the bag is of what was handed out.
func (a *App) readPortfolio(p store.Portfolio) (*verify.Portfolio, error) {
	d, err := blob.Parse(p.Digest)
	if err != nil {
		return nil, err
	}
	content, size, err := a.blobs.Open(d)
	if err != nil {
		return nil, err
	}
	at, ok := content.(io.ReaderAt)
	if !ok {
		at = &seeking{content}
	}
	found := verify.File(at, size, verify.Options{})
	if err := content.Close(); err != nil {
		return nil, fmt.Errorf("read the portfolio: %w", err)
	}
	if found.Record.ID == "" {
		_, why := found.Verdict()
		return nil, fault.Conflict("This portfolio carries no record of its own, so it was made before there were bags. Have it made once more. (%s)", why)
	}
	return found, nil
}

// seeking reads at a place by going there; it serves one goroutine.
type seeking struct{ io.ReadSeeker }

func (s *seeking) ReadAt(p []byte, off int64) (int, error) {
	if _, err := s.Seek(off, io.SeekStart); err != nil {
		return 0, err
	}
	n, err := io.ReadFull(s, p)
	if err == io.ErrUnexpectedEOF {
		err = io.EOF
	}
	return n, err
}

// leaves is the digest of what leaves the centre of a file; "" where nothing does. That is the copy where somebody's privacy asks for
// it, and also where the photo tells its place and the centre did not choose that places leave it; else what was received.
func leaves(choice portfolio.Photos, f portfolio.RecordFile) string {
	switch {
	case f.Stays:
		return ""
	case f.Withdrawn != "" || f.Withheld || f.Covers > 0 || f.Private:
		return f.CopySHA256
	case f.CopySHA256 != "" && choice != portfolio.UploadedWithPlace:
		return f.CopySHA256
	}
	return f.SHA256
}

// bagging puts files into a bag and keeps the first error.
type bagging struct {
	app     *App
	put     func(path string, r io.Reader) error
	entries []bag.Entry
	err     error
}

// stored puts a stored file in, checked on the way.
func (b *bagging) stored(path, digest string) {
	if b.err != nil {
		return
	}
	content, err := b.app.openChecked(digest)
	if err != nil {
		b.err = err
		return
	}
	n := &counted{Reader: content}
	err = b.put(path, n)
	if e := content.Close(); err == nil {
		err = e
	}
	b.err = err
	b.entries = append(b.entries, bag.Entry{Path: path, SHA256: digest, Size: n.n})
}

func (b *bagging) made(path string, data []byte) {
	if b.err == nil {
		b.err = b.put(path, bytes.NewReader(data))
		b.entries = append(b.entries, bag.Entry{Path: path, SHA256: sum(data), Size: int64(len(data))})
	}
}

// tags puts the lists in. Of whom it is stands in the record alone.
func (b *bagging) tags(r portfolio.Record) error {
	var unit struct{ Code string }
	if err := json.Unmarshal(r.Unit, &unit); err != nil {
		return fmt.Errorf("read the portfolio's unit: %w", err)
	}
	made, err := time.Parse(time.RFC3339, r.MadeAt)
	if err != nil {
		return fmt.Errorf("read the portfolio's time: %w", err)
	}
	files, err := bag.Tags(b.entries, []bag.Fact{
		{Name: "Bag-Software-Agent", Value: "Witnessmark"}, {Name: "Bagging-Date", Value: made.Format(time.DateOnly)},
		{Name: "External-Identifier", Value: r.ID}, {Name: "External-Description", Value: "Portfolio of evidence for unit " + unit.Code},
	})
	if err != nil {
		return err
	}
	for _, f := range files {
		if err := b.put(f.Name, bytes.NewReader(f.Data)); err != nil {
			return err
		}
	}
	return nil
}

// counted counts what is read through it.
type counted struct {
	io.Reader
	n int64
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.Reader.Read(p)
	c.n += int64(n)
	return n, err
}
