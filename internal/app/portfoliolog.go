package app

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/ledger"
	"witnessmark/internal/pdf"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/store"
	"witnessmark/internal/verify"
)

// prove logs the record, signs the log, and puts the proofs and the signing into what the document is drawn with.
func (a *App) prove(ctx context.Context, centre int64, doc *portfolio.Document, record []byte, o *pdf.Options) error {
	by, err := a.signingIdentity(ctx, centre)
	if err != nil {
		return err
	}
	own, err := a.logPortfolio(ctx, centre, doc, record, by.Certificate().Raw)
	if err != nil {
		return err
	}
	if _, err := a.SignLog(ctx, centre); err != nil {
		return err
	}
	state, err := a.db.LogProofs(ctx, centre, own, portfolioSubjects(doc), recordIDs(doc))
	if err != nil {
		return err
	}
	b, err := a.bundle(ctx, centre, state)
	if err != nil {
		return err
	}
	proofs, err := b.JSON()
	if err != nil {
		return err
	}
	o.Attachments = append(o.Attachments, pdf.Attachment{Name: verify.LogFile, MediaType: "application/json", Relationship: "Supplement", Made: doc.MadeAt, Data: proofs,
		Description: "Proofs that the decisions stand in the centre's signed log"})
	o.Log = logPage(doc, b, state)
	o.Sign = a.signing(ctx, by, doc.CentreName)
	return nil
}

// logPortfolio appends the portfolio's entry to the log and gives its number. One that says the same is there already where the job
// was begun before, and is taken again.
func (a *App) logPortfolio(ctx context.Context, centre int64, doc *portfolio.Document, record, certificate []byte) (int64, error) {
	id, err := uuid.Parse(doc.ID)
	if err != nil {
		return 0, fmt.Errorf("read a portfolio's id: %w", err)
	}
	leaf := ledger.Leaf{Kind: ledger.KindPortfolio, Subject: id, At: a.now(),
		Facts:   map[string]string{ledger.FactCertificate: sum(certificate)},
		Secrets: map[string]string{ledger.SecretRecord: sum(record)}}
	index, err := a.loggedAs(ctx, centre, leaf)
	if err != nil || index >= 0 {
		return index, err
	}
	if err := a.db.Write(ctx, centre, func(t *store.Tx) error {
		t.Log(ctx, leaf)
		return nil
	}); err != nil {
		return 0, err
	}
	if index, err = a.loggedAs(ctx, centre, leaf); err == nil && index < 0 {
		err = fmt.Errorf("the entry of portfolio %s is not in the log", id)
	}
	return index, err
}

// loggedAs is the number of the first entry that says the same of a portfolio as the leaf; -1 where there is none.
func (a *App) loggedAs(ctx context.Context, centre int64, leaf ledger.Leaf) (int64, error) {
	entries, err := a.db.LogEntriesOf(ctx, centre, leaf.Subject)
	if err != nil {
		return 0, err
	}
	for _, e := range entries {
		sealed, err := ledger.ReadLeaf(e.Leaf)
		if err != nil {
			return 0, err
		}
		said, ok := ledger.Entry{Openings: e.Openings}.Opened(ledger.SecretRecord)
		if ok && string(said) == leaf.Secrets[ledger.SecretRecord] && sealed.Facts[ledger.FactCertificate] == leaf.Facts[ledger.FactCertificate] {
			return e.Index, nil
		}
	}
	return -1, nil
}

// sum is the SHA-256 in hex.
func sum(b []byte) string {
	s := sha256.Sum256(b)
	return hex.EncodeToString(s[:])
}

// portfolioSubjects are what entries may be about, besides decisions: the portfolio's samples.
func portfolioSubjects(doc *portfolio.Document) []uuid.UUID {
	var ids []uuid.UUID
	for _, s := range doc.Samples {
		ids = append(ids, s.ID)
	}
	return ids
}

// recordIDs are the decisions that the document tells of.
func recordIDs(doc *portfolio.Document) []uuid.UUID {
	var ids []uuid.UUID
	for _, t := range doc.Tasks {
		for _, at := range t.Attempts {
			for _, r := range at.Records {
				ids = append(ids, r.ID)
			}
		}
	}
	return ids
}

// bundle makes the proofs of some entries under the signed state.
func (a *App) bundle(ctx context.Context, centre int64, p store.LogProofs) (ledger.Bundle, error) {
	hashes := a.db.LogHashes(ctx, centre)
	now, err := ledger.ParseCheckpoint(p.Checkpoint.Note)
	if err != nil {
		return ledger.Bundle{}, err
	}
	b := ledger.Bundle{Origin: now.Origin, Witnesses: p.Witnesses, Checkpoint: p.Checkpoint.Note}
	for _, k := range p.Keys {
		b.Keys = append(b.Keys, k.Text)
	}
	for _, e := range p.Entries {
		path, err := ledger.Prove(now.Size, e.Index, hashes)
		if err != nil {
			return b, err
		}
		b.Entries = append(b.Entries, ledger.Entry{Index: e.Index, Leaf: e.Leaf, Path: path, Openings: e.Openings})
	}
	for _, was := range p.Earlier {
		proof, err := ledger.Continues(ledger.Checkpoint{Size: was.Size, Root: ledger.Hash(was.Root)}, now.Size, now.Root, hashes)
		if err != nil {
			return b, err
		}
		b.Earlier = append(b.Earlier, ledger.Earlier{Size: was.Size, Proof: proof})
	}
	return b, nil
}

// logPage is what the pages print of the proofs.
func logPage(doc *portfolio.Document, b ledger.Bundle, p store.LogProofs) *portfolio.LogPage {
	about := map[uuid.UUID]string{}
	for _, t := range doc.Tasks {
		for _, at := range t.Attempts {
			for _, r := range at.Records {
				about[r.ID] = fmt.Sprintf("task %d, attempt %d", t.Number, at.Number)
				if r.Subject != "" {
					about[r.ID] += ", " + r.Subject
				}
			}
		}
	}
	page := &portfolio.LogPage{Origin: b.Origin, Size: p.Checkpoint.Size, Checkpoint: b.Checkpoint, Keys: b.Keys, Witnesses: b.Witnesses}
	for _, e := range p.Entries {
		h := ledger.LeafHash(e.Leaf)
		page.Entries = append(page.Entries, portfolio.LogEntry{Index: e.Index, Kind: entryWords(e.Kind), What: about[e.Record], At: e.CreatedAt.Truncate(time.Microsecond), Digest: hex.EncodeToString(h[:])})
	}
	return page
}

// entryWords is the kind of an entry as people read it.
func entryWords(kind string) string {
	switch kind {
	case ledger.KindKey:
		return "key of the log"
	case ledger.KindPortfolio:
		return "this portfolio"
	case ledger.KindSample:
		return "sample drawn"
	}
	return decision.Kind(kind).Words()
}
