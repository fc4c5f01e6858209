package app

import (
	"context"
	"sync"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
)

// lookEvery is how often a watched board is asked whether something changed (our own value: soon enough for a workshop).
const lookEvery = time.Second

// watches are the bench boards that somebody watches just now. Each is asked after once for all of its watchers, and not at
// all while it has none. Other servers may change what it shows, so that asking the database is the only way to know.
type watches struct {
	mutex  sync.Mutex
	boards map[board]*watch
}

// board names a cohort's bench board.
type board struct {
	centre int64
	cohort uuid.UUID
}

// watch is one board with those who are told.
type watch struct {
	told map[chan struct{}]bool
	end  context.CancelFunc
}

func newWatches() *watches { return &watches{boards: map[board]*watch{}} }

// WatchBoard gives a channel that has something in it whenever a cohort's bench board may show something new, for as long as
// ctx lasts. The first comes at once: what changed since the watcher's page was drawn is not known.
func (a *App) WatchBoard(ctx context.Context, c account.Caller, cohort uuid.UUID) (<-chan struct{}, error) {
	if _, err := a.Cohort(ctx, c, cohort); err != nil {
		return nil, err
	}
	at, told := board{c.Centre, cohort}, make(chan struct{}, 1)
	told <- struct{}{}
	a.watches.join(at, told, func(ctx context.Context) (string, error) { return a.db.BoardRevision(ctx, at.centre, at.cohort) })
	context.AfterFunc(ctx, func() { a.watches.leave(at, told) })
	return told, nil
}

// join adds a watcher, and begins to look where it is the first.
func (w *watches) join(at board, told chan struct{}, revision func(context.Context) (string, error)) {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	if b, ok := w.boards[at]; ok {
		b.told[told] = true
		return
	}
	ctx, end := context.WithCancel(context.Background()) // it outlives the request that began it
	w.boards[at] = &watch{told: map[chan struct{}]bool{told: true}, end: end}
	go w.look(ctx, at, revision)
}

// leave takes a watcher away; nobody looks for the last one any more.
func (w *watches) leave(at board, told chan struct{}) {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	b := w.boards[at]
	delete(b.told, told)
	if len(b.told) == 0 {
		b.end()
		delete(w.boards, at)
	}
}

// look asks for the board's revision every so often and tells the watchers of a new one, the first included: they look at
// the board after it. A database that does not answer is asked again the next time.
func (w *watches) look(ctx context.Context, at board, revision func(context.Context) (string, error)) {
	every := time.NewTicker(lookEvery)
	defer every.Stop()
	last := ""
	for {
		if now, err := revision(ctx); err == nil && now != last {
			last = now
			w.tell(at)
		}
		select {
		case <-ctx.Done():
			return
		case <-every.C:
		}
	}
}

// tell leaves word for every watcher of a board; one that has not looked since the last word has it still.
func (w *watches) tell(at board) {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	if b, ok := w.boards[at]; ok {
		for told := range b.told {
			select {
			case told <- struct{}{}:
			default:
			}
		}
	}
}
