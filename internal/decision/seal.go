package decision

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// SealKind says what stands on a sealed list.
type SealKind string

// The kinds.
const (
	SealEntry SealKind = "entry" // something typed; its digest is EntryDigest
	SealFile  SealKind = "file"  // a photo or document; its digest is that of its bytes
)

// Listed is one thing on a sealed list.
type Listed struct {
	ID     uuid.UUID
	Kind   SealKind
	Digest string // SHA-256, hex
}

// Seal is the list of what a trainee handed over. What is on it belongs to the set whenever its bytes arrive; so does what
// had been received before the list was made, from whatever device. Everything else is held until a tutor takes it in.
type Seal struct {
	ID         uuid.UUID // made where it was sealed
	Made       Moment    // when
	ReceivedAt time.Time
	Items      []Listed // sorted by id
}

// listMost bounds a sealed list: some hundred lines and photos are many.
const listMost = 5000

// CheckList refuses a list that cannot be kept, and sorts it by id as the digest takes it.
func CheckList(items []Listed) error {
	if len(items) > listMost {
		return fault.Invalid("seal", "That is more than %d things in one hand-over.", listMost)
	}
	slices.SortFunc(items, byID)
	for i, it := range items {
		raw, err := hex.DecodeString(it.Digest)
		switch {
		case it.ID == uuid.Nil:
			return fault.Invalid("seal", "Everything on the list needs an id of its own.")
		case i > 0 && items[i-1].ID == it.ID:
			return fault.Invalid("seal", "The list names %s twice.", it.ID)
		case it.Kind != SealEntry && it.Kind != SealFile:
			return fault.Invalid("seal", "The list says of %s neither entry nor file.", it.ID)
		case err != nil || len(raw) != sha256.Size || it.Digest != strings.ToLower(it.Digest):
			return fault.Invalid("seal", "The digest of %s is not a SHA-256 in 64 small hexadecimal digits.", it.ID)
		}
	}
	return nil
}

// byID sorts as the text of ids does, since their digits stand in the order of their bytes.
func byID(a, b Listed) int { return bytes.Compare(a.ID[:], b.ID[:]) }

// EntryDigest is the digest of what was typed into one line: SHA-256, in hex, of item, part, phase, text, unit and working
// in UTF-8, joined by the character U+001F.
func EntryDigest(e marking.Entry) string {
	sum := sha256.Sum256([]byte(strings.Join([]string{e.Item, e.Part, string(e.Phase), e.Text, e.Unit, e.Working}, "\x1f")))
	return hex.EncodeToString(sum[:])
}

// ListDigest is the digest of a list, in hex: SHA-256 over a line "id digest" for each thing, sorted by id.
func ListDigest(items []Listed) string {
	items = slices.SortedFunc(slices.Values(items), byID)
	sum := sha256.New()
	for _, it := range items {
		fmt.Fprintf(sum, "%s %s\n", it.ID, it.Digest) // a hash takes everything
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// EvidenceNumber is six digits that stand for a list, given its digest: short enough to be read out.
func EvidenceNumber(digest string) (string, error) {
	raw, err := hex.DecodeString(digest)
	if err != nil || len(raw) != sha256.Size {
		return "", fmt.Errorf("number a list: %q is not a digest", digest)
	}
	return fmt.Sprintf("%06d", binary.BigEndian.Uint32(raw)%1_000_000), nil
}

// Find gives what the list says of an id.
func (s *Seal) Find(id uuid.UUID) (Listed, bool) {
	i, ok := slices.BinarySearchFunc(s.Items, id, func(it Listed, id uuid.UUID) int { return bytes.Compare(it.ID[:], id[:]) })
	if !ok {
		return Listed{}, false
	}
	return s.Items[i], true
}

// Lists says whether an id is on the list; nothing is on none.
func (s *Seal) Lists(id uuid.UUID) bool {
	if s == nil {
		return false
	}
	_, ok := s.Find(id)
	return ok
}

// madeAt is when the list was made: by the phone's clock where that can be trusted, and never after it was received.
func (s *Seal) madeAt() time.Time {
	if at, ok := s.Made.True(); ok && at.Before(s.ReceivedAt) {
		return at
	}
	return s.ReceivedAt
}

// Fulfils refuses what came under an id of the list and is not what the list names.
func (s *Seal) Fulfils(id uuid.UUID, kind SealKind, digest string) error {
	it, ok := s.Find(id)
	if !ok || it.Kind == kind && it.Digest == digest {
		return nil
	}
	what := "line"
	if kind == SealFile {
		what = "file"
	}
	return fault.Conflict("This %s is not the one that was handed over: the list that was sealed names other contents for it. It is not kept; what was handed over is still awaited.", what)
}

// Holds says whether something is held back: received after the list was made and not named on it, or after the attempt was
// closed, and not taken in by a tutor. closed is zero while the attempt is not closed.
func (s *Seal) Holds(id uuid.UUID, received, closed time.Time, records []Record) bool {
	if s == nil || Latest(records, KindTakeIn, id.String()) != nil {
		return false
	}
	if !closed.IsZero() && received.After(closed) {
		return true
	}
	_, listed := s.Find(id)
	return !listed && !received.Before(s.madeAt())
}

// Awaited is what the list names and is not among the ids that are here.
func (s *Seal) Awaited(here func(uuid.UUID) bool) []Listed {
	if s == nil {
		return nil
	}
	var out []Listed
	for _, it := range s.Items {
		if !here(it.ID) {
			out = append(out, it)
		}
	}
	return out
}
