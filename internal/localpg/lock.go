package localpg

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"time"
)

// lock takes the folder's lock and returns what gives it back. It waits as long as ctx allows: the holder may be making
// the cluster. The kernel gives the lock back when its holder dies.
func lock(ctx context.Context, dir string) (func(), error) {
	for {
		unlock, err := tryLock(dir)
		if !errors.Is(err, syscall.EWOULDBLOCK) {
			return unlock, err
		}
		if err := pause(ctx, 20*time.Millisecond); err != nil {
			return nil, fmt.Errorf("another program has been starting the database in %s all this time: %w", dir, err)
		}
	}
}

// tryLock is lock without waiting: the error wraps EWOULDBLOCK when another holds it.
func tryLock(dir string) (func(), error) {
	file, err := os.OpenFile(filepath.Join(dir, "lock"), os.O_CREATE|os.O_RDWR|syscall.O_NOFOLLOW, 0o600)
	if errors.Is(err, fs.ErrPermission) {
		return nil, fmt.Errorf("%s may not write to the database's folder %s: start the program as its owner, or name another folder: %w", userName(os.Geteuid()), dir, err)
	}
	if err != nil {
		return nil, fmt.Errorf("open the database's lock: %w", err)
	}
	if err := syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		return nil, errors.Join(fmt.Errorf("lock %s: %w", file.Name(), err), file.Close())
	}
	// Closing the only descriptor gives the lock back; nothing was written, so its result says nothing.
	return func() { _ = file.Close() }, nil
}

// pause waits for d, or returns why ctx ended.
func pause(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return context.Cause(ctx)
	case <-time.After(d):
		return nil
	}
}
