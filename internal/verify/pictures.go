package verify

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
)

// foreignMost is how many pictures that do not belong are named (our own value).
const foreignMost = 10

// jpegFilter is the filter of a picture that stands in the file byte for byte.
const jpegFilter = "DCTDecode"

// pictures holds every picture in the file against the digests of the record.
func (p *Portfolio) pictures() {
	want := map[string][]string{} // who is shown by a digest
	for _, f := range p.Record.Files {
		if f.ShownSHA256 != "" {
			want[f.ShownSHA256] = append(want[f.ShownSHA256], fmt.Sprintf("file %d, %s", f.Number, f.Name))
		}
	}
	found, wrong := map[string]bool{}, 0
	for m := range p.file.Images() {
		if wrong >= foreignMost {
			p.broken("pictures", "There are more such pictures in the file; they are not listed.")
			break
		}
		if m.Filter != jpegFilter {
			wrong++
			p.broken("pictures", "A picture in the file is of another kind than centres put in (object %d).", m.Object)
			continue
		}
		digest, err := pictureDigest(m.Open)
		if err != nil {
			wrong++
			p.broken("pictures", "A picture in the file cannot be read: %v.", err)
			continue
		}
		if found[digest] = true; len(want[digest]) == 0 {
			wrong++
			p.broken("pictures", "A picture in the file is none of the record's (SHA-256 %s, object %d): it was put in or changed.", short(digest), m.Object)
		}
	}
	for _, f := range p.Record.Files {
		if f.ShownSHA256 != "" && !found[f.ShownSHA256] {
			wrong++
			p.broken("pictures", "The picture of file %d, %s, is not in the file as the record has it (SHA-256 %s): it was swapped, changed or taken out.",
				f.Number, f.Name, short(f.ShownSHA256))
		}
	}
	if wrong == 0 {
		p.holds("pictures", "All %s in the file have the digests that the record gives them.", counted(len(found), "picture", "pictures"))
	}
}

func pictureDigest(open func() (io.Reader, error)) (string, error) {
	r, err := open()
	if err != nil {
		return "", err
	}
	h := sha256.New()
	if _, err := io.Copy(h, r); err != nil {
		return "", fmt.Errorf("read a picture: %w", err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
