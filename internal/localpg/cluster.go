package localpg

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// cluster is what a start works on.
type cluster struct {
	dir    string // the folder that holds everything, without links
	data   string // the cluster itself, without links
	socket string
	bin    string
	as     account
	fast   bool
	log    io.Writer
}

// newCluster settles where things are and makes the outer folder; nothing in it is touched.
func newCluster(opts Options) (*cluster, error) {
	dir := opts.Dir
	if dir == "" {
		dir = DefaultDir()
	}
	dir, err := makeDir(dir)
	if err != nil {
		return nil, err
	}
	c := &cluster{dir: dir, bin: opts.BinDir, fast: opts.Fast, log: opts.Log}
	if c.log == nil {
		c.log = io.Discard
	}
	return c, nil
}

// prepare brings everything about but the running server: account, programs, socket folder, cluster. The lock is held.
func (c *cluster) prepare(ctx context.Context) error {
	c.data = filepath.Join(c.dir, "data")
	if real, err := filepath.EvalSymlinks(c.data); err == nil {
		c.data = real // the data may have been moved to another disk and linked
	} else if !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("the data folder: %w", err)
	}
	var err error
	if c.as, err = serverAccount(c.data); err != nil {
		return err
	}
	major, err := dataMajor(c.data)
	if err != nil {
		return err
	}
	if err := c.findPrograms(ctx, major); err != nil {
		return err
	}
	c.socket = socketDir(c.data, c.as)
	if err := makeSocketDir(c.socket, c.as); err != nil {
		return err
	}
	if major == 0 {
		return c.create(ctx)
	}
	return nil
}

// dataMajor is the version that the data was made by; 0 when there is none yet. A folder that holds other things is
// refused.
func dataMajor(data string) (int, error) {
	text, err := os.ReadFile(filepath.Join(data, "PG_VERSION"))
	if err == nil {
		major, err := strconv.Atoi(strings.TrimSpace(string(text)))
		if err != nil {
			return 0, fmt.Errorf("%s holds data of PostgreSQL %q, which is too old to run or no version at all; nothing in it was changed", data, strings.TrimSpace(string(text)))
		}
		return major, nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return 0, fmt.Errorf("read the version of the data: %w", err)
	}
	names, err := os.ReadDir(data)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return 0, fmt.Errorf("look into the data folder: %w", err)
	}
	if len(names) > 0 {
		return 0, fmt.Errorf("%s holds files but no database (there is no PG_VERSION): name another folder, or bring the data back from a copy; nothing in it was changed", data)
	}
	return 0, nil
}

// findPrograms settles bin: for existing data the same major version, which need not be the newest on the machine.
func (c *cluster) findPrograms(ctx context.Context, major int) error {
	dirs, err := candidates(c.bin, "/", ofServer)
	if err != nil {
		return err
	}
	bin, seen, err := choose(dirs, major, func(dir string) (int, error) { return majorOf(ctx, filepath.Join(dir, ofServer[0]), c.as) })
	if errors.Is(err, ErrNoPostgres) && major != 0 && len(seen) > 0 {
		return fmt.Errorf("the data in %s was made by PostgreSQL %d, and this machine has %s: install PostgreSQL %[2]d, or move the data with pg_upgrade; nothing in it was changed", c.data, major, versions(seen))
	}
	c.bin = bin
	return err
}

func versions(majors []int) string {
	var text []string
	for _, m := range majors {
		text = append(text, strconv.Itoa(m))
	}
	return strings.Join(text, " and ")
}

// clearUnfinished removes what a making that was cut off has left. A child of the killed initdb may still write into the
// folder for a moment, so a folder that fills again is cleared again.
func clearUnfinished(ctx context.Context, dir string) error {
	for giveUp := time.Now().Add(retryFor); ; {
		err := os.RemoveAll(dir)
		if !errors.Is(err, syscall.ENOTEMPTY) || time.Now().After(giveUp) {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// create makes a new cluster beside its place and moves it there when it is whole, so that one cut off half-way never
// passes for a cluster.
func (c *cluster) create(ctx context.Context) error {
	fmt.Fprintf(c.log, "Making a new database in %s.\n", c.data)
	unfinished := filepath.Join(c.dir, "data.new")
	if err := clearUnfinished(ctx, unfinished); err != nil {
		return fmt.Errorf("clear a database that was never finished: %w", err)
	}
	if err := os.Mkdir(unfinished, 0o700); err != nil {
		return fmt.Errorf("make a new database: %w", err)
	}
	if err := c.as.own(unfinished); err != nil {
		return fmt.Errorf("make a new database: %w", err)
	}
	if err := c.initdb(ctx, unfinished); err != nil {
		return err
	}
	// Only a missing or empty folder can be replaced by this, which the system itself ensures.
	if err := os.Rename(unfinished, c.data); err != nil {
		return fmt.Errorf("put the new database in its place: %w", err)
	}
	if c.fast {
		return nil
	}
	return syncDir(filepath.Dir(c.data))
}

func (c *cluster) initdb(ctx context.Context, into string) error {
	args := []string{"-D", into, "-U", Superuser, "-E", "UTF8", "--locale=" + clusterLocale,
		// Trust is right only because the socket's folder is closed to all others.
		"--auth-local=trust", "--auth-host=reject", "--data-checksums", "--no-instructions"}
	if c.fast {
		args = append(args, "--no-sync")
	}
	var out bytes.Buffer
	cmd := exec.CommandContext(ctx, filepath.Join(c.bin, "initdb"), args...)
	cmd.Dir, cmd.Env = "/", environment()
	cmd.Stdout, cmd.Stderr = &out, &out
	p, err := spawn(cmd, c.as, syscall.SIGKILL)
	if err == nil {
		<-p.done
		err = p.err
	}
	if ctx.Err() != nil {
		return fmt.Errorf("make a new database: %w", context.Cause(ctx))
	}
	if err == nil {
		return nil
	}
	if blocked := c.as.blockedBy(into); blocked != "" {
		return c.as.refused(fmt.Errorf("make a new database: %w", fs.ErrPermission), into)
	}
	return fmt.Errorf("PostgreSQL could not make a new database: %w\n%s", err, strings.TrimSpace(out.String()))
}

// syncDir makes a rename in dir last through a power cut.
func syncDir(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return fmt.Errorf("sync %s: %w", dir, err)
	}
	return errors.Join(f.Sync(), f.Close())
}
