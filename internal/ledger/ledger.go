// Package ledger is the form of a centre's decision log: what an entry says, how entries become a Merkle tree, and what proves
// to an outsider that an entry stands in it.
//
// The rules of its world:
//
//   - Each centre has one log. An entry is a leaf of an RFC 6962 tree (0x00 before a leaf, 0x01 before a node), numbered from 0.
//   - A leaf is kept as the exact bytes that were hashed, and is never written anew to check it.
//   - A leaf holds no name, free text or digest that could be guessed or matched: such a thing stands in it as a commitment,
//     the digest of a random salt and the value. Salt and value are kept apart, so that they can be erased while the tree
//     stays whole.
//   - What is shown outside is in the forms of C2SP: a checkpoint is a signed note, a witness adds a cosignature/v1, a proof of
//     one entry is a tlog-proof. Source: c2sp.org, tlog-checkpoint, tlog-cosignature, tlog-proof, tlog-witness (from memory).
//   - Tree arithmetic and Ed25519 signatures are golang.org/x/mod/sumdb/tlog and note, the code behind Go's checksum database.
//
// A log says that an entry was there when the tree had a size, and that nothing signed earlier was removed or changed since. It
// says neither that a photo is true nor, without a witness, when.
package ledger

import "golang.org/x/mod/sumdb/tlog"

// Hash is a SHA-256 within the tree.
type Hash = tlog.Hash

// LeafHash is the hash of a leaf's bytes as the tree has it.
func LeafHash(leaf []byte) Hash { return tlog.RecordHash(leaf) }
