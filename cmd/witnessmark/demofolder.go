package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// demoFolder is a folder that holds the demonstration and nothing else. It is locked while a demonstration runs, because a
// second one would see the first half filled, or throw its data away.
type demoFolder struct {
	dir  string
	lock *os.File // the folder itself; closing it gives the lock back, and so does our death
}

// marker says in the folder that it is a demonstration's. It is written before anything else, so that one cut off half-way
// can be cleared, and holds another word once all of it is there.
const marker = "demonstration"

const (
	beingFilled = "being filled\n"
	filledWord  = "complete\n"
)

// openDemoFolder makes the folder, or takes one that a demonstration made; fresh empties it first. Any other folder is
// refused and left alone.
func openDemoFolder(dir string, fresh bool) (*demoFolder, error) {
	dir, err := filepath.Abs(dir)
	if err == nil {
		err = makeDemoFolder(dir)
	}
	if err != nil {
		return nil, fmt.Errorf("make the demonstration's folder: %w", err)
	}
	lock, err := os.Open(dir)
	if err != nil {
		return nil, fmt.Errorf("open the demonstration's folder: %w", err)
	}
	f := &demoFolder{dir: dir, lock: lock}
	if err := f.take(fresh); err != nil {
		return nil, errors.Join(err, f.close())
	}
	return f, nil
}

// makeDemoFolder makes the folder with its parents. Started by root it lets the account of the private PostgreSQL through,
// whatever the umask.
func makeDemoFolder(dir string) error {
	if _, err := os.Stat(dir); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := makeDemoFolder(filepath.Dir(dir)); err != nil {
		return err
	}
	mode := fs.FileMode(0o700)
	if os.Geteuid() == 0 {
		mode = 0o711
	}
	if err := os.Mkdir(dir, mode); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return os.Chmod(dir, mode)
}

func (f *demoFolder) take(fresh bool) error {
	err := syscall.Flock(int(f.lock.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return fmt.Errorf("the demonstration in %s is running already: use the one that runs, stop it first, or name another folder with --data", f.dir)
	} else if err != nil {
		return fmt.Errorf("lock the demonstration's folder: %w", err)
	}
	entries, err := os.ReadDir(f.dir)
	if err != nil {
		return fmt.Errorf("look into the demonstration's folder: %w", err)
	}
	state, err := os.ReadFile(f.marker())
	switch {
	case errors.Is(err, fs.ErrNotExist) && len(entries) == 0:
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s holds something else than the demonstration, so it is left alone: name another folder with --data, or empty it by hand if you mean it", f.dir)
	case err != nil:
		return fmt.Errorf("look for the demonstration: %w", err)
	case fresh:
		if err := f.clear(entries); err != nil {
			return fmt.Errorf("throw the demonstration's data away: %w", err)
		}
	case string(state) == filledWord:
		return nil
	default:
		return errors.New("the demonstration was cut off while it was being filled: start it again with --fresh (make demo ARGS=--fresh)")
	}
	return f.mark(beingFilled)
}

// clear removes everything but the marker: cut off half-way the folder still says whose it is.
func (f *demoFolder) clear(entries []fs.DirEntry) error {
	if err := f.mark(beingFilled); err != nil {
		return err
	}
	for _, e := range entries {
		if e.Name() == marker {
			continue
		}
		if err := os.RemoveAll(filepath.Join(f.dir, e.Name())); err != nil {
			return err
		}
	}
	return nil
}

func (f *demoFolder) marker() string { return filepath.Join(f.dir, marker) }

func (f *demoFolder) mark(word string) error {
	if err := os.WriteFile(f.marker(), []byte(word), 0o644); err != nil {
		return fmt.Errorf("mark the demonstration's folder: %w", err)
	}
	return nil
}

// filled says whether all of the demonstration is there.
func (f *demoFolder) filled() (bool, error) {
	state, err := os.ReadFile(f.marker())
	if err != nil {
		return false, fmt.Errorf("look for the demonstration: %w", err)
	}
	return string(state) == filledWord, nil
}

// complete says that all of it is there.
func (f *demoFolder) complete() error { return f.mark(filledWord) }

func (f *demoFolder) close() error { return f.lock.Close() }
