package ledger_test

import (
	"bytes"
	"crypto/rand"
	"strings"
	"testing"

	"github.com/google/uuid"
	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/ledger"
)

// carried is a log of seven decisions, and what a portfolio carries of it: entries 2 and 5, and the way on from size 4.
func carried(t testing.TB) (b ledger.Bundle, log key, old ledger.Checkpoint) {
	t.Helper()
	log = newKey(t, origin)
	var leaves [][]byte
	var open [][]ledger.Opening
	for i := range 7 {
		leaf, o, err := ledger.Leaf{Kind: "sign_off", Subject: uuid.New(), At: monday, Secrets: map[string]string{"record": strings.Repeat("word ", i+1)}}.Seal(3, rand.Reader)
		if err != nil {
			t.Fatal(err)
		}
		leaves, open = append(leaves, leaf), append(open, o)
	}
	all := grow(t, leaves, 7)
	now := ledger.Checkpoint{Origin: origin, Size: 7, Root: root(t, 7, all)}
	old = ledger.Checkpoint{Origin: origin, Size: 4, Root: root(t, 4, all)}
	signed, err := now.Sign(log)
	if err != nil {
		t.Fatal(err)
	}
	b = ledger.Bundle{Origin: origin, Keys: []string{"northgate/log+0+"}, Checkpoint: signed}
	for _, i := range []int64{2, 5} {
		path, err := ledger.Prove(7, i, all)
		if err != nil {
			t.Fatal(err)
		}
		b.Entries = append(b.Entries, ledger.Entry{Index: i, Leaf: leaves[i], Path: path, Openings: open[i]})
	}
	proof, err := ledger.Continues(old, 7, now.Root, all)
	if err != nil {
		t.Fatal(err)
	}
	b.Earlier = []ledger.Earlier{{Size: 4, Proof: proof}}
	return b, log, old
}

func TestBundleThereAndBack(t *testing.T) {
	b, log, old := carried(t)
	text, err := b.JSON()
	if err != nil {
		t.Fatal(err)
	}
	back, err := ledger.ReadBundle(text)
	if err != nil {
		t.Fatal(err)
	}
	again, err := back.JSON()
	if err != nil || !bytes.Equal(text, again) {
		t.Errorf("read and written again it is another (%v):\n%s\n%s", err, text, again)
	}
	s, faults, err := back.Check([]note.Verifier{log.check})
	if err != nil || len(faults) > 0 || s.Size != 7 {
		t.Errorf("checked: size %d, faults %v, %v; want 7, none, none", s.Size, faults, err)
	}
	if v, ok := back.Entries[1].Opened("record"); !ok || string(v) != strings.Repeat("word ", 6) {
		t.Errorf("entry 5 opens to %q, %v", v, ok)
	}
	if ok, err := back.GoesOn(s.Checkpoint, old); !ok || err != nil {
		t.Errorf("goes on from 4: %v, %v", ok, err)
	}
	if ok, err := back.GoesOn(s.Checkpoint, ledger.Checkpoint{Origin: origin, Size: 3}); ok || err != nil {
		t.Errorf("from 3, of which it says nothing: %v, %v; want false and no error", ok, err)
	}
	other := old
	other.Root[0] ^= 1
	if _, err := back.GoesOn(s.Checkpoint, other); err == nil {
		t.Error("it goes on from a state that never was")
	}
	if _, err := back.GoesOn(s.Checkpoint, ledger.Checkpoint{Origin: origin, Size: 7, Root: other.Root}); err == nil {
		t.Error("two states of one size with two roots are taken")
	}
}

func TestBundleCatches(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(b *ledger.Bundle)
		want  string
	}{
		"an opening with another word": {func(b *ledger.Bundle) { b.Entries[0].Openings[0].Value = []byte("other") }, "commits to another record"},
		"a leaf that was changed":      {func(b *ledger.Bundle) { b.Entries[0].Leaf = append(bytes.Clone(b.Entries[0].Leaf), ' ') }, "altered"},
		"an entry put elsewhere":       {func(b *ledger.Bundle) { b.Entries[0].Index = 3 }, "not entry 3"},
		"a proof that is short":        {func(b *ledger.Bundle) { b.Entries[1].Path = b.Entries[1].Path[1:] }, "not entry 5"},
		"another log's name":           {func(b *ledger.Bundle) { b.Origin = "southgate/log" }, "southgate/log"},
		"a checkpoint of another size": {func(b *ledger.Bundle) { b.Checkpoint = strings.Replace(b.Checkpoint, "\n7\n", "\n8\n", 1) }, "not signed"},
	} {
		b, log, _ := carried(t)
		c.spoil(&b)
		_, faults, err := b.Check([]note.Verifier{log.check})
		got := ""
		if err != nil {
			got = err.Error()
		}
		for _, f := range faults {
			got += f.Words
		}
		if !strings.Contains(got, c.want) {
			t.Errorf("%s: got %q, want a word of %q", name, got, c.want)
		}
	}
	b, _, _ := carried(t)
	if _, _, err := b.Check([]note.Verifier{newKey(t, origin).check}); err == nil {
		t.Error("another key of the same name is taken for the log's")
	}
}

func TestReadBundleRefuses(t *testing.T) {
	b, _, _ := carried(t)
	text, err := b.JSON()
	if err != nil {
		t.Fatal(err)
	}
	for name, bad := range map[string]string{
		"another spelling":      strings.Replace(string(text), ":[", ": [", 1),
		"a later edition":       strings.Replace(string(text), `"edition":"1"`, `"edition":"2"`, 1),
		"an unknown member":     strings.Replace(string(text), `"entries":`, `"entires":[],"entries":`, 1),
		"entries out of order":  strings.Replace(string(text), `"index":"5"`, `"index":"1"`, 1),
		"a number with a sign":  strings.Replace(string(text), `"index":"5"`, `"index":"+5"`, 1),
		"the same member twice": strings.Replace(string(text), `"edition":"1"`, `"edition":"1","edition":"1"`, 1),
		"nothing":               "",
	} {
		if _, err := ledger.ReadBundle([]byte(bad)); err == nil {
			t.Errorf("%s is read", name)
		}
	}
}

// Who knows the first key alone follows the log through two others, and nowhere else.
func TestKeysTakeOver(t *testing.T) {
	public := func(name string) (string, key) {
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
		return public, key{s, v}
	}
	text, keys := make([]string, 3), make([]key, 3)
	for i := range 3 {
		text[i], keys[i] = public(origin)
	}
	handover := func(from, to int, signers ...note.Signer) ledger.Leaf {
		statement, err := note.Sign(&note.Note{Text: ledger.HandoverText(text[from], text[to])}, signers...)
		if err != nil {
			t.Fatal(err)
		}
		return ledger.Leaf{Kind: ledger.KindKey, At: monday, Facts: map[string]string{"key": text[to], "previous": text[from], "handover": string(statement)}}
	}
	log := func(signer note.Signer, entries ...ledger.Leaf) ledger.Bundle {
		var leaves [][]byte
		for _, l := range entries {
			leaf, _, err := l.Seal(3, rand.Reader)
			if err != nil {
				t.Fatal(err)
			}
			leaves = append(leaves, leaf)
		}
		size := int64(len(leaves))
		all := grow(t, leaves, int(size))
		signed, err := ledger.Checkpoint{Origin: origin, Size: size, Root: root(t, size, all)}.Sign(signer)
		if err != nil {
			t.Fatal(err)
		}
		b := ledger.Bundle{Origin: origin, Checkpoint: signed}
		for i := range size {
			path, err := ledger.Prove(size, i, all)
			if err != nil {
				t.Fatal(err)
			}
			b.Entries = append(b.Entries, ledger.Entry{Index: i, Leaf: leaves[i], Path: path})
		}
		return b
	}
	first := []note.Verifier{keys[0].check}
	both := log(keys[2], handover(0, 1, keys[0], keys[1]), handover(1, 2, keys[1], keys[2]))
	if _, faults, err := both.Check(first); err != nil || len(faults) > 0 {
		t.Errorf("the first key does not lead to the third: %v, %v", faults, err)
	}
	for name, b := range map[string]ledger.Bundle{
		"the one before did not sign":      log(keys[1], handover(0, 1, keys[1])),
		"somebody else's key hands over":   log(keys[2], handover(1, 2, keys[1], keys[2])),
		"the new one did not sign":         log(keys[1], handover(0, 1, keys[0])),
		"the statement is of another pair": log(keys[2], ledger.Leaf{Kind: ledger.KindKey, At: monday, Facts: map[string]string{"key": text[2], "previous": text[0], "handover": handover(0, 1, keys[0], keys[1]).Facts["handover"]}}),
	} {
		if _, _, err := b.Check(first); err == nil {
			t.Errorf("%s, and the log is trusted", name)
		}
	}
}
