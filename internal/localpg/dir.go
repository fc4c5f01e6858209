package localpg

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
)

// DefaultDir is the folder that an empty Options.Dir means. For root it is /var/lib/witnessmark and never in root's home,
// which the server's account may not enter; for others it is in the place for a program's own state.
func DefaultDir() string {
	uid := os.Geteuid()
	inTemp := filepath.Join(os.TempDir(), "witnessmark-"+strconv.Itoa(uid))
	if uid == 0 {
		if info, err := os.Stat("/var/lib"); err != nil || !info.IsDir() {
			return inTemp
		}
		return "/var/lib/witnessmark"
	}
	if state := os.Getenv("XDG_STATE_HOME"); filepath.IsAbs(state) { // the XDG specification ignores relative ones
		return filepath.Join(state, "witnessmark")
	}
	home, err := os.UserHomeDir()
	switch {
	case err != nil || !filepath.IsAbs(home):
		return inTemp
	case runtime.GOOS == "darwin":
		return filepath.Join(home, "Library", "Application Support", "witnessmark")
	}
	return filepath.Join(home, ".local", "state", "witnessmark")
}

// makeDir makes dir and its parents and returns its path without links. Only what is made here gets a mode: for root one
// that lets the server's account through, whatever the umask.
func makeDir(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", fmt.Errorf("the database's folder: %w", err)
	}
	me := account{uid: os.Geteuid(), gid: os.Getegid()}
	if err := makeParents(dir); err != nil {
		return "", me.refused(fmt.Errorf("make the database's folder: %w", err), dir)
	}
	if dir, err = filepath.EvalSymlinks(dir); err != nil {
		return "", me.refused(fmt.Errorf("the database's folder: %w", err), dir)
	}
	info, err := os.Stat(dir)
	if err != nil {
		return "", fmt.Errorf("the database's folder: %w", err)
	}
	if !info.IsDir() {
		return "", fmt.Errorf("%s is a file: name a folder for the database", dir)
	}
	if info.Mode()&0o002 != 0 {
		return "", fmt.Errorf("anyone on this machine may write to %s: name a folder of your own inside it for the database", dir)
	}
	return dir, nil
}

func makeParents(dir string) error {
	_, err := os.Stat(dir)
	if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := makeParents(filepath.Dir(dir)); err != nil {
		return err
	}
	mode := fs.FileMode(0o700)
	if os.Geteuid() == 0 {
		mode = 0o711
	}
	if err := os.Mkdir(dir, mode); err != nil {
		if errors.Is(err, fs.ErrExist) { // another starter was quicker
			return nil
		}
		return err
	}
	return os.Chmod(dir, mode)
}

// socketRoot holds the sockets' folders. It is neither the data folder nor TMPDIR: a socket's path may have 107 bytes on
// Linux and 103 on macOS (sun_path in sys/un.h), and every starter must arrive at the same one.
const socketRoot = "/tmp"

// socketDir names the folder for the socket of a data folder: the same for everyone who starts that data.
func socketDir(data string, as account) string {
	sum := sha256.Sum256([]byte(data))
	return filepath.Join(socketRoot, "wmpg-"+strconv.Itoa(as.uid)+"-"+hex.EncodeToString(sum[:5]))
}

// makeSocketDir makes that folder, or accepts it only when it is really one, belongs to the account and is closed to all
// others. Anyone may put things into /tmp, and whoever owned the folder would be the server to our clients.
func makeSocketDir(path string, as account) error {
	err := os.Mkdir(path, 0o700)
	if err != nil && !errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("make the socket's folder: %w", err)
	}
	info, err := os.Lstat(path)
	if err != nil {
		return fmt.Errorf("look at the socket's folder: %w", err)
	}
	uid, _ := ownerOf(info)
	var why []string
	if !info.IsDir() {
		why = append(why, "is not a folder")
	}
	// Root's own is one that a start was cut off from handing over.
	if uid != as.uid && uid != os.Geteuid() {
		why = append(why, "belongs to "+userName(uid))
	}
	if perm := info.Mode().Perm(); perm != 0o700 {
		why = append(why, fmt.Sprintf("has the mode %#o, not 0700", perm))
	}
	if len(why) > 0 {
		return fmt.Errorf("the folder for the database's socket, %s, %s: somebody else may have put it there; look into it, remove it and start again", path, strings.Join(why, " and "))
	}
	if err := as.own(path); err != nil {
		return fmt.Errorf("hand over the socket's folder: %w", err)
	}
	return nil
}
