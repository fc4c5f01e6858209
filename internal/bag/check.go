package bag

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
)

// Checked is what reading a bag found.
type Checked struct {
	Payload  []Entry  // of the manifest, with the sizes of the files
	Problems []string // in sentences; none where the bag is whole
}

// maxTag bounds a file beside the payload, in bytes.
const maxTag = 32 << 20

// Check reads a bag from its folder and works every digest out again. The error is ErrNone, or that the folder cannot be read.
func Check(folder fs.FS) (Checked, error) {
	text, err := tag(folder, declarationFile)
	if errors.Is(err, fs.ErrNotExist) || err == nil && string(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))) != declaration {
		return Checked{}, ErrNone
	}
	if err != nil {
		return Checked{}, err
	}
	var c Checked
	if _, err := fs.Stat(folder, fetchFile); err == nil {
		c.wrong("the bag wants files to be fetched from elsewhere, which is not done")
	}
	if err := c.manifest(folder, tagFile, false); err != nil {
		return Checked{}, err
	}
	if err := c.manifest(folder, manifestFile, true); err != nil {
		return Checked{}, err
	}
	return c, c.unlisted(folder)
}

func (c *Checked) wrong(format string, args ...any) {
	c.Problems = append(c.Problems, fmt.Sprintf(format, args...))
}

func tag(folder fs.FS, name string) ([]byte, error) {
	f, err := folder.Open(name)
	if err != nil {
		return nil, fmt.Errorf("read the bag: %w", err)
	}
	text, err := io.ReadAll(io.LimitReader(f, maxTag+1))
	if err = errors.Join(err, f.Close()); err != nil {
		return nil, fmt.Errorf("read %s of the bag: %w", name, err)
	}
	if len(text) > maxTag {
		return nil, fmt.Errorf("read %s of the bag: it is larger than %d bytes", name, maxTag)
	}
	return text, nil
}

// manifest holds every file of a manifest against its digest.
func (c *Checked) manifest(folder fs.FS, name string, ofPayload bool) error {
	text, err := tag(folder, name)
	if errors.Is(err, fs.ErrNotExist) {
		c.wrong("%s is missing", name)
		return nil
	}
	if err != nil {
		return err
	}
	entries, err := readManifest(name, text)
	if err != nil {
		c.wrong("%v", err)
		return nil
	}
	for _, e := range entries {
		sum, size, err := digest(folder, e.Path)
		switch {
		case strings.HasPrefix(e.Path, payload) != ofPayload:
			c.wrong("%s stands in %s, where it does not belong", e.Path, name)
		case errors.Is(err, fs.ErrNotExist):
			c.wrong("%s is missing", e.Path)
		case err != nil:
			return err
		case sum != e.SHA256:
			c.wrong("%s was changed: its digest is another than the bag says", e.Path)
		}
		if e.Size = size; ofPayload {
			c.Payload = append(c.Payload, e)
		}
	}
	return nil
}

func digest(folder fs.FS, name string) (string, int64, error) {
	f, err := folder.Open(name)
	if err != nil {
		return "", 0, fmt.Errorf("read the bag: %w", err)
	}
	h := sha256.New()
	n, err := io.Copy(h, f)
	if err = errors.Join(err, f.Close()); err != nil {
		return "", 0, fmt.Errorf("read %s of the bag: %w", name, err)
	}
	return hex.EncodeToString(h.Sum(nil)), n, nil
}

// unlisted looks for files of the payload that no manifest has.
func (c *Checked) unlisted(folder fs.FS) error {
	listed := map[string]bool{}
	for _, e := range c.Payload {
		listed[e.Path] = true
	}
	err := fs.WalkDir(folder, strings.TrimSuffix(payload, "/"), func(p string, d fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrNotExist):
			c.wrong("the bag has no data")
			return nil
		case err != nil:
			return err
		case !d.IsDir() && !listed[p]:
			c.wrong("%s was put into the bag, and stands in no list", p)
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("read the bag: %w", err)
	}
	return nil
}
