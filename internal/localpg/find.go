package localpg

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"syscall"
)

// EnvBinDir names the environment variable that holds the folder of PostgreSQL's programs.
const EnvBinDir = "WITNESSMARK_PGBIN"

// minMajor is the first version whose views can obey row-level security (security_invoker).
// Source: PostgreSQL 15 release notes, E.1.3.1 "Allow table accesses done by a view to optionally be controlled by
// privileges of the view's caller".
const minMajor = 15

// ErrNoPostgres is what Find and Start return when this machine has no usable PostgreSQL.
var ErrNoPostgres = errors.New("this machine has no PostgreSQL 15 or later: install it (Debian and Ubuntu: apt install postgresql; Fedora: dnf install postgresql-server; macOS: brew install postgresql@17), or set DATABASE_URL to one that runs elsewhere")

// ErrNoClient is what FindClient returns when this machine has no usable programs for backups.
var ErrNoClient = errors.New("this machine has no pg_dump and pg_restore of PostgreSQL 15 or later, which a backup takes: install them (Debian and Ubuntu: apt install postgresql-client; Fedora: dnf install postgresql; macOS: brew install libpq)")

// Programs by what they are for: a server's, and a client's that backs one up.
var (
	ofServer = []string{"postgres", "initdb"}
	ofClient = []string{"pg_dump", "pg_restore"}
)

// FindClient returns the folder of the programs that back a database up and bring it back. Where the database is elsewhere, a machine
// may have no others. It looks where Find does.
func FindClient() (string, error) {
	bin, err := find("", ofClient)
	if errors.Is(err, ErrNoPostgres) {
		return "", ErrNoClient
	}
	return bin, err
}

// Find returns the folder of PostgreSQL's programs: override if given, else the folder that WITNESSMARK_PGBIN names, else
// the one that postgres on PATH leads to, else the highest version in the places where systems install it.
func Find(override string) (string, error) { return find(override, ofServer) }

func find(override string, programs []string) (string, error) {
	dirs, err := candidates(override, "/", programs)
	if err != nil {
		return "", err
	}
	me := account{uid: os.Geteuid(), gid: os.Getegid()}
	bin, _, err := choose(dirs, 0, func(dir string) (int, error) {
		return majorOf(context.Background(), filepath.Join(dir, programs[0]), me)
	})
	return bin, err
}

// places lists where systems put the programs: Debian and its kin, the PostgreSQL project's RPMs, Alpine, Homebrew on both
// processors, and the macOS application bundle.
var places = [...]string{
	"usr/lib/postgresql/*/bin", "usr/pgsql-*/bin", "usr/libexec/postgresql*",
	"opt/homebrew/opt/postgresql*/bin", "usr/local/opt/postgresql*/bin",
	"Applications/Postgres.app/Contents/Versions/*/bin",
}

// candidates lists the folders under root that hold the programs, best first. Naming a folder settles it: if that one
// will not do, another version must not slip in unasked.
func candidates(override, root string, programs []string) ([]string, error) {
	named := cmp.Or(override, os.Getenv(EnvBinDir))
	if named != "" {
		dir, err := filepath.Abs(named)
		if err != nil {
			return nil, fmt.Errorf("the folder of PostgreSQL's programs: %w", err)
		}
		if !hasPrograms(dir, programs) {
			return nil, fmt.Errorf("the folder %s, named as that of PostgreSQL's programs, does not hold %s: name the right one, or set DATABASE_URL", named, strings.Join(programs, " and "))
		}
		return []string{dir}, nil
	}
	var onPath, installed []string
	if path, err := exec.LookPath(programs[0]); err == nil {
		// initdb looks for postgres beside itself, so follow links such as those in /usr/local/bin.
		if path, err = filepath.EvalSymlinks(path); err == nil && hasPrograms(filepath.Dir(path), programs) {
			onPath = append(onPath, filepath.Dir(path))
		}
	}
	for _, place := range places {
		found, err := filepath.Glob(filepath.Join(root, place))
		if err != nil {
			return nil, fmt.Errorf("look for PostgreSQL in %s: %w", place, err)
		}
		installed = append(installed, slices.DeleteFunc(found, func(dir string) bool { return !hasPrograms(dir, programs) })...)
	}
	slices.SortStableFunc(installed, func(a, b string) int { return cmp.Compare(numberIn(b), numberIn(a)) })
	return append(onPath, installed...), nil
}

func hasPrograms(dir string, programs []string) bool {
	for _, name := range programs {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil || info.IsDir() || info.Mode()&0o111 == 0 {
			return false
		}
	}
	return true
}

var digits = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)

// numberIn is the version in a path such as /usr/lib/postgresql/15/bin; 0 when there is none. It only orders: majorOf asks
// the program.
func numberIn(path string) float64 {
	found := digits.FindAllString(path, -1)
	if len(found) == 0 {
		return 0
	}
	n, err := strconv.ParseFloat(found[len(found)-1], 64)
	if err != nil {
		return 0
	}
	return n
}

// choose returns the first folder whose programs are of the wanted major version, or for want 0 the first that is new
// enough. All versions seen are returned for the message.
func choose(dirs []string, want int, major func(string) (int, error)) (string, []int, error) {
	var seen []int
	var failed error
	for _, dir := range dirs {
		got, err := major(dir)
		if err != nil {
			failed = errors.Join(failed, err)
			continue
		}
		if got == want || want == 0 && got >= minMajor {
			return dir, seen, nil
		}
		seen = append(seen, got)
	}
	if failed != nil && len(seen) == 0 {
		return "", seen, fmt.Errorf("PostgreSQL is on this machine but does not run: %w", failed)
	}
	return "", seen, ErrNoPostgres
}

var versionLine = regexp.MustCompile(`\(PostgreSQL\) ([0-9]+)`)

// majorOf asks a program for its major version, as the account that will run it, which proves that it may.
func majorOf(ctx context.Context, program string, as account) (int, error) {
	cmd := exec.CommandContext(ctx, program, "--version")
	cmd.Dir, cmd.Env = "/", environment()
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: as.credential}
	out, err := cmd.Output()
	if err != nil {
		return 0, as.refused(fmt.Errorf("ask %s for its version: %w", cmd.Path, err), filepath.Dir(program))
	}
	match := versionLine.FindSubmatch(out)
	if match == nil {
		return 0, fmt.Errorf("%s says of itself only %q", cmd.Path, strings.TrimSpace(string(out)))
	}
	return strconv.Atoi(string(match[1]))
}
