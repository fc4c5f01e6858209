package app

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/google/uuid"

	"witnessmark/internal/blob"
	"witnessmark/internal/decision"
	"witnessmark/internal/pdf"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/store"
	"witnessmark/internal/verify"
)

// portfolioLimit bounds a portfolio's size in bytes: five hundred photos of the largest kind.
const portfolioLimit = 500 * EvidenceLimit

// BuildPortfolio builds a requested portfolio: the job's work, on nobody's behalf. Done again it has the same effect.
// Trouble that trying again does not mend is written to the portfolio for people to read.
//
// The portfolio's row names the bytes from before they are in the folder until it is settled, so that none lie there that
// nothing names: what was stopped or erased while it was drawn leaves nothing behind.
func (a *App) BuildPortfolio(ctx context.Context, centre int64, id uuid.UUID) error {
	p, err := a.db.Portfolio(ctx, centre, id)
	if err != nil || p.State == store.PortfolioReady {
		return err
	}
	started, err := a.db.StartPortfolio(ctx, centre, id)
	if err != nil {
		return err
	}
	if !started { // it was stopped, or given up
		return a.settlePortfolio(ctx, centre, p)
	}
	digest, size, err := a.makePortfolio(ctx, centre, p)
	p.State, p.BuiltAt, p.Digest, p.Size = store.PortfolioReady, a.now(), digest.String(), size
	if note := spoilt(err); note != "" {
		p.State, p.Note, p.Digest, p.Size = store.PortfolioFailed, note, "", 0
	} else if errors.Is(err, errNotBuilding) {
		p.Digest = ""
	} else if err != nil {
		return err
	}
	return a.settlePortfolio(ctx, centre, p)
}

// errNotBuilding says that a portfolio was stopped or erased while it was drawn.
var errNotBuilding = errors.New("nobody wants this portfolio any more")

// nameBytes is the check that a portfolio is still wanted, and writes to its row which bytes are about to be kept for it.
func (a *App) nameBytes(ctx context.Context, centre int64, id uuid.UUID) blob.Check {
	return func(_ io.ReadSeeker, d blob.Digest, size int64) error {
		return a.db.Write(ctx, centre, func(t *store.Tx) error {
			now, err := t.LockPortfolio(ctx, id)
			if err != nil {
				return err
			}
			if now.State != store.PortfolioBuilding {
				return errNotBuilding
			}
			was := now.Digest
			now.Digest, now.Size = d.String(), size
			return a.renamed(ctx, t, now, was)
		})
	}
}

// settlePortfolio writes what came of building to the portfolio while it is still wanted, and takes away the bytes that nothing
// names then.
func (a *App) settlePortfolio(ctx context.Context, centre int64, p store.Portfolio) error {
	return a.db.Write(ctx, centre, func(t *store.Tx) error {
		now, err := t.LockPortfolio(ctx, p.ID)
		if err != nil {
			return err
		}
		was := now.Digest
		switch {
		case now.State == store.PortfolioReady: // by the same job elsewhere
		case now.State == store.PortfolioBuilding && (p.State == store.PortfolioFailed || was != "" && was == p.Digest):
			now = p
		case now.State == store.PortfolioBuilding: // the same job goes on elsewhere
		default:
			now.Digest, now.Size = "", 0
		}
		return a.renamed(ctx, t, now, was, p.Digest)
	})
}

// renamed saves a portfolio whose row named other bytes before, and takes away those that nothing names any more; digests in hex,
// "" for none.
func (a *App) renamed(ctx context.Context, t *store.Tx, p store.Portfolio, were ...string) error {
	if err := t.SavePortfolio(ctx, p); err != nil {
		return err
	}
	for _, digest := range were {
		if digest == "" {
			continue
		}
		d, err := blob.Parse(digest)
		if err != nil {
			return err
		}
		if err := a.takeAway(ctx, t, d); err != nil {
			return err
		}
	}
	return nil
}

// spoilt says in words that stored evidence is damaged or missing, which trying again does not mend; "" for all else.
func spoilt(err error) string {
	var bad *blob.MismatchError
	if errors.As(err, &bad) {
		return fmt.Sprintf("A stored file no longer has the bytes it was received with (SHA-256 %s), so nothing was built. Restore it from your backup and ask again.", bad.Want)
	}
	var missing *missingError
	if errors.As(err, &missing) {
		return fmt.Sprintf("A stored file is missing from the evidence folder (SHA-256 %s), so nothing was built. Restore it from your backup and ask again.", missing.digest)
	}
	var certificate *CertificateError
	if errors.As(err, &certificate) {
		return certificate.Error()
	}
	var older *OlderLogError
	if errors.As(err, &older) {
		return "The centre's decision log is not the one that was signed last, so nothing was built. Whoever runs the program finds out why with witnessmark doctor."
	}
	return ""
}

// missingError says that evidence whose row is there has no bytes. It is not NotFound: nobody asked for a wrong thing.
type missingError struct{ digest string }

func (e *missingError) Error() string { return "the evidence folder does not hold " + e.digest }

// makePortfolio makes the file in this order: everything is loaded, its record is logged, the log is signed, and the pages are drawn
// with the record and the log's proofs within, signed while they are written. So the one key of the log proves the record and the
// certificate, and that every byte of the file.
func (a *App) makePortfolio(ctx context.Context, centre int64, p store.Portfolio) (blob.Digest, int64, error) {
	src, err := a.portfolioSource(ctx, centre, p)
	if err != nil {
		return blob.Digest{}, 0, err
	}
	doc := portfolio.Assemble(src)
	if err := a.checkOriginals(ctx, &doc); err != nil {
		return blob.Digest{}, 0, err
	}
	o := pdf.Options{Open: a.openShown(doc.Files)}
	r, err := doc.Record()
	if err != nil {
		return blob.Digest{}, 0, err
	}
	record, err := r.JSON()
	if err != nil {
		return blob.Digest{}, 0, err
	}
	o.Attachments = []pdf.Attachment{{Name: verify.RecordFile, MediaType: "application/json", Relationship: "Data", Made: doc.MadeAt, Data: record,
		Description: "Everything that the pages say, for programs (RFC 8785)"}}
	if a.keys != nil {
		if err := a.prove(ctx, centre, &doc, record, &o); err != nil {
			return blob.Digest{}, 0, err
		}
	}
	return a.drawPortfolio(ctx, doc, o, a.nameBytes(ctx, centre, p.ID))
}

// checkOriginals holds the stored files against the digests that the document gives for them: those that are shown as they are, with
// or without what the camera wrote, get that while they are drawn, and the rest here. Of what was erased or withdrawn nothing is stored.
func (a *App) checkOriginals(ctx context.Context, doc *portfolio.Document) error {
	gone := map[uuid.UUID]bool{}
	for _, t := range doc.Tasks {
		for _, at := range t.Attempts {
			for _, e := range at.Evidence {
				gone[e.ID] = at.State == decision.Destroyed
			}
		}
	}
	for i := range doc.Files {
		f := &doc.Files[i]
		if gone[f.ID] || f.Withdrawn != nil || f.SameAs != 0 || f.Show == portfolio.Original || f.Show == portfolio.Bare {
			continue
		}
		content, err := a.openChecked(f.Digest)
		if err == nil {
			_, err = io.Copy(io.Discard, content)
			err = errors.Join(err, content.Close(), ctx.Err())
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// drawPortfolio draws into the folder of evidence, in bounded memory; the check comes before it is there.
func (a *App) drawPortfolio(ctx context.Context, doc portfolio.Document, o pdf.Options, check blob.Check) (blob.Digest, int64, error) {
	return a.blobs.PutWritten(ctx, portfolioLimit, func(w *blob.Writer) error {
		_, err := pdf.Portfolio(ctx, w, doc, o)
		return err
	}, check)
}
