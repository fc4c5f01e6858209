package ledger

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"unicode/utf8"

	"github.com/gowebpki/jcs"
	"golang.org/x/mod/sumdb/note"
)

// bundleEdition is the edition of a bundle's form.
const bundleEdition = "1"

// Bundle is what a portfolio carries of its centre's log, so that a stranger with the log's key alone can check it: one signed
// state, some entries with what opens them and their places under that state, and proofs that the state goes on from earlier
// ones. Its form is canonical JSON (RFC 8785) without a number.
type Bundle struct {
	Origin     string
	Keys       []string // the log's public keys, the newest last
	Witnesses  []string // the public keys of those who signed along
	Checkpoint string   // the state, as it was signed
	Entries    []Entry  // by index, each once
	Earlier    []Earlier
}

// Entry is an entry of the log with all that is needed to check it. An opening that is missing was erased, or is not shown.
type Entry struct {
	Index    int64
	Leaf     []byte
	Path     []Hash // to the root of the bundle's checkpoint
	Openings []Opening
}

// Opened is the value of the opening of that name; false where it is missing.
func (e Entry) Opened(name string) ([]byte, bool) {
	for _, o := range e.Openings {
		if o.Name == name {
			return o.Value, true
		}
	}
	return nil, false
}

// Earlier proves that the bundle's checkpoint goes on from the state that the log had at Size (RFC 6962, section 2.1.2).
type Earlier struct {
	Size  int64
	Proof []Hash
}

// The forms in JSON. Numbers stand as strings, bytes as base64.
type (
	bundleForm struct {
		Edition    string        `json:"edition"`
		Origin     string        `json:"origin"`
		Keys       []string      `json:"keys"`
		Witnesses  []string      `json:"witnesses"`
		Checkpoint string        `json:"checkpoint"`
		Entries    []entryForm   `json:"entries"`
		Earlier    []earlierForm `json:"earlier"`
	}
	entryForm struct {
		Index    string        `json:"index"`
		Leaf     string        `json:"leaf"`
		Path     []string      `json:"path"`
		Openings []openingForm `json:"openings"`
	}
	openingForm struct {
		Name  string `json:"name"`
		Salt  string `json:"salt"`
		Value string `json:"value"`
	}
	earlierForm struct {
		Size  string   `json:"size"`
		Proof []string `json:"proof"`
	}
)

// JSON is the bundle in its form. A value that is no text cannot be written.
func (b Bundle) JSON() ([]byte, error) {
	f := bundleForm{Edition: bundleEdition, Origin: b.Origin, Keys: append([]string{}, b.Keys...), Witnesses: append([]string{}, b.Witnesses...),
		Checkpoint: b.Checkpoint, Entries: []entryForm{}, Earlier: []earlierForm{}}
	for _, e := range b.Entries {
		ef := entryForm{Index: strconv.FormatInt(e.Index, 10), Leaf: base64.StdEncoding.EncodeToString(e.Leaf), Path: texts(e.Path), Openings: []openingForm{}}
		for _, o := range e.Openings {
			if !utf8.Valid(o.Value) {
				return nil, fmt.Errorf("what opens %q of entry %d of the log is no text", o.Name, e.Index)
			}
			ef.Openings = append(ef.Openings, openingForm{o.Name, base64.StdEncoding.EncodeToString(o.Salt), string(o.Value)})
		}
		f.Entries = append(f.Entries, ef)
	}
	for _, e := range b.Earlier {
		f.Earlier = append(f.Earlier, earlierForm{strconv.FormatInt(e.Size, 10), texts(e.Proof)})
	}
	raw, err := json.Marshal(f)
	if err != nil {
		return nil, fmt.Errorf("proofs of the log to JSON: %w", err)
	}
	out, err := jcs.Transform(raw)
	if err != nil {
		return nil, fmt.Errorf("proofs of the log to canonical JSON: %w", err)
	}
	return out, nil
}

func texts(hashes []Hash) []string {
	out := make([]string, len(hashes))
	for i, h := range hashes {
		out[i] = base64.StdEncoding.EncodeToString(h[:])
	}
	return out
}

// ReadBundle reads a bundle and refuses any other spelling of it than the canonical one.
func ReadBundle(text []byte) (Bundle, error) {
	canonical, err := jcs.Transform(text)
	if err != nil || !bytes.Equal(canonical, text) {
		return Bundle{}, errors.New("the proofs of the log are not in their canonical form")
	}
	var f bundleForm
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&f); err != nil {
		return Bundle{}, fmt.Errorf("the proofs of the log cannot be read: %w", err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) || f.Edition != bundleEdition {
		return Bundle{}, fmt.Errorf("the proofs of the log are of edition %q, which this program does not know", f.Edition)
	}
	b := Bundle{Origin: f.Origin, Keys: f.Keys, Witnesses: f.Witnesses, Checkpoint: f.Checkpoint}
	for _, ef := range f.Entries {
		e, err := ef.read()
		if err != nil {
			return Bundle{}, err
		}
		if n := len(b.Entries); n > 0 && b.Entries[n-1].Index >= e.Index {
			return Bundle{}, fmt.Errorf("entry %d of the log stands in the wrong place among the proofs", e.Index)
		}
		b.Entries = append(b.Entries, e)
	}
	for _, ef := range f.Earlier {
		e := Earlier{}
		if e.Size, err = number(ef.Size); err != nil {
			return Bundle{}, err
		}
		if e.Proof, err = readHashes(ef.Proof); err != nil {
			return Bundle{}, err
		}
		b.Earlier = append(b.Earlier, e)
	}
	return b, nil
}

func number(s string) (int64, error) {
	n, err := strconv.ParseInt(s, 10, 64)
	if err != nil || n < 0 || strconv.FormatInt(n, 10) != s {
		return 0, fmt.Errorf("%q is no number of entries of a log", s)
	}
	return n, nil
}

func (f entryForm) read() (e Entry, err error) {
	if e.Index, err = number(f.Index); err != nil {
		return e, err
	}
	if e.Leaf, err = base64.StdEncoding.Strict().DecodeString(f.Leaf); err != nil {
		return e, fmt.Errorf("entry %d of the log cannot be read: %w", e.Index, err)
	}
	if e.Path, err = readHashes(f.Path); err != nil {
		return e, err
	}
	for _, of := range f.Openings {
		salt, err := base64.StdEncoding.Strict().DecodeString(of.Salt)
		if err != nil {
			return e, fmt.Errorf("what opens %q of entry %d of the log cannot be read: %w", of.Name, e.Index, err)
		}
		e.Openings = append(e.Openings, Opening{Name: of.Name, Salt: salt, Value: []byte(of.Value)})
	}
	return e, nil
}

// Fault is one thing that is wrong with a bundle.
type Fault struct {
	Index int64 // of the entry
	Words string
}

// Check checks the bundle by the keys that are known, and those that took over from them: the checkpoint's signature, then each
// entry's place under it, that it is readable, of one centre, and that what opens it does. A missing or foreign signature is the
// error; without it the faults are those of single entries, none where all is well.
func (b Bundle) Check(log []note.Verifier, witnesses ...*Witness) (Signed, []Fault, error) {
	s, err := OpenCheckpoint(b.Checkpoint, b.Trusted(log), witnesses...)
	if err != nil {
		return Signed{}, nil, err
	}
	if s.Origin != b.Origin {
		return Signed{}, nil, fmt.Errorf("the proofs say that they are of %s, and their checkpoint is of %s", b.Origin, s.Origin)
	}
	var faults []Fault
	var centre int64
	for i, e := range b.Entries {
		wrong := func(format string, args ...any) {
			faults = append(faults, Fault{e.Index, fmt.Sprintf(format, args...)})
		}
		if err := CheckEntry(e.Path, s.Checkpoint, e.Index, e.Leaf); err != nil {
			wrong("%v", err)
			continue
		}
		leaf, err := ReadLeaf(e.Leaf)
		if err != nil {
			wrong("%v", err)
			continue
		}
		if i == 0 {
			centre = leaf.Centre
		}
		if leaf.Centre != centre {
			wrong("entry %d of the log is another centre's", e.Index)
		}
		for _, o := range e.Openings {
			if !leaf.OpenedBy(o) {
				wrong("entry %d of the log, %s, commits to another %s than the one that is shown", e.Index, leaf.Kind, o.Name)
			}
		}
	}
	return s, faults, nil
}

// GoesOn says whether the bundle's state, once it is checked, goes on from an earlier one: true with no error where that is proven,
// false where the bundle has no proof from that size, an error where a proof is there and fails.
func (b Bundle) GoesOn(now, earlier Checkpoint) (bool, error) {
	if earlier.Size == now.Size {
		if earlier.Root != now.Root {
			return false, fmt.Errorf("two states of %s with %d entries are not the same", now.Origin, now.Size)
		}
		return true, nil
	}
	for _, e := range b.Earlier {
		if e.Size == earlier.Size {
			return true, CheckContinues(e.Proof, earlier, now.Size, now.Root)
		}
	}
	return false, nil
}
