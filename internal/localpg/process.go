package localpg

import (
	"os"
	"os/exec"
	"runtime"
	"syscall"
)

// process is a child that the kernel signals when this program ends (Linux).
type process struct {
	cmd  *exec.Cmd
	done chan struct{} // closed when it has ended and err is set
	err  error
}

// spawn starts cmd as the account, in a process group of its own: Ctrl-C in a terminal reaches this program alone, which
// stops the server when its own work is done.
//
// The signal at the parent's death is tied to the thread that forked, not to the program. So one goroutine keeps that
// thread from the fork to the child's end.
func spawn(cmd *exec.Cmd, as account, atOurDeath syscall.Signal) (*process, error) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Credential: as.credential}
	signalAtParentDeath(cmd.SysProcAttr, atOurDeath)
	p := &process{cmd: cmd, done: make(chan struct{})}
	started := make(chan error, 1)
	go func() {
		runtime.LockOSThread()
		err := cmd.Start()
		started <- err
		if err != nil {
			return
		}
		p.err = cmd.Wait()
		close(p.done)
	}()
	if err := <-started; err != nil {
		return nil, err
	}
	return p, nil
}

// state describes how it ended; call it only after done.
func (p *process) state() *os.ProcessState { return p.cmd.ProcessState }

// environment is all that PostgreSQL's programs are told: PG* variables of the caller would divert them, its language
// would translate the messages that we read, and its time zone would be written into the cluster.
func environment(more ...string) []string {
	return append([]string{"PATH=" + os.Getenv("PATH"), "HOME=/", "LC_ALL=C", "TZ=UTC"}, more...)
}
