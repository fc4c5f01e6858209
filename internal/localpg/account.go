package localpg

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// account is who the server runs as.
type account struct {
	uid, gid   int
	credential *syscall.Credential // nil: as ourselves
}

// serverAccount chooses it: ourselves, or for root the owner of existing data, else postgres, else nobody.
func serverAccount(data string) (account, error) {
	me := account{uid: os.Geteuid(), gid: os.Getegid()}
	info, err := os.Stat(data)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return account{}, fmt.Errorf("look at the data folder: %w", err)
	}
	if err == nil {
		uid, gid := ownerOf(info)
		switch {
		case me.uid == uid && me.uid != 0:
			return me, nil
		case me.uid != 0:
			return account{}, fmt.Errorf("the data folder %s belongs to %s, and you are %s: start the program as %[2]s, or name another folder", data, userName(uid), userName(me.uid))
		case uid != 0:
			return asAccount(uid, gid), nil
		}
		if names, err := os.ReadDir(data); err != nil || len(names) > 0 {
			return account{}, errors.Join(fmt.Errorf("the data folder %s belongs to root, as whom PostgreSQL refuses to run: give it to the account postgres with chown -R", data), err)
		}
	}
	if me.uid != 0 {
		return me, nil
	}
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue // the next name
		}
		uid, errUID := strconv.Atoi(u.Uid)
		gid, errGID := strconv.Atoi(u.Gid)
		if err := errors.Join(errUID, errGID); err != nil {
			return account{}, fmt.Errorf("read the account %s: %w", name, err)
		}
		return asAccount(uid, gid), nil
	}
	return account{}, errors.New("PostgreSQL refuses to run as root, and this machine has neither an account postgres nor nobody: start the program as an ordinary user")
}

func asAccount(uid, gid int) account {
	return account{uid: uid, gid: gid, credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}
}

// own makes sure that a file we just made belongs to the account.
func (a account) own(path string) error {
	if a.credential == nil {
		return nil
	}
	return os.Lchown(path, a.uid, a.gid)
}

// blockedBy names the first folder on the way to path, or path itself, that the account may not enter by its mode; empty
// when all let it through. It explains a refusal that has happened and causes none, since access lists may widen a mode.
func (a account) blockedBy(path string) string {
	at := "/"
	for _, name := range append([]string{""}, strings.Split(strings.Trim(path, "/"), "/")...) {
		next := filepath.Join(at, name)
		info, err := os.Stat(next)
		if errors.Is(err, fs.ErrPermission) {
			return at
		}
		if err != nil {
			return ""
		}
		if info.IsDir() && !a.mayEnter(info) {
			return next
		}
		at = next
	}
	return ""
}

func (a account) mayEnter(info fs.FileInfo) bool {
	uid, gid := ownerOf(info)
	switch {
	case a.uid == 0:
		return true
	case a.uid == uid:
		return info.Mode()&0o100 != 0
	case a.gid == gid:
		return info.Mode()&0o010 != 0
	}
	return info.Mode()&0o001 != 0
}

// refused turns "permission denied" on one of the paths into a sentence that names the folder in the way.
func (a account) refused(err error, paths ...string) error {
	if !errors.Is(err, fs.ErrPermission) {
		return err
	}
	for _, path := range paths {
		if folder := a.blockedBy(path); folder != "" {
			return fmt.Errorf("%s cannot reach %s, because the folder %s does not let it through: choose another place, or allow it with chmod o+x %[3]s: %w", userName(a.uid), path, folder, err)
		}
	}
	return err
}

// ownerOf is the user and group of a file.
func ownerOf(info fs.FileInfo) (uid, gid int) {
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return -1, -1 // not a file of this system: nobody's
	}
	return int(stat.Uid), int(stat.Gid)
}

// userName is how a sentence names a user.
func userName(uid int) string {
	u, err := user.LookupId(strconv.Itoa(uid))
	if err != nil {
		return "user " + strconv.Itoa(uid)
	}
	return u.Username
}
