package verify

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"time"

	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/ledger"
)

// ownEntry is what the portfolio's own entry in the log says.
type ownEntry struct {
	index       int64
	certificate string // SHA-256, hex; "" where it was made without a signature
	at          time.Time
}

// log checks the log's state and every entry that the file brings.
func (p *Portfolio) log() {
	var mine []note.Verifier
	var others []string
	for _, k := range p.trust.Keys {
		if k.Name() == p.Log.Origin {
			mine = append(mine, k)
		} else {
			others = append(others, k.Name())
		}
	}
	switch {
	case p.trust.Held && len(mine) == 0:
		p.unknown("key", "The file is of the log %s, which is not kept here. Check it where that centre's are, or with the centre's key: the file names %s, "+
			"and only the centre can tell you whether that is theirs.", p.Log.Origin, orNone(p.Key))
		p.checkLog(p.named(), "by the key that the file itself names")
	case p.trust.Held:
		p.checkLog(mine, "by the key of the centre, which keeps its log here")
	case len(p.trust.Keys) == 0:
		p.unknown("key", "No key was given of the centre's log, so whoever made the file may have made its log too. The file names %s: "+
			"ask the centre, or look where it publishes its key, whether that is theirs, and check again with it.", orNone(p.Key))
		p.checkLog(p.named(), "by the key that the file itself names")
	case len(mine) == 0:
		p.unknown("key", "The file is of the log %s, and the key that was given is of %s: it is another centre's file, or another centre's key.",
			p.Log.Origin, strings.Join(others, ", "))
		p.checkLog(p.named(), "by the key that the file itself names")
	case p.keyOfAnotherTime(mine):
		p.checkLog(p.named(), "by a key that the file itself names")
	default:
		p.checkLog(mine, "by the key that you gave")
	}
}

// keyOfAnotherTime says so where the state is signed with none of the keys that were given, nor one that took over from these, but with
// one that the file names: the log's key from before, or that of whoever made the file.
func (p *Portfolio) keyOfAnotherTime(given []note.Verifier) bool {
	if _, err := ledger.OpenCheckpoint(p.Log.Checkpoint, p.Log.Trusted(given)); err == nil {
		return false
	}
	if _, err := ledger.OpenCheckpoint(p.Log.Checkpoint, p.named()); err != nil {
		return false
	}
	when := "when it was made"
	if at, err := time.Parse(time.RFC3339, p.Record.MadeAt); err == nil {
		when = "on " + at.Format("2 January 2006")
	}
	p.unknown("key", "The log's state was signed with a key that you did not give. The file names %s: ask the centre, or look where it publishes its keys, "+
		"whether that was the key of %s %s, and check again with every key that you have of it.", strings.Join(p.Log.Keys, " and "), p.Log.Origin, when)
	return true
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

// named are the keys that the file itself brings.
func (p *Portfolio) named() []note.Verifier {
	var out []note.Verifier
	for _, text := range p.Log.Keys {
		if v, err := ledger.ParseKey(text); err == nil {
			out = append(out, v)
		}
	}
	return out
}

// checkLog says whether the state is signed by one of the keys, and checks each entry under it.
func (p *Portfolio) checkLog(keys []note.Verifier, by string) {
	s, faults, err := p.Log.Check(keys, p.trust.Witnesses...)
	if err != nil {
		p.broken("key", "The log's state was signed with another key than the one of %s (%v): the file was made or signed by somebody else, "+
			"or the centre lost its key and took another.", p.Log.Origin, err)
		return
	}
	p.State, p.keys = s, keys
	p.holds("log", "The state of the log %s at %d entries is signed %s.", s.Origin, s.Size, by)
	for _, f := range faults {
		p.broken("entries", "%s.", capital(f.Words))
	}
	if len(faults) == 0 {
		p.holds("entries", "All %s stand in that state, and what they commit to is what is shown.", counted(len(p.Log.Entries), "entry", "entries"))
	}
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// entry finds the portfolio's own entry and holds the record against it.
func (p *Portfolio) entry() {
	if p.State.Size == 0 {
		return
	}
	sum := sha256.Sum256(p.record)
	digest := hex.EncodeToString(sum[:])
	made := false
	for _, e := range p.Log.Entries {
		leaf, err := ledger.ReadLeaf(e.Leaf)
		if err != nil || leaf.Kind != ledger.KindPortfolio {
			continue
		}
		made = true
		if said, ok := e.Opened(ledger.SecretRecord); ok && string(said) == digest {
			p.own = &ownEntry{e.Index, leaf.Facts[ledger.FactCertificate], leaf.At}
		}
	}
	switch {
	case p.own != nil:
		p.holds("record", "%s is word for word what the centre logged as entry %d.", RecordFile, p.own.index)
	case made:
		p.broken("record", "%s is not the one that was logged: something in it was changed.", RecordFile)
	default:
		p.broken("record", "The log's entry of this portfolio was taken out of %s.", LogFile)
	}
}

func moment(at time.Time) string { return at.UTC().Format("2 January 2006 15:04:05 UTC") }
