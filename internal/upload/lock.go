package upload

import (
	"context"
	"sync"

	"github.com/tus/tusd/v2/pkg/handler"
)

// locks lets one request at a time work on an upload. It holds for one process; the digest at the end tells what two
// processes would have spoilt.
type locks struct {
	mu   sync.Mutex
	held map[string]*lock
}

func newLocks() *locks { return &locks{held: map[string]*lock{}} }

// NewLock is a lock on the upload that is not held yet.
func (l *locks) NewLock(id string) (handler.Lock, error) {
	return &lock{all: l, id: id, free: make(chan struct{})}, nil
}

type lock struct {
	all     *locks
	id      string
	free    chan struct{} // closed when it is unlocked
	release func()        // asks the holder to end
}

// Lock asks whoever holds the upload to end, and waits for that.
func (k *lock) Lock(ctx context.Context, release func()) error {
	k.release = release
	for {
		k.all.mu.Lock()
		other := k.all.held[k.id]
		if other == nil {
			k.all.held[k.id] = k
		}
		k.all.mu.Unlock()
		if other == nil {
			return nil
		}
		other.release()
		select {
		case <-other.free:
		case <-ctx.Done():
			return handler.ErrFileLocked
		}
	}
}

// Unlock lets the next one in.
func (k *lock) Unlock() error {
	k.all.mu.Lock()
	delete(k.all.held, k.id)
	k.all.mu.Unlock()
	close(k.free)
	return nil
}
