package ledger

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"time"

	"github.com/google/uuid"
	"github.com/gowebpki/jcs"
)

// leafEdition is the edition of a leaf's form.
const leafEdition = "1"

// saltBytes is the length of a salt: as long as the digest, so that a value cannot be guessed through it.
const saltBytes = 32

// commitDomain keeps a commitment from being taken for a digest of anything else.
const commitDomain = "wm:commit:v1"

// The kinds of entry that are no decision on an attempt.
const (
	KindKey      = "key"      // Facts: key, and where one was there before previous, by_key and by_previous
	KindRollback = "rollback" // the log was found older than its newest checkpoint, and somebody said to go on: Facts: size, root; Secrets: words
	KindSample   = "sample"   // a sample was drawn. Facts: seed, list, listed, drawn
	KindErasure  = "erasure"  // Facts: rule; Secrets: by, words

	// KindCountersigning said whether a tutor's decisions wait for a countersignature from then on; the tutor is the subject. Logs from
	// before the award counted have it. Facts: waits, "yes" or "no"; Secrets: by.
	KindCountersigning = "countersigning"

	// KindAward is an assessor's award that was entered or given another last day, from which follows whether its holder's decisions wait
	// for a countersignature; the holder is the subject. Facts: what, "entered" or "ended"; Secrets: number, from, to, by.
	KindAward = "assessor_award"

	// KindPortfolio is a portfolio, whose id is the subject. Facts: certificate, the SHA-256 of the certificate that its file is
	// signed with (DER, hex), "" where it is not signed; Secrets: record, the SHA-256 of its machine-readable record (hex).
	KindPortfolio = "portfolio"
)

// The kinds of entry that are of a row which is a decision, and no record of an attempt. Secrets: statement, what the row says.
const (
	KindRuling        = "ruling"
	KindRulingLook    = "ruling_look" // what somebody found of a decision that a ruling puts in question
	KindAction        = "action"      // of a sample, a visit, a standardisation or a ruling
	KindActionClosed  = "action_closed"
	KindStrike        = "instrument_struck" // a calibration or check that counts no more
	KindConflict      = "conflict"
	KindConflictEnded = "conflict_ended"
	KindPrior         = "prior_decision"
	KindPriorLook     = "prior_look" // what an internal quality assurer found of a criterion that was recognised

	KindWithdrawal     = "withdrawal" // a trainee's, from a cohort
	KindWithdrawalBack = "withdrawal_back"
)

// The names within a portfolio's leaf and those of rows, and of the commitments to a record's canonical bytes and to what a decision rests on.
const (
	FactCertificate = "certificate"
	SecretRecord    = "record"
	SecretBasis     = "basis"
	SecretStatement = "statement"
)

// Leaf is one thing to be logged.
type Leaf struct {
	Kind       string
	Subject    uuid.UUID // what it is about; kept beside the leaf, not within
	At         time.Time
	Backfilled bool              // it happened before there was a log
	Facts      map[string]string // stand in the leaf for everybody to read: nothing of a person
	Secrets    map[string]string // stand in it as commitments
}

// Opening is what opens one commitment of a leaf: to be kept apart from it, and erased with the person.
type Opening struct {
	Name  string
	Salt  []byte
	Value []byte
}

// sealedLeaf is a leaf's form. Only strings and booleans stand in it, so that no number can change its spelling.
type sealedLeaf struct {
	Edition    string            `json:"v"`
	Kind       string            `json:"kind"`
	Centre     string            `json:"centre"`
	At         string            `json:"at"`
	Backfilled bool              `json:"backfilled,omitempty"`
	Facts      map[string]string `json:"facts"`
	Commits    map[string]string `json:"commits"`
}

// leafTime is UTC to the microsecond, which is what the database keeps.
const leafTime = "2006-01-02T15:04:05.000000Z07:00"

// Seal makes the bytes of a centre's leaf (RFC 8785) and what opens its commitments, by name. Salts are read from random.
func (l Leaf) Seal(centre int64, random io.Reader) ([]byte, []Opening, error) {
	s := sealedLeaf{Edition: leafEdition, Kind: l.Kind, Centre: strconv.FormatInt(centre, 10), Backfilled: l.Backfilled,
		At: l.At.UTC().Truncate(time.Microsecond).Format(leafTime), Facts: map[string]string{}, Commits: map[string]string{}}
	maps.Copy(s.Facts, l.Facts)
	var openings []Opening
	for _, name := range slices.Sorted(maps.Keys(l.Secrets)) {
		o := Opening{Name: name, Salt: make([]byte, saltBytes), Value: []byte(l.Secrets[name])}
		if _, err := io.ReadFull(random, o.Salt); err != nil {
			return nil, nil, fmt.Errorf("salt an entry of the log: %w", err)
		}
		c := o.Commitment()
		s.Commits[name] = hex.EncodeToString(c[:])
		openings = append(openings, o)
	}
	raw, err := json.Marshal(s)
	if err != nil {
		return nil, nil, fmt.Errorf("entry of the log to JSON: %w", err)
	}
	leaf, err := jcs.Transform(raw)
	if err != nil {
		return nil, nil, fmt.Errorf("entry of the log to canonical JSON: %w", err)
	}
	return leaf, openings, nil
}

// Commitment is what stands in the leaf for the value.
func (o Opening) Commitment() Hash {
	h := sha256.New()
	for _, part := range [][]byte{[]byte(commitDomain), {0}, []byte(o.Name), {0}, o.Salt, o.Value} {
		h.Write(part)
	}
	return Hash(h.Sum(nil))
}

// Sealed is a leaf as somebody reads it who has its bytes alone.
type Sealed struct {
	Kind       string
	Centre     int64
	At         time.Time
	Backfilled bool
	Facts      map[string]string
	Commits    map[string]Hash
}

// ReadLeaf reads a leaf's bytes. It refuses any other spelling of them than the canonical one.
func ReadLeaf(leaf []byte) (Sealed, error) {
	canonical, err := jcs.Transform(leaf)
	if err != nil || !bytes.Equal(canonical, leaf) {
		return Sealed{}, fmt.Errorf("an entry of the log is not in its canonical form (%w)", err)
	}
	var s sealedLeaf
	d := json.NewDecoder(bytes.NewReader(leaf))
	d.DisallowUnknownFields()
	if err := d.Decode(&s); err != nil {
		return Sealed{}, fmt.Errorf("an entry of the log cannot be read: %w", err)
	}
	if s.Edition != leafEdition {
		return Sealed{}, fmt.Errorf("an entry of the log is of edition %q, which this program does not know", s.Edition)
	}
	out := Sealed{Kind: s.Kind, Backfilled: s.Backfilled, Facts: s.Facts, Commits: make(map[string]Hash, len(s.Commits))}
	if out.Centre, err = strconv.ParseInt(s.Centre, 10, 64); err != nil {
		return Sealed{}, fmt.Errorf("an entry of the log names no centre: %w", err)
	}
	if out.At, err = time.Parse(leafTime, s.At); err != nil {
		return Sealed{}, fmt.Errorf("an entry of the log has no time: %w", err)
	}
	for name, text := range s.Commits {
		h, err := hex.DecodeString(text)
		if err != nil || len(h) != tlogHashSize {
			return Sealed{}, fmt.Errorf("the commitment %q of an entry of the log is no digest", name)
		}
		out.Commits[name] = Hash(h)
	}
	return out, nil
}

// OpenedBy says whether the opening is that of the leaf's commitment of its name.
func (s Sealed) OpenedBy(o Opening) bool {
	c, ok := s.Commits[o.Name]
	return ok && len(o.Salt) == saltBytes && c == o.Commitment()
}
