package blob

import (
	"crypto/sha256"
	"encoding/hex"

	"witnessmark/internal/fault"
)

// Digest is the SHA-256 of a blob's bytes, exactly as they were received. It is the blob's only name.
type Digest [sha256.Size]byte

// String is the digest as 64 lower-case hexadecimal digits.
func (d Digest) String() string {
	return hex.EncodeToString(d[:])
}

// Parse reads the form that String writes. Anything else (upper case included, so that one blob has one name) is a
// fault of kind Invalid on the field "sha256".
func Parse(s string) (Digest, error) {
	var d Digest
	if len(s) != hex.EncodedLen(len(d)) {
		return Digest{}, notADigest()
	}
	if _, err := hex.Decode(d[:], []byte(s)); err != nil || d.String() != s {
		return Digest{}, notADigest()
	}
	return d, nil
}

func notADigest() error {
	return fault.Invalid("sha256", "A file's SHA-256 is 64 digits from 0 to 9 and a to f. Copy the whole of it.")
}

// path is where the blob lies below the folder: two levels of 256 folders each keep every folder small.
func (d Digest) path() string {
	s := d.String()
	return s[:2] + "/" + s[2:4] + "/" + s
}
