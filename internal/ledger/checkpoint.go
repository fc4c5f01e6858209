package ledger

import (
	"encoding/base64"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/note"
)

// Checkpoint is the state of a log that a signature is put under.
type Checkpoint struct {
	Origin string // the log's name, and its keys'
	Size   int64  // entries
	Root   Hash
}

// Text is the checkpoint as it is signed: origin, size and root on a line each.
func (c Checkpoint) Text() string {
	return fmt.Sprintf("%s\n%d\n%s\n", c.Origin, c.Size, base64.StdEncoding.EncodeToString(c.Root[:]))
}

// errCheckpoint is what cannot be read as a checkpoint.
var errCheckpoint = errors.New("that is no checkpoint of a decision log: its first lines are the log's name, its size and its root")

// ParseCheckpoint reads a checkpoint's text. Lines after the third are extensions, which are not looked at.
func ParseCheckpoint(text string) (Checkpoint, error) {
	lines := strings.SplitN(text, "\n", 4)
	if len(lines) < 4 || lines[0] == "" {
		return Checkpoint{}, errCheckpoint
	}
	size, err := strconv.ParseInt(lines[1], 10, 64)
	if err != nil || size < 0 || strconv.FormatInt(size, 10) != lines[1] {
		return Checkpoint{}, errCheckpoint
	}
	root, err := base64.StdEncoding.Strict().DecodeString(lines[2])
	if err != nil || len(root) != tlogHashSize {
		return Checkpoint{}, errCheckpoint
	}
	return Checkpoint{Origin: lines[0], Size: size, Root: Hash(root)}, nil
}

// Sign signs the checkpoint with every key: more than one while an old key gives way to a new one.
func (c Checkpoint) Sign(keys ...note.Signer) (string, error) {
	if len(keys) == 0 {
		return "", errors.New("there is no key to sign the log with")
	}
	for _, k := range keys {
		if k.Name() != c.Origin {
			return "", fmt.Errorf("the key is named %s and the log %s", k.Name(), c.Origin)
		}
	}
	signed, err := note.Sign(&note.Note{Text: c.Text()}, keys...)
	if err != nil {
		return "", fmt.Errorf("sign the log: %w", err)
	}
	return string(signed), nil
}

// ParseKey reads a log's public key.
func ParseKey(text string) (note.Verifier, error) {
	v, err := note.NewVerifier(strings.TrimSpace(text))
	if err != nil {
		return nil, errors.New("that is no public key of a log: it looks like NAME+HASH+KEY and is printed by witnessmark keys show")
	}
	return v, nil
}

// keyShape is what the public key of a log or of a witness looks like: NAME+HASH+KEY.
var keyShape = regexp.MustCompile(`^[^+]+\+[0-9a-f]{8}\+.+$`)

// KeyTexts are the words of a text that look like public keys, of which witnessmark keys show prints some among other things; all of
// its words where none does, so that one that is mistyped is told of.
func KeyTexts(text string) []string {
	var keys []string
	words := strings.Fields(text) // no key has a space
	for _, w := range words {
		if keyShape.MatchString(w) {
			keys = append(keys, w)
		}
	}
	if keys == nil {
		return words
	}
	return keys
}

// Signed is a checkpoint whose signature by at least one of the log's keys is good.
type Signed struct {
	Checkpoint
	By        []string // names of known keys that signed it, the log's and witnesses'
	Witnessed []Cosigned
}

// OpenCheckpoint reads a signed checkpoint and checks its signatures by the keys that are known. Signatures by others are
// passed over; one that claims to be by a known key and is not is an error.
func OpenCheckpoint(text string, log []note.Verifier, witnesses ...*Witness) (Signed, error) {
	known := append([]note.Verifier{}, log...)
	for _, w := range witnesses {
		known = append(known, w)
	}
	n, err := note.Open([]byte(text), note.VerifierList(known...))
	if err != nil {
		return Signed{}, fmt.Errorf("the checkpoint is not signed by a key that is known: %w", err)
	}
	s := Signed{}
	if s.Checkpoint, err = ParseCheckpoint(n.Text); err != nil {
		return Signed{}, err
	}
	byLog := false
	for _, sig := range n.Sigs {
		s.By = append(s.By, sig.Name)
		for _, v := range log {
			byLog = byLog || v.Name() == sig.Name && v.KeyHash() == sig.Hash && sig.Name == s.Origin
		}
		for _, w := range witnesses {
			if w.Name() == sig.Name && w.KeyHash() == sig.Hash {
				s.Witnessed = append(s.Witnessed, Cosigned{Name: sig.Name, At: cosignedAt(sig.Base64)})
			}
		}
	}
	if !byLog {
		return Signed{}, fmt.Errorf("the checkpoint of %s is not signed by that log's key", s.Origin)
	}
	return s, nil
}
