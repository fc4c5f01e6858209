package upload

import (
	"context"
	"sync"

	"github.com/tus/tusd/v2/pkg/handler"
)

// locks lets one request at a time work on an upload. It holds for one process alone, and one process is to take uploads for a folder
// of evidence: the digest at the end tells what two would have spoilt before it, but a second one that still had the part open could
// write into what is kept of it after.
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
	all  *locks
	id   string
	free chan struct{} // closed when it is unlocked
	call *call         // whose lock it is
}

// Lock has whoever holds the upload read no further, and waits for their end. The protocol's own way of asking for that is
// not used: it races with the reading.
func (k *lock) Lock(ctx context.Context, _ func()) error {
	k.call = callOf(ctx)
	for {
		other := k.all.take(k)
		if other == nil {
			return nil
		}
		select {
		case <-other.free:
		case <-ctx.Done():
			return handler.ErrFileLocked
		}
	}
}

// take gives the upload to k, or ends the reading of whoever holds it and says who that is.
func (l *locks) take(k *lock) (other *lock) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if other = l.held[k.id]; other == nil {
		l.held[k.id] = k
		return nil
	}
	other.call.body.end() // with the lock still held: its connection is not another request's yet
	return other
}

// Unlock lets the next one in.
func (k *lock) Unlock() error {
	k.all.mu.Lock()
	delete(k.all.held, k.id)
	k.all.mu.Unlock()
	close(k.free)
	return nil
}
