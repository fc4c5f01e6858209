package localpg

import (
	"fmt"
	"os"
	"runtime"
	"syscall"
)

// noTraceEnv makes a starter give up the right to look into other accounts' processes, as root in a container lacks it.
const noTraceEnv = "LOCALPG_TEST_NOTRACE"

// dropTracing does that: the right leaves the thread's bounding set, and a fresh run of the program on that thread is born
// without it. Source of the numbers: linux/prctl.h and linux/capability.h.
func dropTracing() error {
	if os.Getenv(noTraceEnv) == "" {
		return nil
	}
	const prCapBSetDrop, capSysPtrace = 24, 19
	runtime.LockOSThread()
	if _, _, errno := syscall.RawSyscall(syscall.SYS_PRCTL, prCapBSetDrop, capSysPtrace, 0); errno != 0 {
		return fmt.Errorf("give up tracing: %w", errno)
	}
	if err := os.Unsetenv(noTraceEnv); err != nil {
		return err
	}
	return syscall.Exec("/proc/self/exe", os.Args, os.Environ())
}
