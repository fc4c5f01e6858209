package blob

import (
	"errors"
	"fmt"
	"syscall"
)

// MismatchError says that a blob's bytes are no longer those it is named after.
type MismatchError struct {
	Want Digest // the digest asked for, and the file's name
	Got  Digest // the digest of the bytes found there
}

func (e *MismatchError) Error() string {
	return fmt.Sprintf("blob %s has changed on the disk: its bytes now hash to %s; bring it back from a backup", e.Want, e.Got)
}

// FullError says that the disk, or this account's share of it, has no room for the bytes. Nothing was kept.
// errors.Is(err, syscall.ENOSPC) holds for every FullError.
type FullError struct {
	Err error // what the system said
}

func (e *FullError) Error() string {
	return fmt.Sprintf("the evidence folder's disk is full: %v", e.Err)
}

// Unwrap gives what the system said.
func (e *FullError) Unwrap() error { return e.Err }

// Is makes an exhausted quota count as a full disk.
func (e *FullError) Is(target error) bool { return target == syscall.ENOSPC }

// storing wraps an error met while storing, and names a full disk as such.
func storing(err error) error {
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) {
		err = &FullError{Err: err}
	}
	return fmt.Errorf("storing a blob: %w", err)
}
