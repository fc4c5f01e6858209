package blob

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// ErasuresFile says what was erased, a line each. It is beside the evidence and not in the database, so that restoring an older
// state of that does not bring back what was erased since.
const ErasuresFile = "erasures.jsonl"

// NoteErasure adds a line, and it is on the disk before this returns. The same line may stand there twice.
func (f *Folder) NoteErasure(line []byte) (err error) {
	file, err := os.OpenFile(filepath.Join(f.dir, ErasuresFile), os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o640)
	if err != nil {
		return fmt.Errorf("noting an erasure: %w", err)
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	if _, err := file.Write(slices.Concat([]byte("\n"), line, []byte("\n"))); err != nil { // one that a crash cut off stays a line of its own
		return storing(err)
	}
	if err := file.Sync(); err != nil {
		return storing(err)
	}
	return syncFolder(f.dir)
}

// Erasures is every line that was noted, oldest first. One that a crash cut off is among them.
func (f *Folder) Erasures() (lines [][]byte, err error) {
	all, err := os.ReadFile(filepath.Join(f.dir, ErasuresFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	} else if err != nil {
		return nil, fmt.Errorf("reading what was erased: %w", err)
	}
	for line := range bytes.SplitSeq(all, []byte("\n")) {
		if len(line) > 0 {
			lines = append(lines, line)
		}
	}
	return lines, nil
}
