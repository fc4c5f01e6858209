package ledger

import (
	"slices"
	"strings"

	"golang.org/x/mod/sumdb/note"
)

// HandoverText is what both keys of a log sign when one takes over from the other.
func HandoverText(before, next string) string {
	return "witnessmark: the log goes on with another key\n" + before + "\n" + next + "\n"
}

// TakenOver is the key that took over by an entry of kind KindKey, where one of the known keys handed over to it under its
// signature; false for any other entry.
func TakenOver(leaf Sealed, known []note.Verifier) (note.Verifier, bool) {
	if leaf.Kind != KindKey {
		return nil, false
	}
	before, err := note.NewVerifier(leaf.Facts["previous"])
	if err != nil {
		return nil, false
	}
	i := slices.IndexFunc(known, func(v note.Verifier) bool { return v.Name() == before.Name() && v.KeyHash() == before.KeyHash() })
	next, err := note.NewVerifier(leaf.Facts["key"])
	if i < 0 || err != nil || next.Name() != before.Name() {
		return nil, false
	}
	// By the key that is known, not by the one that the entry states: four bytes that tell keys apart are soon forged.
	n, err := note.Open([]byte(leaf.Facts["handover"]), note.VerifierList(known[i], next))
	if err != nil || n.Text != HandoverText(leaf.Facts["previous"], leaf.Facts["key"]) || len(n.Sigs) != 2 {
		return nil, false
	}
	return next, true
}

// Trusted are the known keys and those that took over from them one after the other, by the bundle's own entries.
func (b Bundle) Trusted(known []note.Verifier) []note.Verifier {
	all := slices.Clone(known)
	for _, e := range b.Entries {
		if leaf, err := ReadLeaf(e.Leaf); err == nil {
			if next, ok := TakenOver(leaf, all); ok {
				all = append(all, next)
			}
		}
	}
	return all
}

// KeyName is the name of the log that a public key is of; "" for what is no key.
func KeyName(text string) string {
	name, _, ok := strings.Cut(strings.TrimSpace(text), "+")
	if !ok {
		return ""
	}
	return name
}
