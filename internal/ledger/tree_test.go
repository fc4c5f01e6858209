package ledger_test

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/transparency-dev/merkle/proof"
	"github.com/transparency-dev/merkle/rfc6962"
	"github.com/transparency-dev/merkle/testonly"
	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"

	"witnessmark/internal/ledger"
)

// grow appends leaves one call at a time, in chunks of the given length.
func grow(t testing.TB, leaves [][]byte, chunk int) ledger.Hashes {
	t.Helper()
	all := ledger.Hashes{}
	for from := 0; from < len(leaves); from += chunk {
		made, err := ledger.Grow(int64(from), leaves[from:min(from+chunk, len(leaves))], all)
		if err != nil {
			t.Fatal(err)
		}
		for _, h := range made {
			all[h.Index] = h.Hash
		}
	}
	return all
}

func someLeaves(n int) [][]byte {
	out := make([][]byte, n)
	for i := range out {
		out[i] = fmt.Appendf(nil, "leaf %d", i)
	}
	return out
}

func root(t testing.TB, size int64, r ledger.HashReader) ledger.Hash {
	t.Helper()
	h, err := ledger.Root(size, r)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// Source: the test vectors of certificate-transparency's reference implementation of RFC 6962, as github.com/transparency-dev/merkle
// v0.0.2 carries them (testonly.LeafInputs, testonly.RootHashes).
func TestRootsOfRFC6962(t *testing.T) {
	leaves, roots := testonly.LeafInputs(), testonly.RootHashes() // the first root is the empty tree's
	all := grow(t, leaves, 3)
	for size, want := range roots {
		if got := root(t, int64(size), all); !bytes.Equal(got[:], want) {
			t.Errorf("size %d: got %x, want %x", size, got[:], want)
		}
	}
}

// Every root, inclusion proof and consistency proof for sizes 1 to 300, against another implementation of RFC 6962:
// github.com/transparency-dev/merkle v0.0.2.
func TestAgainstAnotherImplementation(t *testing.T) {
	const most = 300
	leaves := someLeaves(most)
	all, other := grow(t, leaves, 7), testonly.New(rfc6962.DefaultHasher)
	other.AppendData(leaves...)
	for size := int64(1); size <= most; size++ {
		ours := root(t, size, all)
		if want := other.HashAt(uint64(size)); string(ours[:]) != string(want) {
			t.Fatalf("root at %d: got %x, want %x", size, ours[:], want)
		}
		for i := range size {
			path, err := ledger.Prove(size, i, all)
			if err != nil {
				t.Fatal(err)
			}
			if err := proof.VerifyInclusion(rfc6962.DefaultHasher, uint64(i), uint64(size), rfc6962.DefaultHasher.HashLeaf(leaves[i]), plain(path), ours[:]); err != nil {
				t.Fatalf("entry %d of %d: %v", i, size, err)
			}
			if i == 0 {
				continue
			}
			old := ledger.Checkpoint{Size: i, Root: root(t, i, all)}
			grown, err := ledger.Continues(old, size, ours, all)
			if err != nil {
				t.Fatal(err)
			}
			if err := proof.VerifyConsistency(rfc6962.DefaultHasher, uint64(i), uint64(size), plain(grown), old.Root[:], ours[:]); err != nil {
				t.Fatalf("from %d to %d: %v", i, size, err)
			}
		}
	}
}

func plain(hashes []ledger.Hash) [][]byte {
	out := make([][]byte, len(hashes))
	for i := range hashes {
		out[i] = hashes[i][:]
	}
	return out
}

// However leaves are bundled, the tree is the same, and each earlier state is a beginning of each later one.
func TestGrowsTheSameHoweverBundled(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		leaves := someLeaves(rapid.IntRange(1, 120).Draw(r, "leaves"))
		one, many := grow(t, leaves, 1), grow(t, leaves, rapid.IntRange(1, 50).Draw(r, "chunk"))
		if len(one) != len(many) || len(one) != int(tlog.StoredHashCount(int64(len(leaves)))) {
			r.Fatalf("%d and %d hashes", len(one), len(many))
		}
		for i, h := range one {
			if many[i] != h {
				r.Fatalf("hash %d differs", i)
			}
		}
		size := int64(len(leaves))
		old := rapid.Int64Range(0, size).Draw(r, "old")
		if _, err := ledger.Continues(ledger.Checkpoint{Size: old, Root: root(t, old, one)}, size, root(t, size, one), one); err != nil {
			r.Fatal(err)
		}
	})
}

func TestWhatWasChangedOrCutDoesNotContinue(t *testing.T) {
	leaves := someLeaves(20)
	all := grow(t, leaves, 20)
	old := ledger.Checkpoint{Size: 13, Root: root(t, 13, all)}
	leaves[5] = []byte("another")
	changed := grow(t, leaves, 20)
	if _, err := ledger.Continues(old, 20, root(t, 20, changed), changed); err == nil {
		t.Error("a changed entry was not noticed")
	}
	if _, err := ledger.Continues(old, 12, root(t, 12, all), all); err == nil {
		t.Error("a tree that shrank was not noticed")
	}
	if _, err := ledger.Continues(ledger.Checkpoint{Size: 20, Root: root(t, 20, all)}, 20, root(t, 20, changed), changed); err == nil {
		t.Error("another tree of the same size was not noticed")
	}
}
