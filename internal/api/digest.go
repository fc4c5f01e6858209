package api

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"strings"
)

// sayDigest is what to do about a Repr-Digest that cannot be read.
const sayDigest = "This has to be sha-256=:…: with the file's SHA-256 in Base64 between the colons (RFC 9530)."

var errDigest = errors.New("no SHA-256 in Repr-Digest")

// reprDigest finds the SHA-256 in the lines of a Repr-Digest header (RFC 9530, section 3) and gives it in hex, "" where
// there is no line. Digests of other kinds may stand beside it; without one of its own kind the header is refused, since
// its sender wants something checked.
func reprDigest(lines []string) (string, error) {
	found := ""
	for _, line := range lines {
		for part := range strings.SplitSeq(line, ",") {
			key, value, ok := strings.Cut(strings.Trim(part, " \t"), "=")
			coded, opens := strings.CutPrefix(value, ":")
			coded, closes := strings.CutSuffix(coded, ":")
			if !ok || !opens || !closes {
				return "", errDigest
			}
			if key != "sha-256" {
				continue
			}
			raw, err := base64.StdEncoding.Strict().DecodeString(coded)
			if err != nil || len(raw) != sha256.Size || found != "" {
				return "", errDigest
			}
			found = hex.EncodeToString(raw)
		}
	}
	if found == "" && len(lines) > 0 {
		return "", errDigest
	}
	return found, nil
}
