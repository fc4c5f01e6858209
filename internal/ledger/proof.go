package ledger

import (
	"encoding/base64"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Proof says that a leaf is entry Index of the log that the signed checkpoint is of.
type Proof struct {
	Index      int64
	Path       []Hash
	Checkpoint string // as it was signed
}

// proofHead is the first line of a proof's file (C2SP tlog-proof).
const proofHead = "c2sp.org/tlog-proof@v1"

// Prove makes the path of entry index in the tree at size.
func Prove(size, index int64, r HashReader) ([]Hash, error) {
	p, err := tlog.ProveRecord(size, index, r)
	if err != nil {
		return nil, fmt.Errorf("prove entry %d of the log: %w", index, err)
	}
	return p, nil
}

// Check checks everything that a stranger can: the checkpoint's signature, then the leaf's place under its root.
func (p Proof) Check(leaf []byte, log []note.Verifier, witnesses ...*Witness) (Signed, error) {
	s, err := OpenCheckpoint(p.Checkpoint, log, witnesses...)
	if err != nil {
		return Signed{}, err
	}
	return s, CheckEntry(p.Path, s.Checkpoint, p.Index, leaf)
}

// CheckEntry checks a leaf's path to the root of a checkpoint whose signature was checked.
func CheckEntry(path []Hash, c Checkpoint, index int64, leaf []byte) error {
	if err := tlog.CheckRecord(path, c.Size, c.Root, index, LeafHash(leaf)); err != nil {
		return fmt.Errorf("this is not entry %d of %s: it was altered, or never stood there", index, c.Origin)
	}
	return nil
}

// Text is the proof as a file.
func (p Proof) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\nindex %d\n", proofHead, p.Index)
	writeHashes(&b, p.Path)
	b.WriteString("\n" + p.Checkpoint)
	return b.String()
}

// errProof is what cannot be read as a proof.
var errProof = errors.New("that is no proof of an entry of a decision log")

// ParseProof reads such a file.
func ParseProof(text string) (Proof, error) {
	head, checkpoint, ok := strings.Cut(text, "\n\n")
	lines := strings.Split(head, "\n")
	if !ok || len(lines) < 2 || lines[0] != proofHead {
		return Proof{}, errProof
	}
	number, ok := strings.CutPrefix(lines[1], "index ")
	index, err := strconv.ParseInt(number, 10, 64)
	if !ok || err != nil || index < 0 || strconv.FormatInt(index, 10) != number {
		return Proof{}, errProof
	}
	path, err := readHashes(lines[2:])
	if err != nil {
		return Proof{}, errProof
	}
	return Proof{Index: index, Path: path, Checkpoint: checkpoint}, nil
}

// Request asks a witness to sign a checkpoint: it says how large the log was when they last signed, and proves that it goes on
// from there (C2SP tlog-witness, add-checkpoint).
type Request struct {
	Old        int64
	Proof      []Hash
	Checkpoint string
}

// Text is the request as a file.
func (r Request) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "old %d\n", r.Old)
	writeHashes(&b, r.Proof)
	b.WriteString("\n" + r.Checkpoint)
	return b.String()
}

// ParseRequest reads such a file.
func ParseRequest(text string) (Request, error) {
	text = strings.ReplaceAll(text, "\r\n", "\n") // forms in browsers, and some editors, end lines so
	head, checkpoint, ok := strings.Cut(text, "\n\n")
	lines := strings.Split(head, "\n")
	number, old := strings.CutPrefix(lines[0], "old ")
	size, err := strconv.ParseInt(number, 10, 64)
	if !ok || !old || err != nil || size < 0 {
		return Request{}, errors.New("that is no request to a witness: witnessmark keys show --for-witness makes one")
	}
	proof, err := readHashes(lines[1:])
	if err != nil {
		return Request{}, err
	}
	return Request{Old: size, Proof: proof, Checkpoint: checkpoint}, nil
}

// Check says whether a witness who last signed seen (the zero Checkpoint where nothing yet) may sign what is asked: it is signed
// by the log, begins where they stopped, and nothing that they saw was changed.
func (r Request) Check(seen Checkpoint, log note.Verifier) (Checkpoint, error) {
	s, err := OpenCheckpoint(r.Checkpoint, []note.Verifier{log})
	switch {
	case err != nil:
		return Checkpoint{}, err
	case seen.Origin != "" && seen.Origin != s.Origin:
		return Checkpoint{}, fmt.Errorf("that is the log %s, and you witness %s", s.Origin, seen.Origin)
	case r.Old != seen.Size:
		return Checkpoint{}, fmt.Errorf("the request goes on from %d entries and you last signed %d: ask for one with --for-witness %d", r.Old, seen.Size, seen.Size)
	case s.Size < seen.Size:
		return Checkpoint{}, fmt.Errorf("the log has %d entries and had %d when you last signed: do not sign, and ask the centre why", s.Size, seen.Size)
	}
	if err := CheckContinues(r.Proof, seen, s.Size, s.Root); err != nil {
		return Checkpoint{}, err
	}
	return s.Checkpoint, nil
}

func writeHashes(b *strings.Builder, hashes []Hash) {
	for _, h := range hashes {
		b.WriteString(base64.StdEncoding.EncodeToString(h[:]) + "\n")
	}
}

func readHashes(lines []string) ([]Hash, error) {
	var out []Hash
	for _, line := range lines {
		raw, err := base64.StdEncoding.Strict().DecodeString(line)
		if err != nil || len(raw) != tlogHashSize {
			return nil, fmt.Errorf("%q is no hash of a tree", line)
		}
		out = append(out, Hash(raw))
	}
	return out, nil
}
