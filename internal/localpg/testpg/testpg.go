// Package testpg gives tests a real PostgreSQL: the one that TEST_DATABASE_URL or DATABASE_URL names, or else a private one
// for the running test program, started at its first use in about a second and gone when the program ends.
//
// A package whose tests use it has this TestMain:
//
//	func TestMain(m *testing.M) { testpg.Main(m) }
//
// Without it the server still ends with the program on Linux, and its folder is cleared by the next run.
package testpg

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/peterldowns/pgtestdb"

	"witnessmark/internal/localpg"
)

// prefix begins the names of the folders of private clusters.
const prefix = "witnessmark-test-"

// Each test's database is a thousand small files, which take a fifth of the processor where files lie in memory. A container may
// have little room there.
const (
	inMemory  = "/dev/shm" // Linux's
	roomAsked = 1 << 30    // bytes
)

// place is the folder for private clusters: the one in memory where it has room, or the system's for temporary files.
func place() string {
	var fs syscall.Statfs_t
	if err := syscall.Statfs(inMemory, &fs); err == nil && uint64(fs.Bavail)*uint64(fs.Bsize) >= roomAsked {
		return inMemory
	}
	return os.TempDir()
}

// shared is the cluster of this test program.
type shared struct {
	once   sync.Once
	url    string
	err    error
	server *localpg.Server // nil when the environment names one
	dir    string
	inUse  *os.File // locked as long as this program lives
}

var cluster shared

// Main runs the tests, stops the private server if one was started, and ends the program. It never returns.
func Main(m *testing.M) {
	code := m.Run()
	if err := cluster.stop(); err != nil {
		fmt.Fprintln(os.Stderr, "testpg:", err)
		code = max(code, 1)
	}
	os.Exit(code)
}

// URL is the address of the database postgres as a superuser, whom row-level security does not bind. All tests of the
// program share the cluster: make a database of your own in it, with pgtestdb and Config. The test fails when there is no
// PostgreSQL; it is never skipped.
func URL(tb testing.TB) string {
	tb.Helper()
	cluster.once.Do(func() { cluster.err = cluster.start(context.Background()) })
	if cluster.err != nil {
		tb.Fatalf("a PostgreSQL for the tests: %v", cluster.err)
	}
	return cluster.url
}

// Config is URL in pgtestdb's form, for the database/sql driver "pgx" (import github.com/jackc/pgx/v5/stdlib).
func Config(tb testing.TB) pgtestdb.Config {
	tb.Helper()
	c, err := config(URL(tb))
	if err != nil {
		tb.Fatalf("the tests' PostgreSQL for pgtestdb: %v", err)
	}
	return c
}

// config takes an address apart. pgtestdb pastes the host between @ and the port, where a socket's path breaks the
// address: a host among the options stays there instead.
func config(address string) (pgtestdb.Config, error) {
	u, err := url.Parse(address)
	if err != nil {
		return pgtestdb.Config{}, fmt.Errorf("read the address of the tests' PostgreSQL: %w", err)
	}
	password, _ := u.User.Password()
	return pgtestdb.Config{
		DriverName: "pgx",
		Host:       u.Hostname(),
		Port:       u.Port(),
		User:       u.User.Username(),
		Password:   url.QueryEscape(password),
		Database:   strings.TrimPrefix(u.Path, "/"),
		Options:    u.RawQuery,
	}, nil
}

func (s *shared) start(ctx context.Context) error {
	if s.url = cmp.Or(os.Getenv("TEST_DATABASE_URL"), os.Getenv("DATABASE_URL")); s.url != "" {
		return nil
	}
	at := place()
	if err := sweep(at); err != nil {
		return err
	}
	var err error
	if s.dir, err = os.MkdirTemp(at, prefix); err != nil {
		return err
	}
	if err := os.Chmod(s.dir, 0o711); err != nil { // started by root, the server runs as another account
		return err
	}
	if s.inUse, err = hold(s.dir); err != nil {
		return err
	}
	if s.server, err = localpg.Start(ctx, localpg.Options{Dir: filepath.Join(s.dir, "pg"), Fast: true}); err != nil {
		return err
	}
	s.url = s.server.URL(localpg.Superuser, "postgres")
	return nil
}

func (s *shared) stop() error {
	if s.dir == "" {
		return nil
	}
	var stopped error
	if s.server != nil {
		stopped = s.server.Stop()
	}
	return errors.Join(stopped, os.RemoveAll(s.dir))
}

// sweep removes the folders of test programs that were killed: nobody holds their locks any more.
func sweep(temp string) error {
	dirs, err := filepath.Glob(filepath.Join(temp, prefix+"*"))
	if err != nil {
		return fmt.Errorf("look for left test clusters: %w", err)
	}
	for _, dir := range dirs {
		// One that is not ours, in use, or being made this moment (not locked yet) stays.
		if info, err := os.Stat(filepath.Join(dir, "in-use")); err != nil || time.Since(info.ModTime()) < time.Minute {
			continue
		}
		file, err := hold(dir)
		if err != nil {
			continue
		}
		if err := errors.Join(os.RemoveAll(dir), file.Close()); err != nil {
			return fmt.Errorf("clear a left test cluster: %w", err)
		}
	}
	return nil
}

// hold locks the folder until the file is closed or the program ends.
func hold(dir string) (*os.File, error) {
	file, err := os.OpenFile(filepath.Join(dir, "in-use"), os.O_CREATE|os.O_RDWR|syscall.O_NOFOLLOW, 0o600)
	if err != nil {
		return nil, fmt.Errorf("mark the test cluster as in use: %w", err)
	}
	if err := syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		return nil, errors.Join(fmt.Errorf("mark the test cluster as in use: %w", err), file.Close())
	}
	return file, nil
}
