package upload

import (
	"io"
	"net/http"
	"sync"
	"time"
)

// body is what a request brings. It can be ended from outside: what came until then is all of it.
type body struct {
	io.ReadCloser
	conn *http.ResponseController

	mu    sync.Mutex
	ended bool // from outside
	done  bool // read to its end, or answered
}

func (b *body) Read(p []byte) (int, error) {
	if b.isEnded() {
		return 0, io.EOF
	}
	n, err := b.ReadCloser.Read(p)
	if err != nil && b.close() {
		err = io.EOF
	}
	return n, err
}

func (b *body) isEnded() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.ended
}

// end ends the body, and wakes up whoever waits for more of it. One that needs no more is left alone.
func (b *body) end() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if !b.done {
		b.ended = true
		_ = b.conn.SetReadDeadline(time.Now()) // a connection that takes no deadline is gone
	}
}

// close says that no more of the body is needed, and whether it was ended from outside before: then its connection is of no
// further use.
func (b *body) close() (ended bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.done = true
	return b.ended
}
