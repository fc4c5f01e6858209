package blob

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Remove takes a blob away for good: its name, and with it the bytes. One that is not kept here is as good as removed. The
// caller makes sure that nothing needs it.
func (f *Folder) Remove(d Digest) error {
	err := os.Remove(f.file(d))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err == nil {
		err = syncFolder(filepath.Dir(f.file(d)))
	}
	if err != nil {
		return fmt.Errorf("removing blob %s: %w", d, err)
	}
	return nil
}
