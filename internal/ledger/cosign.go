package ledger

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
)

// A witness is somebody else with a key of their own, such as the awarding body's verifier. They sign that they saw a
// checkpoint at a time, and only ever one that goes on from the last that they saw, so that the centre can neither date back
// nor show two people two logs.

// algCosignature marks the keys of cosignature/v1 (C2SP signed-note, signature types).
const algCosignature = 0x04

// Cosigned says who witnessed a checkpoint, and when by their clock.
type Cosigned struct {
	Name string
	At   time.Time
}

// Witness is a witness's key as others know it; it checks cosignatures.
type Witness struct {
	name string
	key  ed25519.PublicKey
	hash uint32
}

// Name is the witness's name.
func (w *Witness) Name() string { return w.name }

// KeyHash tells the witness's keys apart.
func (w *Witness) KeyHash() uint32 { return w.hash }

// Verify checks a cosignature: eight bytes of time, then a signature under that time and the checkpoint.
func (w *Witness) Verify(msg, sig []byte) bool {
	if len(sig) != 8+ed25519.SignatureSize {
		return false
	}
	return ed25519.Verify(w.key, cosignedText(binary.BigEndian.Uint64(sig), msg), sig[8:])
}

// Text is the key in the form that is given to others: name, four bytes of hash, key.
func (w *Witness) Text() string {
	return fmt.Sprintf("%s+%08x+%s", w.name, w.hash, base64.StdEncoding.EncodeToString(append([]byte{algCosignature}, w.key...)))
}

// ParseWitness reads a witness's key.
func ParseWitness(text string) (*Witness, error) {
	name, rest, _ := strings.Cut(strings.TrimSpace(text), "+")
	_, key, _ := strings.Cut(rest, "+")
	raw, err := base64.StdEncoding.DecodeString(key)
	if err != nil || len(raw) != 1+ed25519.PublicKeySize || raw[0] != algCosignature {
		return nil, errors.New("that is no key of a witness: it looks like NAME+HASH+KEY and is printed by witnessmark witness new")
	}
	w, err := newWitness(name, raw[1:])
	if err != nil {
		return nil, err
	}
	if w.Text() != strings.TrimSpace(text) {
		return nil, errors.New("the key of the witness is mistyped: its parts do not belong together")
	}
	return w, nil
}

func newWitness(name string, key ed25519.PublicKey) (*Witness, error) {
	if name == "" || strings.ContainsAny(name, " \t\r\n+") {
		return nil, errors.New("a witness's name has no spaces and no +, such as ann.holm/witness")
	}
	h := sha256.New()
	h.Write([]byte(name + "\n"))
	h.Write([]byte{algCosignature})
	h.Write(key)
	return &Witness{name: name, key: key, hash: binary.BigEndian.Uint32(h.Sum(nil))}, nil
}

// WitnessSigner is a witness's private key.
type WitnessSigner struct {
	*Witness
	private ed25519.PrivateKey
}

// privatePrefix stands before a private key, so that it is not taken for one to give away.
const privatePrefix = "PRIVATE+WITNESS+"

// NewWitness makes a key from random.
func NewWitness(name string, random io.Reader) (*WitnessSigner, error) {
	seed := make([]byte, ed25519.SeedSize)
	if _, err := io.ReadFull(random, seed); err != nil {
		return nil, fmt.Errorf("make a witness's key: %w", err)
	}
	return witnessOf(name, seed)
}

func witnessOf(name string, seed []byte) (*WitnessSigner, error) {
	private := ed25519.NewKeyFromSeed(seed)
	w, err := newWitness(name, private.Public().(ed25519.PublicKey))
	if err != nil {
		return nil, err
	}
	return &WitnessSigner{w, private}, nil
}

// Private is the private key's text, for a file that nobody else may read.
func (w *WitnessSigner) Private() string {
	return privatePrefix + w.name + "+" + base64.StdEncoding.EncodeToString(w.private.Seed())
}

// ParseWitnessSigner reads a private key.
func ParseWitnessSigner(text string) (*WitnessSigner, error) {
	rest, ok := strings.CutPrefix(strings.TrimSpace(text), privatePrefix)
	name, key, _ := strings.Cut(rest, "+")
	seed, err := base64.StdEncoding.DecodeString(key)
	if !ok || err != nil || len(seed) != ed25519.SeedSize {
		return nil, errors.New("that file holds no private key of a witness: witnessmark witness new makes one")
	}
	return witnessOf(name, seed)
}

// Cosign gives the line of the cosignature, to stand among a signed checkpoint's. Whether the checkpoint deserves it is for
// Request.Check to say.
func (w *WitnessSigner) Cosign(c Checkpoint, at time.Time) string {
	stamp := uint64(at.Unix())
	sig := binary.BigEndian.AppendUint32(nil, w.hash)
	sig = binary.BigEndian.AppendUint64(sig, stamp)
	sig = append(sig, ed25519.Sign(w.private, cosignedText(stamp, []byte(c.Text())))...)
	return fmt.Sprintf("— %s %s\n", w.name, base64.StdEncoding.EncodeToString(sig))
}

// cosignedText is what a witness signs.
func cosignedText(stamp uint64, checkpoint []byte) []byte {
	return append(fmt.Appendf(nil, "cosignature/v1\ntime %d\n", stamp), checkpoint...)
}

// cosignedAt is the time within a cosignature that was checked.
func cosignedAt(line string) time.Time {
	raw, err := base64.StdEncoding.DecodeString(line)
	if err != nil || len(raw) < 12 {
		return time.Time{}
	}
	return time.Unix(int64(binary.BigEndian.Uint64(raw[4:12])), 0).UTC()
}
