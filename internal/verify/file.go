package verify

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"

	"witnessmark/internal/ledger"
	"witnessmark/internal/pades"
	"witnessmark/internal/pdfread"
	"witnessmark/internal/portfolio"
)

// The files within a portfolio.
const (
	RecordFile = "record.json"
	LogFile    = "log.json"
)

// padesFilter is the kind of signature that centres make.
const padesFilter = "ETSI.CAdES.detached"

// open reads the file; false where it cannot be read.
func (p *Portfolio) open(r io.ReaderAt, size int64) bool {
	f, err := pdfread.Open(r, size)
	var wrong *pdfread.Error
	head := make([]byte, 5)
	n, _ := r.ReadAt(head, 0)
	switch {
	case err == nil:
		p.file = f
		return true
	case string(head[:n]) != "%PDF-":
		p.unknown("file", "This is no PDF file, so it is no portfolio.")
	case errors.Is(err, pdfread.ErrEncrypted):
		p.unknown("file", "The file is encrypted, and portfolios are not.")
	case errors.As(err, &wrong):
		p.broken("file", "The file is damaged or cut short: %v.", err)
	default:
		p.unknown("file", "The file could not be read: %v.", err)
	}
	return false
}

// attachments reads the record and the log's proofs; false where either cannot be read.
func (p *Portfolio) attachments() bool {
	files, err := p.file.Attachments()
	if err != nil {
		p.broken("record", "The files within it cannot be read: %v.", err)
		return false
	}
	found := map[string][]pdfread.Attachment{}
	for _, a := range files {
		found[a.Name] = append(found[a.Name], a)
	}
	if len(found[RecordFile]) != 1 || len(found[LogFile]) != 1 {
		p.unknown("record", "The file does not carry one %s and one %s, so it is no portfolio that proves itself; they may have been taken out.", RecordFile, LogFile)
		return false
	}
	log, err := p.file.Data(found[LogFile][0].Stream)
	if err == nil {
		p.Log, err = ledger.ReadBundle(log)
	}
	if err != nil {
		p.broken("log", "%s was changed: %v.", LogFile, err)
		return false
	}
	if n := len(p.Log.Keys); n > 0 {
		p.Key = p.Log.Keys[n-1]
	}
	if p.record, err = p.file.Data(found[RecordFile][0].Stream); err == nil {
		p.Record, err = portfolio.ReadRecord(p.record)
	}
	if err != nil {
		p.broken("record", "%s was changed: %v.", RecordFile, err)
		return false
	}
	return true
}

// signature checks that one signature covers every byte, that it holds, and that it is by the certificate that the log's entry names.
func (p *Portfolio) signature(size int64) {
	all, err := p.file.Signatures()
	switch {
	case err != nil:
		p.broken("signature", "The signature cannot be read: %v.", err)
		return
	case len(all) == 0 && p.own != nil && p.own.certificate == "":
		p.unknown("signature", "The file was made without a signature, so its pages may have been changed; the record within is as it was logged.")
		return
	case len(all) == 0:
		p.broken("signature", "The signature was taken out of the file.")
		return
	case len(all) > 1:
		p.broken("signature", "The file has %d signatures, and a portfolio one: something was added to it.", len(all))
		return
	}
	s := all[0]
	if err := s.Covers(size); err != nil {
		p.broken("signature", "The signature does not cover the whole file: %v.", err)
		return
	}
	// Its own bytes nobody has signed, and a PDF may write them in more ways than one: with capital letters, or spaces.
	own, err := io.ReadAll(p.file.Raw(s.ContentsAt, s.ContentsEnd-s.ContentsAt))
	if err == nil && string(own) != fmt.Sprintf("<%x>", s.Contents) {
		p.broken("signature", "The signature itself was written anew: not as centres write it.")
		return
	}
	h := sha256.New()
	for i := 0; i < len(s.ByteRange); i += 2 {
		if _, err := io.Copy(h, p.file.Raw(s.ByteRange[i], s.ByteRange[i+1])); err != nil {
			p.unknown("signature", "The file could not be read: %v.", err)
			return
		}
	}
	r, err := pades.Verify(s.Contents, [sha256.Size]byte(h.Sum(nil)))
	switch {
	case errors.Is(err, pades.ErrAltered):
		p.broken("signature", "The file was changed after it was signed: %v.", err)
	case err != nil && s.SubFilter == padesFilter:
		p.broken("signature", "The signature itself was damaged: %v.", err)
	case err != nil:
		p.unknown("signature", "The signature is of a kind that is not known here: %v.", err)
	default:
		p.signedBy(r, size)
	}
}

// signedBy holds the certificate against the one that the log's entry names.
func (p *Portfolio) signedBy(r pades.Result, size int64) {
	sum := sha256.Sum256(r.Certificate.Raw)
	name := r.Certificate.Subject.CommonName
	switch {
	case p.own == nil:
		p.add("signature", NotChecked, "The signature over all %d bytes holds, by a certificate of %q; whether that is the centre's the log would say.", size, name)
	case p.own.certificate != hex.EncodeToString(sum[:]):
		p.broken("signature", "The file was signed anew: its signature is by a certificate of %q (SHA-256 %x), and the log names another one (%s).", name, sum[:8], short(p.own.certificate))
	default:
		p.holds("signature", "One signature covers all %d bytes and holds; it is by the certificate of %q, which the log names.", size, name)
	}
	p.stamp = r.Stamp
}

// short is the start of a digest.
func short(hex string) string { return hex[:min(16, len(hex))] }
