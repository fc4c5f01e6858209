package ledger_test

import (
	"bytes"
	"crypto/rand"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/ledger"
)

const origin = "northgate/log"

var monday = time.Date(2026, 3, 2, 9, 30, 0, 123456000, time.UTC)

type key struct {
	note.Signer
	check note.Verifier
}

func newKey(t testing.TB, name string) key {
	t.Helper()
	private, public, err := note.GenerateKey(rand.Reader, name)
	if err != nil {
		t.Fatal(err)
	}
	s, err := note.NewSigner(private)
	if err != nil {
		t.Fatal(err)
	}
	v, err := note.NewVerifier(public)
	if err != nil {
		t.Fatal(err)
	}
	return key{s, v}
}

// proven is a log of seven entries, signed and witnessed, with the proof of one of them.
func proven(t testing.TB) (leaf []byte, p ledger.Proof, log key, w *ledger.WitnessSigner) {
	t.Helper()
	leaves := someLeaves(7)
	all := grow(t, leaves, 7)
	log = newKey(t, origin)
	c := ledger.Checkpoint{Origin: origin, Size: 7, Root: root(t, 7, all)}
	signed, err := c.Sign(log)
	if err != nil {
		t.Fatal(err)
	}
	if w, err = ledger.NewWitness("body/verifier", rand.Reader); err != nil {
		t.Fatal(err)
	}
	path, err := ledger.Prove(7, 3, all)
	if err != nil {
		t.Fatal(err)
	}
	return leaves[3], ledger.Proof{Index: 3, Path: path, Checkpoint: signed + w.Cosign(c, monday)}, log, w
}

func TestProofThereAndBack(t *testing.T) {
	leaf, p, log, w := proven(t)
	back, err := ledger.ParseProof(p.Text())
	if err != nil {
		t.Fatal(err)
	}
	public, err := ledger.ParseWitness(w.Text())
	if err != nil {
		t.Fatal(err)
	}
	s, err := back.Check(leaf, []note.Verifier{log.check}, public)
	if err != nil {
		t.Fatal(err)
	}
	if want := []ledger.Cosigned{{Name: "body/verifier", At: monday.Truncate(time.Second)}}; s.Size != 7 || s.Origin != origin || !slices.Equal(s.Witnessed, want) {
		t.Errorf("got %+v, want size 7 of %s, witnessed %v", s, origin, want)
	}
	again, err := ledger.ParseWitnessSigner(w.Private())
	if err != nil || again.Text() != w.Text() {
		t.Errorf("the witness's key came back as %v, %v", again, err)
	}
}

// Every bit of the leaf, of the path, and of what the log signed counts.
func TestEveryBitCounts(t *testing.T) {
	leaf, p, log, w := proven(t)
	known := []note.Verifier{log.check}
	if _, err := p.Check(leaf, known, w.Witness); err != nil {
		t.Fatal(err)
	}
	flips := 0
	each := func(what string, text []byte, check func([]byte) error) {
		for i := range len(text) * 8 {
			bad := bytes.Clone(text)
			bad[i/8] ^= 1 << (i % 8)
			flips++
			if check(bad) == nil {
				t.Errorf("%s with bit %d of byte %d flipped is taken: %q", what, i%8, i/8, bad)
			}
		}
	}
	each("a leaf", leaf, func(b []byte) error { _, err := p.Check(b, known, w.Witness); return err })
	for i := range p.Path {
		each("a path", p.Path[i][:], func(b []byte) error {
			q := p
			q.Path = slices.Clone(p.Path)
			q.Path[i] = ledger.Hash(b)
			_, err := q.Check(leaf, known, w.Witness)
			return err
		})
	}
	// A signature by a name or key that is not known is passed over, so the lines of signatures are flipped one key at a time.
	text, _, _ := strings.Cut(p.Checkpoint, "\n\n")
	each("a checkpoint", []byte(text), func(b []byte) error {
		q := p
		q.Checkpoint = string(b) + p.Checkpoint[len(text):]
		_, err := q.Check(leaf, known, w.Witness)
		return err
	})
	for i := range int64(7) {
		q := p
		if q.Index = i; i != 3 {
			if _, err := q.Check(leaf, known); err == nil {
				t.Errorf("entry 3 is taken for entry %d", i)
			}
		}
	}
	t.Logf("%d flips", flips)
}

func TestOnlyTheLogsKeyCounts(t *testing.T) {
	leaf, p, _, w := proven(t)
	if _, err := p.Check(leaf, []note.Verifier{newKey(t, origin).check}, w.Witness); err == nil {
		t.Error("a checkpoint that no known key of the log signed is taken, for the witness's signature")
	}
	if _, err := (ledger.Checkpoint{Origin: origin}).Sign(newKey(t, "another/log").Signer); err == nil {
		t.Error("another log's key signs")
	}
}

func TestAWitnessSignsOnlyWhatGoesOn(t *testing.T) {
	leaves, log := someLeaves(12), newKey(t, origin)
	all := grow(t, leaves, 12)
	at := func(size int64, r ledger.HashReader) (ledger.Checkpoint, string) {
		c := ledger.Checkpoint{Origin: origin, Size: size, Root: root(t, size, r)}
		text, err := c.Sign(log)
		if err != nil {
			t.Fatal(err)
		}
		return c, text
	}
	seen, _ := at(5, all)
	now, signed := at(12, all)
	grown, err := ledger.Continues(seen, 12, now.Root, all)
	if err != nil {
		t.Fatal(err)
	}
	good, err := ledger.ParseRequest(ledger.Request{Old: 5, Proof: grown, Checkpoint: signed}.Text())
	if err != nil {
		t.Fatal(err)
	}
	if c, err := good.Check(seen, log.check); err != nil || c != now {
		t.Errorf("got %v, %v, want %v", c, err, now)
	}
	leaves[2] = []byte("another")
	forked := grow(t, leaves, 12)
	_, fork := at(12, forked)
	_, short := at(4, all)
	other, _ := at(5, all)
	other.Origin = "another/log"
	for name, test := range map[string]struct {
		r    ledger.Request
		seen ledger.Checkpoint
	}{
		"a fork":             {ledger.Request{Old: 5, Proof: grown, Checkpoint: fork}, seen},
		"no proof":           {ledger.Request{Old: 5, Checkpoint: signed}, seen},
		"from another state": {ledger.Request{Old: 0, Checkpoint: signed}, seen},
		"shorter":            {ledger.Request{Old: 5, Checkpoint: short}, seen},
		"another log":        {good, other},
	} {
		if _, err := test.r.Check(test.seen, log.check); err == nil {
			t.Errorf("%s is signed", name)
		}
	}
}

func TestLeafHidesAndOpens(t *testing.T) {
	l := ledger.Leaf{Kind: "criterion_decision", Subject: uuid.New(), At: monday, Facts: map[string]string{"key": "k"},
		Secrets: map[string]string{"record": `{"by_name":"Ada Canary"}`, "by": "Ada Canary"}}
	text, openings, err := l.Seal(7, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(text), "Canary") || strings.Contains(string(text), l.Subject.String()) {
		t.Errorf("the leaf tells: %s", text)
	}
	s, err := ledger.ReadLeaf(text)
	if err != nil {
		t.Fatal(err)
	}
	if s.Kind != l.Kind || s.Centre != 7 || !s.At.Equal(monday) || s.Facts["key"] != "k" || len(openings) != 2 {
		t.Errorf("got %+v", s)
	}
	for _, o := range openings {
		if !s.OpenedBy(o) {
			t.Errorf("%s does not open", o.Name)
		}
		o.Value = append(o.Value, ' ')
		if s.OpenedBy(o) {
			t.Errorf("%s opens with another value", o.Name)
		}
	}
	again, _, err := l.Seal(7, rand.Reader)
	if err != nil || bytes.Equal(again, text) {
		t.Errorf("the same leaf twice, so its values can be guessed: %v", err)
	}
}

func TestBadLeavesAreRefused(t *testing.T) {
	for _, bad := range []string{``, `{}`, `[]`, `{"v":"1"}`, `{"at":"2026-03-02T09:30:00.000000Z","centre":"1","commits":{"record":"00"},"facts":{},"kind":"k","v":"1"}`,
		`{"at":"2026-03-02T09:30:00.000000Z","centre":"1","commits":{},"facts":{},"kind":"k","v":"2"}`,
		`{"v":"1","at":"2026-03-02T09:30:00.000000Z","centre":"1","commits":{},"facts":{},"kind":"k"}`,
		`{"at":"2026-03-02T09:30:00.000000Z","centre":"1","commits":{},"extra":"","facts":{},"kind":"k","v":"1"}`} {
		if _, err := ledger.ReadLeaf([]byte(bad)); err == nil {
			t.Errorf("%s is taken", bad)
		}
	}
}

func FuzzParseProof(f *testing.F) {
	_, p, _, _ := proven(f)
	f.Add(p.Text())
	f.Fuzz(func(t *testing.T, text string) {
		if p, err := ledger.ParseProof(text); err == nil && p.Text() != text {
			t.Errorf("%q comes back as %q", text, p.Text())
		}
	})
}

func FuzzParseCheckpoint(f *testing.F) {
	f.Add("a/log\n7\n47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=\n")
	f.Fuzz(func(t *testing.T, text string) {
		if c, err := ledger.ParseCheckpoint(text); err == nil && !strings.HasPrefix(text, c.Text()) {
			t.Errorf("%q comes back as %q", text, c.Text())
		}
	})
}

func FuzzReadLeaf(f *testing.F) {
	text, _, err := ledger.Leaf{Kind: "k", At: monday, Secrets: map[string]string{"a": "b"}}.Seal(1, rand.Reader)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Fuzz(func(_ *testing.T, leaf []byte) { _, _ = ledger.ReadLeaf(leaf) })
}
