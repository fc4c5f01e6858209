package ledger

import (
	"errors"
	"fmt"
	"maps"

	"golang.org/x/mod/sumdb/tlog"
)

const tlogHashSize = tlog.HashSize

// HashReader gives the stored hashes of the given numbers, in their order.
type HashReader = tlog.HashReader

// StoredHash is a hash of the tree under its number (tlog.StoredHashIndex).
type StoredHash struct {
	Index int64
	Hash  Hash
}

// Frontier lists the numbers of the hashes that a tree of the size goes on from: the tops of its whole subtrees, the largest
// first.
func Frontier(size int64) []int64 {
	var at []int64
	from := int64(0)
	for level := 62; level >= 0; level-- {
		if size&(1<<level) != 0 {
			at = append(at, tlog.StoredHashIndex(level, from>>level))
			from += 1 << level
		}
	}
	return at
}

// Grow appends leaves to a tree of the size and gives the hashes to store. The reader is asked for Frontier(size) alone.
func Grow(size int64, leaves [][]byte, r HashReader) ([]StoredHash, error) {
	at := Frontier(size)
	hashes, err := r.ReadHashes(at)
	if err != nil {
		return nil, fmt.Errorf("read the log's hashes: %w", err)
	}
	if len(hashes) != len(at) {
		return nil, errors.New("the log has lost hashes: run witnessmark audit")
	}
	known := make(map[int64]Hash, len(at))
	for i, n := range at {
		known[n] = hashes[i]
	}
	overlay := Hashes(known)
	var grown []StoredHash
	for i, leaf := range leaves {
		n := size + int64(i)
		made, err := tlog.StoredHashes(n, leaf, overlay)
		if err != nil {
			return nil, fmt.Errorf("append to the log: %w", err)
		}
		for j, h := range made {
			index := tlog.StoredHashIndex(0, n) + int64(j)
			known[index] = h
			grown = append(grown, StoredHash{index, h})
		}
	}
	return grown, nil
}

// Hashes is a reader of hashes that are in memory.
type Hashes map[int64]Hash

// ReadHashes gives them, or an error where one is missing.
func (m Hashes) ReadHashes(at []int64) ([]Hash, error) {
	out := make([]Hash, len(at))
	for i, n := range at {
		h, ok := m[n]
		if !ok {
			return nil, fmt.Errorf("the log's hash %d is missing", n)
		}
		out[i] = h
	}
	return out, nil
}

// Root is the root of the tree at a size; that of the empty tree is SHA-256 of nothing (RFC 6962, section 2.1).
func Root(size int64, r HashReader) (Hash, error) {
	root, err := tlog.TreeHash(size, r)
	if err != nil {
		return Hash{}, fmt.Errorf("work out the log's root: %w", err)
	}
	return root, nil
}

// Continues proves that the tree at size is the one at the old size with entries appended, and gives the proof.
func Continues(old Checkpoint, size int64, root Hash, r HashReader) ([]Hash, error) {
	if old.Size == 0 {
		return nil, nil
	}
	if size < old.Size {
		return nil, fmt.Errorf("the log has %d entries, and had %d when it was signed last", size, old.Size)
	}
	p, err := tlog.ProveTree(size, old.Size, r)
	if err != nil {
		return nil, fmt.Errorf("prove that the log goes on from what was signed: %w", err)
	}
	if err := CheckContinues(p, old, size, root); err != nil {
		return nil, err
	}
	return p, nil
}

// CheckContinues checks such a proof.
func CheckContinues(p []Hash, old Checkpoint, size int64, root Hash) error {
	if old.Size == 0 {
		return nil
	}
	if err := tlog.CheckTree(p, size, root, old.Size, old.Root); err != nil {
		return fmt.Errorf("the log at %d entries does not go on from what was signed at %d: an entry was changed or removed", size, old.Size)
	}
	return nil
}

// Builder rebuilds a tree from its leaves alone. The zero value is the empty tree.
type Builder struct {
	size  int64
	known Hashes
}

// Add appends leaves and gives the hashes that a store of the tree must have for them.
func (b *Builder) Add(leaves [][]byte) ([]StoredHash, error) {
	made, err := Grow(b.size, leaves, b.known)
	if err != nil {
		return nil, err
	}
	all := make(Hashes, len(made)+len(b.known))
	maps.Copy(all, b.known)
	for _, h := range made {
		all[h.Index] = h.Hash
	}
	b.size += int64(len(leaves))
	b.known = Hashes{}
	for _, i := range Frontier(b.size) {
		b.known[i] = all[i]
	}
	return made, nil
}

// Size is how many leaves there are.
func (b *Builder) Size() int64 { return b.size }

// Root is the root of the tree so far.
func (b *Builder) Root() (Hash, error) { return Root(b.size, b.known) }
