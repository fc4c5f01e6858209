// Package localpg runs a PostgreSQL of the project's own out of one folder, so that a centre needs no database
// administrator: it finds the programs on the machine, makes the cluster once, starts it and stops it.
//
// The rules of its world:
//   - The server listens on a Unix socket alone, in a folder that only its own account may enter. That folder is the whole
//     of its access control: whoever reaches the socket is believed to be the role that they name.
//   - One server per folder. Whoever starts first owns the server and stops it; later starters attach, and lose it when the
//     owner stops.
//   - The server does not outlive its owner on Linux, however the owner ends: the kernel then asks it to shut down cleanly.
//     Elsewhere it stays, and the next Start attaches to it.
//   - A folder that holds data is never cleared, whatever is wrong with it. Only an unfinished "data.new" is, and no server
//     has ever run on that.
//   - PostgreSQL refuses to run as root: started by root it runs as the owner of the data, or else as postgres or nobody.
package localpg

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"sync"
	"syscall"
	"time"
)

// Superuser is the cluster's first role. It owns everything and is above row-level security: use it for migrations and
// for making the plain role that the application connects as, and for nothing else.
const Superuser = "witnessmark"

const (
	// startLimit bounds Start when the caller's context has no deadline. Replaying a long log after a power cut takes
	// minutes; an ordinary start takes a tenth of a second.
	startLimit = 5 * time.Minute
	// stopLimit is how long Stop waits for the clean stop, whose last checkpoint may be long on a slow disk.
	stopLimit = time.Minute
	// port only names the socket file; nothing listens on a network.
	port = "5432"
)

// Options says where and how to run the server. The zero value runs it in DefaultDir.
type Options struct {
	// Dir holds everything: data (the cluster), postgres.log and lock. Empty means DefaultDir(). It is made if missing.
	Dir string
	// BinDir is the folder of PostgreSQL's programs; empty means that Find looks for it.
	BinDir string
	// Fast gives up all durability for speed: a crash of the machine loses the cluster. For tests only.
	Fast bool
	// Log is told in one line each what takes time or may surprise; nil is silent. The server's own log is
	// Dir/postgres.log.
	Log io.Writer
}

// Server is a running PostgreSQL. Its methods may be called from several goroutines.
type Server struct {
	data   string
	socket string
	dir    string
	proc   *process // nil when attached

	once    sync.Once
	stopErr error
}

// Start returns a server that answers on opts.Dir, making the cluster first if there is none (about two seconds), and
// attaching if a server already runs there. ctx bounds the start alone: the server runs on until Stop. Without a deadline
// Start gives up after five minutes. ErrNoPostgres is wrapped when the programs are missing.
func Start(ctx context.Context, opts Options) (*Server, error) {
	if _, bounded := ctx.Deadline(); !bounded {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, startLimit)
		defer cancel()
	}
	c, err := newCluster(opts)
	if err != nil {
		return nil, err
	}
	// Held until the server answers, so that of two starters one makes and starts it and the other attaches.
	unlock, err := lock(ctx, c.dir)
	if err != nil {
		return nil, err
	}
	defer unlock()
	if err := c.prepare(ctx); err != nil {
		return nil, err
	}
	return c.up(ctx)
}

// Owned reports whether this process started the server, so that Stop stops it and its end ends the server.
func (s *Server) Owned() bool { return s.proc != nil }

// Ended is closed when an owned server has ended, be it by Stop or by itself. For an attached one it is nil, which never
// becomes ready.
func (s *Server) Ended() <-chan struct{} {
	if s.proc == nil {
		return nil
	}
	return s.proc.done
}

// SocketDir is the folder of the server's Unix socket.
func (s *Server) SocketDir() string { return s.socket }

// DataDir is the cluster's own folder.
func (s *Server) DataDir() string { return s.data }

// URL is the address of a database for a role, in the form that pgx, database/sql with pgx, and golang-migrate (after its
// scheme is put in place of postgres) take. It names the port, so that PGPORT in the environment cannot divert it.
func (s *Server) URL(role, database string) string {
	query := url.Values{"host": {s.socket}, "port": {port}, "sslmode": {"disable"}}
	u := url.URL{Scheme: "postgres", User: url.User(role), Path: "/" + database, RawQuery: query.Encode()}
	return u.String()
}

// Stop ends an owned server cleanly: open transactions are rolled back and clients disconnected. It leaves an attached
// server alone. Calling it again returns the first result.
func (s *Server) Stop() error {
	s.once.Do(func() {
		if s.proc != nil {
			s.stopErr = errors.Join(s.proc.stop(stopLimit), s.removeSocketDir())
		}
	})
	return s.stopErr
}

// removeSocketDir leaves the folder to another starter that holds the lock and is about to use it.
func (s *Server) removeSocketDir() error {
	unlock, err := tryLock(s.dir)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return nil
	}
	if err != nil {
		return err
	}
	defer unlock()
	if err := os.Remove(s.socket); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("remove the socket's folder: %w", err)
	}
	return nil
}

// stop asks for a fast shutdown and waits for it. A server that outstays the limit is told to drop everything, which its
// next start repairs from the log; that is reported.
func (p *process) stop(limit time.Duration) error {
	select {
	case <-p.done:
		return fmt.Errorf("PostgreSQL had already ended by itself (%v)", p.state())
	default:
	}
	if err := p.cmd.Process.Signal(syscall.SIGINT); err != nil && !errors.Is(err, os.ErrProcessDone) {
		return fmt.Errorf("ask PostgreSQL to stop: %w", err)
	}
	select {
	case <-p.done:
	case <-time.After(limit):
		quit := p.cmd.Process.Signal(syscall.SIGQUIT)
		<-p.done
		return errors.Join(fmt.Errorf("PostgreSQL was still stopping after %v and was cut off; its next start repairs that", limit), quit)
	}
	if p.err != nil {
		return fmt.Errorf("stop PostgreSQL: %w", p.err)
	}
	return nil
}
