package localpg

import (
	"errors"
	"io/fs"
	"os"
	"slices"
	"strconv"
	"strings"
	"syscall"
)

// clusterLocale sorts by code point and knows letters beyond ASCII.
const clusterLocale = "C.UTF-8"

func signalAtParentDeath(attr *syscall.SysProcAttr, sig syscall.Signal) { attr.Pdeathsig = sig }

// runsOn reports whether the living process pid is a server on the data folder. Its working folder says so. Root in a
// container without the right to trace may not read that; then its account and its command line do. When nothing can be
// read the answer is yes, since two servers on one folder would destroy it.
func runsOn(pid int, data string, as account) bool {
	proc := "/proc/" + strconv.Itoa(pid)
	cwd, err := os.Readlink(proc + "/cwd")
	if err == nil {
		return cwd == data
	}
	if errors.Is(err, fs.ErrNotExist) { // ended or a zombie, unless there is no /proc at all
		_, err := os.Stat("/proc/self")
		return err != nil
	}
	info, err := os.Stat(proc)
	if err != nil {
		return !errors.Is(err, fs.ErrNotExist)
	}
	if uid, _ := ownerOf(info); uid != as.uid {
		return false
	}
	line, err := os.ReadFile(proc + "/cmdline")
	if err != nil {
		return !errors.Is(err, fs.ErrNotExist)
	}
	return slices.Contains(strings.Split(string(line), "\x00"), data)
}
