package blob

import (
	"errors"
	"fmt"
	"os"
)

// Probe writes a byte into the folder and takes it away again: an error says that no evidence can be kept.
func (f *Folder) Probe() error {
	file, err := os.CreateTemp(f.incoming(), "probe-*")
	if err != nil {
		return fmt.Errorf("try the evidence folder: %w", err)
	}
	_, err = file.Write([]byte{'.'})
	if err := errors.Join(err, file.Close(), os.Remove(file.Name())); err != nil {
		return fmt.Errorf("try the evidence folder: %w", err)
	}
	return nil
}
