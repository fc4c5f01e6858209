package localpg

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

const (
	// poll is how often we look whether the server has got further.
	poll = 10 * time.Millisecond
	// retryFor covers what a killed server leaves behind for a moment: its children hold its shared memory until they have
	// noticed, which takes milliseconds, or some seconds on a machine that is very busy.
	retryFor = 30 * time.Second
	// deafFor is how long a server that calls itself ready may leave its socket unanswered.
	deafFor = 10 * time.Second
	// logLimit, in bytes, is where postgres.log starts afresh at the next start.
	logLimit = 4 << 20
)

// errLeftovers means that a start failed on something that goes away by itself.
var errLeftovers = errors.New("a process of the server before it still has the data open")

// up attaches to the server that runs on the data, or starts one. The lock is held.
func (c *cluster) up(ctx context.Context) (*Server, error) {
	var giveUp, deaf time.Time
	for {
		rec, err := readRecord(c.data)
		if err != nil {
			return nil, err
		}
		if rec.pid != 0 && alive(rec.pid) && runsOn(rec.pid, c.data, c.as) {
			switch {
			case rec.status != "ready": // starting, or stopping: look again until it is ready or gone
			case rec.socket != c.socket:
				return nil, fmt.Errorf("PostgreSQL already runs on %s, but something else started it (process %d): stop that first", c.data, rec.pid)
			case answers(c.socket):
				return &Server{data: c.data, socket: c.socket, dir: c.dir}, nil
			case deaf.IsZero():
				deaf = time.Now().Add(deafFor)
			case time.Now().After(deaf):
				return nil, fmt.Errorf("PostgreSQL runs on %s (process %d) but does not answer in %s: stop that process and start again", c.data, rec.pid, c.socket)
			}
			if err := pause(ctx, poll); err != nil {
				return nil, fmt.Errorf("wait for the PostgreSQL that runs on %s (process %d): %w", c.data, rec.pid, err)
			}
			continue
		}
		s, err := c.launch(ctx, rec.pid)
		if !errors.Is(err, errLeftovers) {
			return s, err
		}
		if giveUp.IsZero() {
			giveUp = time.Now().Add(retryFor)
		}
		if time.Now().After(giveUp) {
			return nil, err
		}
		if err := pause(ctx, 10*poll); err != nil {
			return nil, fmt.Errorf("start PostgreSQL: %w", err)
		}
	}
}

// launch starts the server and waits until it answers. stale is the process that the data's record names, known to be
// another's by now, or 0.
func (c *cluster) launch(ctx context.Context, stale int) (*Server, error) {
	log, err := c.openLog()
	if err != nil {
		return nil, err
	}
	defer log.Close() // the server has its own descriptor; we wrote nothing
	from, err := log.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, fmt.Errorf("open PostgreSQL's log: %w", err)
	}
	cmd := exec.Command(filepath.Join(c.bin, "postgres"), c.arguments()...)
	cmd.Dir, cmd.Env = "/", environment()
	if stale != 0 {
		// A living process that merely got the old server's number would make PostgreSQL refuse. This variable, meant for
		// pg_ctl's own shell, makes it overlook that number, and unlike removing the record it keeps the check that no
		// child of the old server still has the data open. Source: CreateLockFile in src/backend/utils/init/miscinit.c.
		cmd.Env = environment("PG_GRANDPARENT_PID=" + strconv.Itoa(stale))
	}
	cmd.Stdout, cmd.Stderr = log, log
	p, err := spawn(cmd, c.as, syscall.SIGINT)
	if err != nil {
		return nil, c.as.refused(fmt.Errorf("start PostgreSQL: %w", err), c.bin)
	}
	for !c.ready(p.cmd.Process.Pid) {
		select {
		case <-p.done:
			return nil, c.explain(log, from, p.state())
		case <-ctx.Done():
			return nil, errors.Join(fmt.Errorf("start PostgreSQL: %w", context.Cause(ctx)), p.stop(stopLimit))
		case <-time.After(poll):
		}
	}
	return &Server{data: c.data, socket: c.socket, dir: c.dir, proc: p}, nil
}

func (c *cluster) arguments() []string {
	args := []string{"-D", c.data, "-p", port, "-k", c.socket,
		"-c", "listen_addresses=", "-c", "unix_socket_permissions=0700",
		"-c", "logging_collector=off", "-c", "log_destination=stderr", "-c", "log_line_prefix=%m [%p] "}
	if c.fast {
		args = append(args, "-c", "fsync=off", "-c", "synchronous_commit=off", "-c", "full_page_writes=off", "-c", "max_wal_size=96MB")
	}
	return args
}

func (c *cluster) openLog() (*os.File, error) {
	path := filepath.Join(c.dir, "postgres.log")
	flags := os.O_CREATE | os.O_RDWR | os.O_APPEND | syscall.O_NOFOLLOW
	if info, err := os.Lstat(path); err == nil && info.Size() > logLimit {
		flags |= os.O_TRUNC
	}
	log, err := os.OpenFile(path, flags, 0o600)
	if err != nil {
		return nil, fmt.Errorf("open PostgreSQL's log: %w", err)
	}
	return log, nil
}

// ready reports whether the server pid says that it is, and answers.
func (c *cluster) ready(pid int) bool {
	rec, err := readRecord(c.data)
	return err == nil && rec.pid == pid && rec.status == "ready" && answers(c.socket)
}

// explain turns the server's last words, written since from, into why it did not start.
func (c *cluster) explain(log *os.File, from int64, ended *os.ProcessState) error {
	text, err := io.ReadAll(io.NewSectionReader(log, from, logLimit))
	if err != nil {
		return fmt.Errorf("PostgreSQL did not start (%v), and its log cannot be read: %w", ended, err)
	}
	why := lastWords(string(text), ended.Pid())
	if why == "" {
		why = ended.String()
	}
	// The server's words are English because its environment says so.
	if strings.Contains(why, "pre-existing shared memory block") || strings.Contains(why, "lock file") {
		return fmt.Errorf("PostgreSQL did not start, since %w: %s; its log is %s", errLeftovers, why, log.Name())
	}
	return fmt.Errorf("PostgreSQL did not start: %s; its log is %s", why, log.Name())
}

// lastWords is the last fatal message of the server pid, or else of one of its children, or else the last line. What the
// children of the server before it write meanwhile to the same log comes after all that is the server's own.
func lastWords(log string, pid int) string {
	var own, other, last string
	for line := range strings.Lines(log) {
		line = strings.TrimSpace(line)
		_, fatal, ok := strings.Cut(line, "FATAL:  ")
		if !ok {
			_, fatal, ok = strings.Cut(line, "PANIC:  ")
		}
		switch {
		case ok && strings.Contains(line, "["+strconv.Itoa(pid)+"]"):
			own = fatal
		case ok:
			other = fatal
		case line != "":
			last = line
		}
	}
	return cmp.Or(own, other, last)
}
