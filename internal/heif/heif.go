// Package heif draws HEIC pictures as JPEGs, by the program that the system has for it (libheif's heif-convert, which newer
// releases call heif-dec).
//
// The rules of its world:
//
//   - Each picture is decoded in a process of its own, which is held to an amount of memory, of processor time, of bytes
//     written and of time on the clock, and is told nothing: an empty environment, a folder of its own, arguments that are
//     always the same. What a picture made by an enemy does, it does to that process.
//   - libheif turns and mirrors as the HEIC asks. Whoever goes on with the JPEG turns it no further.
//   - A picture that cannot be drawn is ErrNotDrawn, and trying it again does not help. Any other error is trouble of this
//     machine.
package heif

import (
	"bytes"
	"context"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"syscall"
	"time"
)

// The limits on one process (our own values). A picture of 50 megapixels takes under 400 MB of address space and four seconds
// on a desktop processor, and becomes a JPEG of 15 to 40 MB.
const (
	maxMemory  = 1 << 30
	maxSeconds = 20 // of processor time
	maxWritten = 64 << 20
	maxWall    = 45 * time.Second // where others want the processor too
)

// quality is the JPEG quality of what is drawn, from which smaller pictures are drawn in turn.
const quality = "95"

// Packages is what to install where Find finds nothing, by Debian's names; releases before 13 have no package of the second
// name, and all of it in the first.
const Packages = "libheif-examples (and libheif-plugin-libde265 where there is one)"

// ErrNotDrawn says that a picture cannot be drawn: it is broken, or takes more than a picture may.
var ErrNotDrawn = errors.New("this HEIC cannot be drawn")

// Decoder draws pictures. It is safe for use by many goroutines; each picture may take maxMemory.
type Decoder struct {
	program, limiter string
	wall             time.Duration
}

// Find looks for the system's programs on PATH: the decoder, and util-linux's prlimit that holds it to its limits. An error
// says what is not there.
func Find() (*Decoder, error) {
	for _, name := range []string{"heif-dec", "heif-convert"} {
		if path, err := exec.LookPath(name); err == nil {
			return New(path, maxWall)
		}
	}
	return nil, errors.New("there is no heif-dec or heif-convert on PATH")
}

// New is a decoder by the program at a path, which takes the arguments of heif-convert, and may take the given time.
func New(program string, wall time.Duration) (*Decoder, error) {
	limiter, err := exec.LookPath("prlimit")
	if err != nil {
		return nil, errors.New("there is no prlimit on PATH, without which a decoder cannot be held to its limits")
	}
	return &Decoder{program: program, limiter: limiter, wall: wall}, nil
}

// Program is the path of the program that draws.
func (d *Decoder) Program() string { return d.program }

//go:embed probe.heic
var probe []byte

// Try draws a small picture that is known to be sound: a newer libheif without the package of its decoder is there and draws
// nothing.
func (d *Decoder) Try(ctx context.Context) error {
	_, err := d.JPEG(ctx, bytes.NewReader(probe))
	return err
}

// JPEG draws a HEIC's picture as a JPEG, upright, in its full size. What the program wrote is not looked at here: hold it
// against the limits of a picture before it is decoded. A file with several pictures of equal standing is ErrNotDrawn, since
// nobody could tell which of them was drawn.
func (d *Decoder) JPEG(ctx context.Context, heic io.Reader) (_ []byte, err error) {
	dir, err := os.MkdirTemp("", "witnessmark-heic-")
	if err != nil {
		return nil, fmt.Errorf("draw a HEIC: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	if err := write(filepath.Join(dir, "in.heic"), heic); err != nil {
		return nil, fmt.Errorf("draw a HEIC: %w", err)
	}
	if err := d.run(ctx, dir); err != nil {
		return nil, err
	}
	return read(filepath.Join(dir, "out.jpg"))
}

// run draws in.heic as out.jpg within dir.
func (d *Decoder) run(ctx context.Context, dir string) error {
	limited, cancel := context.WithTimeout(ctx, d.wall)
	defer cancel()
	cmd := exec.CommandContext(limited, d.limiter, "--as="+strconv.Itoa(maxMemory), "--cpu="+strconv.Itoa(maxSeconds),
		"--fsize="+strconv.Itoa(maxWritten), "--core=0", "--", d.program, "--quiet", "-q", quality, "in.heic", "out.jpg")
	cmd.Dir, cmd.Env = dir, []string{}
	// What it starts belongs to its group, and ends with it.
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	cmd.Cancel = func() error { return syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
	err := cmd.Run()
	var exit *exec.ExitError
	switch {
	case ctx.Err() != nil:
		return fmt.Errorf("draw a HEIC: %w", context.Cause(ctx))
	case limited.Err() != nil:
		return fmt.Errorf("%w within %s", ErrNotDrawn, d.wall)
	case errors.As(err, &exit) && (exit.ExitCode() == 126 || exit.ExitCode() == 127): // prlimit's own: it is gone, or not allowed
		return fmt.Errorf("draw a HEIC: %s cannot be run", d.program)
	case errors.As(err, &exit):
		return fmt.Errorf("%w: %s ended with %s", ErrNotDrawn, filepath.Base(d.program), exit.ProcessState)
	case err != nil:
		return fmt.Errorf("draw a HEIC: %w", err)
	}
	return nil
}

// write copies a picture into a new file.
func write(path string, from io.Reader) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(f, from)
	return errors.Join(err, f.Close())
}

// read reads what the program wrote.
func read(path string) ([]byte, error) {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, fmt.Errorf("%w: nothing came of it, or several pictures", ErrNotDrawn)
	case err != nil:
		return nil, fmt.Errorf("draw a HEIC: %w", err)
	case !info.Mode().IsRegular() || info.Size() > maxWritten:
		return nil, fmt.Errorf("%w: what came of it is no picture", ErrNotDrawn)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("draw a HEIC: %w", err)
	}
	return b, nil
}
