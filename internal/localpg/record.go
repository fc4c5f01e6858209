package localpg

import (
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// record is what a server writes about itself into postmaster.pid. Source: src/include/utils/pidfile.h, lines 1, 5 and 8.
type record struct {
	pid    int
	socket string
	status string // starting, ready, standby or stopping
}

// readRecord returns the zero record when there is none, and pid 0 for one that is just being written.
func readRecord(data string) (record, error) {
	text, err := os.ReadFile(filepath.Join(data, "postmaster.pid"))
	if errors.Is(err, fs.ErrNotExist) {
		return record{}, nil
	}
	if err != nil {
		return record{}, fmt.Errorf("read the server's record: %w", err)
	}
	lines := append(strings.Split(string(text), "\n"), make([]string, 8)...)
	pid, err := strconv.Atoi(strings.TrimSpace(lines[0]))
	if err != nil {
		pid = 0
	}
	if pid < 0 { // a server without a postmaster, as someone may run for a repair
		pid = -pid
	}
	return record{pid: pid, socket: lines[4], status: strings.TrimSpace(lines[7])}, nil
}

// alive reports whether the process exists, be it ours or not.
func alive(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}

// answers reports whether something listens on the socket in the folder.
func answers(socket string) bool {
	conn, err := net.DialTimeout("unix", filepath.Join(socket, ".s.PGSQL."+port), time.Second)
	if err != nil {
		return false
	}
	return conn.Close() == nil
}
