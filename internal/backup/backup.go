// Package backup writes an installation into a folder and brings it back: the database by PostgreSQL's own pg_dump and
// pg_restore, evidence file by file, keys where asked, and a list of digests that sha256sum -c takes.
//
// The database is dumped first, in one snapshot, and evidence is copied after: bytes are on the disk before a row names them, so
// whatever the dump names is copied. A backup has its name only when it is whole. It is restored into nothing: a database with
// tables is refused, and so is a folder with files, but for the list of what was erased.
package backup

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// Place is where an installation lies.
type Place struct {
	Programs string // folder of pg_dump and pg_restore
	Database string // address as a role that row-level security does not hold
	Evidence string // folder
	Keys     string // folder; "" leaves keys out
	List     string // file of lines in Evidence, newer than any backup: it may be there before a restore, which adds the backup's lines
}

// The names within a backup.
const (
	databaseFile = "database.dump"
	evidenceDir  = "evidence"
	keysDir      = "keys"
	sumsFile     = "SHA256SUMS"
)

// incoming is the folder within evidence of what is being received just now, which nothing names yet.
const incoming = "incoming"

// Write makes a backup in dir, which must not be there yet.
func Write(ctx context.Context, from Place, dir string) (err error) {
	if _, err := os.Lstat(dir); !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s is there already: a backup goes into a folder of its own", dir)
	}
	part := dir + ".part"
	if err := os.RemoveAll(part); err != nil {
		return fmt.Errorf("clear what is left of a backup that was cut off: %w", err)
	}
	if err := os.MkdirAll(part, 0o700); err != nil {
		return fmt.Errorf("make the backup's folder: %w", err)
	}
	// What was signed stands beside the keys: read after the database, it could name a signature that the database is too old for.
	if from.Keys != "" {
		if err := copyTree(from.Keys, filepath.Join(part, keysDir)); err != nil {
			return fmt.Errorf("copy keys: %w", err)
		}
	}
	if err := from.run(ctx, "pg_dump", "--format=custom", "--file="+filepath.Join(part, databaseFile)); err != nil {
		return err
	}
	if err := copyTree(from.Evidence, filepath.Join(part, evidenceDir)); err != nil {
		return fmt.Errorf("copy evidence: %w", err)
	}
	if err := writeSums(part); err != nil {
		return fmt.Errorf("list the backup's digests: %w", err)
	}
	if err := os.Rename(part, dir); err != nil {
		return fmt.Errorf("name the backup: %w", err)
	}
	return syncFolder(filepath.Dir(dir))
}

// Check reads every file of a backup again and holds it against the list.
func Check(dir string) error {
	want, err := readSums(dir)
	if err != nil {
		return err
	}
	for name, digest := range want {
		got, err := digestOf(filepath.Join(dir, filepath.FromSlash(name)))
		if err != nil {
			return fmt.Errorf("check the backup: %w", err)
		}
		if got != digest {
			return fmt.Errorf("the backup is damaged: %s is not what was written", name)
		}
	}
	return nil
}

// Restore brings a backup back, after checking it. The roles that own and use the tables must be there.
func Restore(ctx context.Context, dir string, to Place) error {
	if err := empty(to.Evidence, to.List); err != nil {
		return err
	}
	newer, err := to.list()
	if err != nil {
		return err
	}
	if err := to.run(ctx, "pg_restore", "--exit-on-error", "--single-transaction", filepath.Join(dir, databaseFile)); err != nil {
		return err
	}
	if err := copyTree(filepath.Join(dir, evidenceDir), to.Evidence); err != nil {
		return fmt.Errorf("bring evidence back: %w", err)
	}
	if newer != nil {
		older, err := Place{Evidence: filepath.Join(dir, evidenceDir), List: to.List}.list()
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(to.Evidence, to.List), slices.Concat(older, []byte("\n"), newer), 0o640); err != nil {
			return fmt.Errorf("add to %s: %w", to.List, err)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, keysDir)); err == nil && to.Keys != "" {
		// A key or state that is there stays: what was signed last must not be forgotten by an older backup.
		if err := copyTree(filepath.Join(dir, keysDir), to.Keys); err != nil {
			return fmt.Errorf("bring keys back: %w", err)
		}
	}
	return nil
}

// list reads the list that lies in the evidence; nil where there is none.
func (p Place) list() ([]byte, error) {
	if p.List == "" {
		return nil, nil
	}
	text, err := os.ReadFile(filepath.Join(p.Evidence, p.List))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	} else if err != nil {
		return nil, fmt.Errorf("read %s: %w", p.List, err)
	}
	return text, nil
}

// empty refuses a folder in which files are, but for one at its top.
func empty(dir, but string) error {
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && path != filepath.Join(dir, but) {
			err = fmt.Errorf("%s has files in it: a backup is restored into nothing", dir)
		}
		return err
	})
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// run runs one of PostgreSQL's programs on the database. A password goes by the environment, where no other account sees it.
func (p Place) run(ctx context.Context, program string, args ...string) error {
	u, err := url.Parse(p.Database)
	if err != nil {
		return fmt.Errorf("read the database address: %w", err)
	}
	env := os.Environ()
	if secret, ok := u.User.Password(); ok {
		env = append(env, "PGPASSWORD="+secret)
		u.User = url.User(u.User.Username())
	}
	cmd := exec.CommandContext(ctx, filepath.Join(p.Programs, program), append([]string{"--dbname=" + u.String()}, args...)...)
	var said strings.Builder
	cmd.Env, cmd.Stderr = env, &said
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("%s: %w\n%s", program, err, strings.TrimSpace(said.String()))
	}
	return nil
}

// copyTree copies files with their modes, each synced. What is at the other end stays as it is.
func copyTree(from, to string) error {
	err := filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) && path != from {
			return nil // taken away meanwhile
		}
		if err != nil {
			return err
		}
		name, err := filepath.Rel(from, path)
		if err != nil {
			return err
		}
		info, err := d.Info()
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil
		case err != nil:
			return err
		case d.IsDir() && name == incoming:
			return filepath.SkipDir
		case d.IsDir():
			return os.MkdirAll(filepath.Join(to, name), info.Mode().Perm()|0o700)
		case !info.Mode().IsRegular():
			return fmt.Errorf("%s is no ordinary file", path)
		}
		return copyFile(path, filepath.Join(to, name), info.Mode().Perm())
	})
	if errors.Is(err, fs.ErrNotExist) { // nothing was ever put there
		return os.MkdirAll(to, 0o700)
	}
	return err
}

func copyFile(from, to string, mode fs.FileMode) (err error) {
	in, err := os.Open(from)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	defer in.Close() // only read
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, mode)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

// writeSums lists the digest of every file below dir.
func writeSums(dir string) error {
	out, err := os.OpenFile(filepath.Join(dir, sumsFile), os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(out)
	err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || d.Name() == sumsFile {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		digest, err := digestOf(path)
		if err == nil {
			_, err = fmt.Fprintf(w, "%s  %s\n", digest, filepath.ToSlash(name))
		}
		return err
	})
	return errors.Join(err, w.Flush(), out.Sync(), out.Close(), syncFolder(dir))
}

// readSums reads the list; names that lead out of the folder are refused.
func readSums(dir string) (map[string]string, error) {
	f, err := os.Open(filepath.Join(dir, sumsFile))
	if err != nil {
		return nil, fmt.Errorf("%s is no whole backup: %w", dir, err)
	}
	defer f.Close() // only read
	sums := map[string]string{}
	for lines := bufio.NewScanner(f); lines.Scan(); {
		digest, name, ok := strings.Cut(lines.Text(), "  ")
		if !ok || !filepath.IsLocal(filepath.FromSlash(name)) {
			return nil, fmt.Errorf("the list of the backup %s is damaged at %q", dir, lines.Text())
		}
		sums[name] = digest
	}
	if sums[databaseFile] == "" {
		return nil, fmt.Errorf("%s is no whole backup: its list has no database", dir)
	}
	return sums, nil
}

func digestOf(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	h := sha256.New()
	_, err = io.Copy(h, f)
	return hex.EncodeToString(h.Sum(nil)), errors.Join(err, f.Close())
}

func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
