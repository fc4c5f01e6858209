package verify

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"strings"

	"witnessmark/internal/bag"
)

// bag checks a bag of originals that came with the portfolio: that it is whole, that it holds this record, and that it has each file
// that the record names, as received or, where that stays in the centre, as the copy that is shown.
func (p *Portfolio) bag(folder fs.FS) {
	c, err := bag.Check(folder)
	switch {
	case errors.Is(err, bag.ErrNone):
		p.unknown("bag", "%s.", capital(err.Error()))
		return
	case err != nil:
		p.unknown("bag", "The bag could not be read: %v.", err)
		return
	}
	for _, problem := range c.Problems {
		p.broken("bag", "%s.", capital(problem))
	}
	have := map[string]bool{}
	for _, e := range c.Payload {
		have[e.SHA256] = true
	}
	sum := sha256.Sum256(p.record)
	if !have[hex.EncodeToString(sum[:])] {
		p.broken("bag", "The bag is of another portfolio: it does not hold this one's %s.", RecordFile)
		return
	}
	missing, copies, gone := 0, 0, 0
	for _, f := range p.Record.Files {
		switch {
		case have[f.SHA256]:
		case f.CopySHA256 != "" && have[f.CopySHA256]:
			copies++
		case f.Withdrawn != "" || f.Covers > 0 || f.Withheld || f.Stays:
			gone++
		default:
			missing++
			p.broken("bag", "File %d, %s, is not in the bag with the bytes that were received (SHA-256 %s).", f.Number, f.Name, short(f.SHA256))
		}
	}
	if missing+len(c.Problems) > 0 {
		return
	}
	words := "The bag is whole; each file of the record is in it, byte for byte as received"
	if copies > 0 {
		words += ", but for " + counted(copies, "covered copy", "covered copies") + " of what stays in the centre"
	}
	if gone > 0 {
		words += "; " + counted(gone, "file is", "files are") + " withdrawn or kept back"
	}
	p.holds("bag", "%s.", strings.TrimSpace(words))
}
