// Package verify says whether a portfolio is what its centre made: from the file alone, the public key of the centre's decision log,
// and nothing else. It reads no clock and reaches no network.
//
// What hangs on what: the log's key signs a state of the log; an entry under that state is the portfolio's own, and commits to the
// digest of the record within the file and to the certificate that the file is signed with; the certificate's signature covers
// every byte of the file. Each decision in the record is an entry of the log too, and each picture has its digest in the record. What
// the pages say of it, and which picture stands where, rests on the certificate alone; each report says so.
//
// So the one thing to be trusted is the log's key. It shows what the centre said and when the log had it; no file can show that a
// photo is true or that a tutor was right.
package verify

import (
	"crypto/x509"
	"fmt"
	"io"
	"io/fs"

	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/ledger"
	"witnessmark/internal/pades"
	"witnessmark/internal/pdfread"
	"witnessmark/internal/portfolio"
)

// Word is what came of it.
type Word string

// The words, from the best to the worst.
const (
	Genuine           Word = "genuine"
	GenuineCentreTime Word = "genuine, time stated by the centre only"
	CannotTell        Word = "cannot tell"
	Altered           Word = "altered"
)

// State says how one check went.
type State string

// The states. Only Broken and Unknown change the verdict.
const (
	Holds      State = "holds"
	Broken     State = "broken"
	Unknown    State = "cannot tell"
	NotChecked State = "not checked"
	Noted      State = "noted" // of the file's form
)

// Line is one check, in a sentence.
type Line struct {
	What  string // a word or two: what was checked
	State State
	Words string
}

// Trust is what the one who checks knows from elsewhere than the file.
type Trust struct {
	Keys      []note.Verifier   // public keys of decision logs
	Held      bool              // Keys are those of whoever keeps the logs, and nobody gave one
	Witnesses []*ledger.Witness // public keys of witnesses whose signatures count
	// Later are states of logs that a witness signed, each with the proof that it goes on from a portfolio's: for those of their size.
	Later []ledger.Request
	// Authorities are the roots of time-stamp authorities whose stamps count; nil for none.
	Authorities *x509.CertPool
}

// Options is what is checked besides the file itself.
type Options struct {
	Trust
	Bag    fs.FS // the folder of a bag of originals; nil for none
	Format bool  // check the file's form as well: PDF/A-3 and PDF/UA-1
}

// Portfolio is a file with what was found of it. Record and Log are as far as they could be read.
type Portfolio struct {
	Record portfolio.Record
	Log    ledger.Bundle
	State  ledger.Signed // of the log; zero where its signature was not good
	Key    string        // the public key of the log that the file itself names; nothing is proven by it
	Lines  []Line

	file   *pdfread.File
	trust  Trust
	record []byte
	keys   []note.Verifier // that the log's state was checked by
	own    *ownEntry
	stamp  *pades.Stamp
	seen   bool // by somebody of Trust, besides the centre
}

// File checks a file of size bytes. It gives what it found, never an error: a file that cannot be read is one that cannot be told of,
// or was altered.
func File(r io.ReaderAt, size int64, o Options) *Portfolio {
	p := &Portfolio{trust: o.Trust}
	if !p.open(r, size) || !p.attachments() {
		return p
	}
	p.log()
	p.entry()
	p.signature(size)
	p.decisions()
	p.pictures()
	p.add("pages", NotChecked, "Whether the pages say what record.json says, word for word and picture for picture: they rest on the certificate's signature alone, "+
		"and record.json on the log as well. Whoever holds the certificate's private key could draw other pages; record.json would still be as it was logged.")
	if p.time(); o.Bag != nil {
		p.bag(o.Bag)
	} else if len(p.Record.Files) > 0 {
		p.add("originals", NotChecked, "The originals, of which the record has the digests: they come in a bag of their own.")
	}
	if o.Format {
		p.format()
	} else {
		p.add("format", NotChecked, "Whether the file keeps to PDF/A-3 and PDF/UA-1, which changes nothing of what it says.")
	}
	if err := p.file.Err(); err != nil {
		p.broken("file", "The file could not be read to its end: %v.", err)
	}
	return p
}

// Verdict is the word, and behind "altered" and "cannot tell" the sentence that says what or why.
func (p *Portfolio) Verdict() (Word, string) {
	for _, s := range []State{Broken, Unknown} {
		for _, l := range p.Lines {
			if l.State != s {
				continue
			}
			if s == Broken {
				return Altered, l.Words
			}
			return CannotTell, l.Words
		}
	}
	if p.seen {
		return Genuine, ""
	}
	return GenuineCentreTime, ""
}

func (p *Portfolio) add(what string, s State, format string, args ...any) {
	p.Lines = append(p.Lines, Line{what, s, fmt.Sprintf(format, args...)})
}

func (p *Portfolio) holds(what, format string, args ...any)  { p.add(what, Holds, format, args...) }
func (p *Portfolio) broken(what, format string, args ...any) { p.add(what, Broken, format, args...) }
func (p *Portfolio) unknown(what, format string, args ...any) {
	p.add(what, Unknown, format, args...)
}
