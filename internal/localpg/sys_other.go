//go:build !linux

package localpg

import (
	"os/exec"
	"strconv"
	"strings"
	"syscall"
)

// clusterLocale sorts by code point; systems other than Linux need not have C.UTF-8.
const clusterLocale = "C"

// signalAtParentDeath does nothing: only Linux has it. A server whose owner was killed runs on, and the next Start
// attaches to it.
func signalAtParentDeath(*syscall.SysProcAttr, syscall.Signal) {}

// runsOn reports whether the living process pid is a server on the data folder, by its command line. When that cannot be
// read the answer is yes, since two servers on one folder would destroy it.
func runsOn(pid int, data string, _ account) bool {
	line, err := exec.Command("ps", "-ww", "-o", "command=", "-p", strconv.Itoa(pid)).Output()
	return err != nil || strings.Contains(string(line), "-D "+data)
}
