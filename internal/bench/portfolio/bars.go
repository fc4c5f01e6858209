package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"time"

	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/photo"
	"witnessmark/internal/portfolio"
)

const (
	some, many = 120, 500
	peakMB     = 64.0
	baseline   = "baseline"
)

// The lists of photos that are laid out.
const (
	large     = "120.json"
	larger    = "500.json"
	structure = "500-small.json" // as many pages, and hardly a byte of photos
)

// bench is the folder with the photos, made when the first round asks for it.
type bench struct {
	dir   string
	ready bool
}

func newBench() (*bench, error) {
	dir, err := os.MkdirTemp("", "portfolio-bench-")
	if err != nil {
		return nil, fmt.Errorf("make a folder for the photos: %w", err)
	}
	return &bench{dir: dir}, nil
}

// prepare stores the photos and tells what making previews takes, which no bar is about.
func (b *bench) prepare() error {
	if b.ready {
		return nil
	}
	all, err := shoot(b.dir, wide, high, many)
	if err != nil {
		return err
	}
	small, err := shoot(b.dir, thumb, thumb*3/4, many)
	if err != nil {
		return err
	}
	for name, shots := range map[string][]shot{large: all[:some], larger: all, structure: small} {
		text, err := json.Marshal(shots)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(b.dir, name), text, 0o600); err != nil {
			return err
		}
	}
	b.ready = true
	return b.tell(all)
}

// tell prints what there is and what is measured apart.
func (b *bench) tell(all []shot) error {
	var sum int64
	for _, s := range all[:some] {
		sum += s.Size
	}
	per, err := previewing()
	if err != nil {
		return err
	}
	small, err := b.run(string(portfolio.Previews), large)
	if err != nil {
		return err
	}
	whole, err := b.run(string(portfolio.UploadedWithPlace), large)
	if err != nil {
		return err
	}
	fmt.Printf("%d photos of %d × %d pixels, %.2f MB each; as uploaded %d pages, %.0f MB; as previews %d pages, %.0f MB, %.2f s of CPU, peak %.1f MB; making a preview takes %.2f s of CPU\n",
		some, wide, high, float64(sum)/some/1e6, whole.Pages, float64(whole.Bytes)/1e6, small.Pages, float64(small.Bytes)/1e6, small.cpu, small.peak, per)
	return nil
}

// previewing is what one preview takes of the processor, in seconds.
func previewing() (float64, error) {
	const n = 3
	var drawn bytes.Buffer
	if err := encode(&drawn, wide, high); err != nil {
		return 0, err
	}
	before := used()
	for range n {
		if _, err := photo.Preview(bytes.NewReader(drawn.Bytes()), photo.Info{Media: photo.JPEG, Width: wide, Height: high, Orientation: 1}, previewSide); err != nil {
			return 0, err
		}
	}
	return (used() - before).Seconds() / n, nil
}

// used is this process's time on the processor.
func used() time.Duration {
	var u syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &u) // of a process that is there
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// took is what a leg took: seconds of processor time, and peak memory in MB (10⁶ bytes).
type took struct {
	made
	cpu, peak float64
}

// run has a process of its own do a leg.
func (b *bench) run(kind, list string) (took, error) {
	self, err := os.Executable()
	if err != nil {
		return took{}, err
	}
	var said bytes.Buffer
	cmd := exec.Command(self, "leg", kind, b.dir, list)
	cmd.Stdout, cmd.Stderr = &said, os.Stderr
	if err := cmd.Run(); err != nil {
		return took{}, fmt.Errorf("%s of %s: %w", kind, list, err)
	}
	t := took{cpu: (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()}
	err = json.Unmarshal(said.Bytes(), &t.made)
	t.peak = float64(t.Peak) / 1e6
	return t, err
}

// comparisons are the bars.
func (b *bench) comparisons() []rounds.Comparison {
	whole, bare := string(portfolio.UploadedWithPlace), string(portfolio.Uploaded)
	pair := func(of func(took) float64, ours, theirs [2]string) func(bool) (rounds.Round, error) {
		return func(theirsFirst bool) (rounds.Round, error) {
			if err := b.prepare(); err != nil {
				return rounds.Round{}, err
			}
			legs := [2][2]string{ours, theirs}
			var got [2]float64
			for i := range legs {
				if theirsFirst {
					i = 1 - i
				}
				t, err := b.run(legs[i][0], legs[i][1])
				if err != nil {
					return rounds.Round{}, err
				}
				got[i] = of(t)
			}
			return rounds.Round{Ours: got[0], Theirs: got[1]}, nil
		}
	}
	cpu, peak := func(t took) float64 { return t.cpu }, func(t took) float64 { return t.peak }
	return []rounds.Comparison{
		{Bar: rounds.Bar{Name: "portfolio: processor, 120 photos as uploaded, signed", Unit: "seconds of CPU", Ours: "portfolio", Theirs: "copy and two SHA-256", Kind: rounds.AtMost, Limit: 1.5},
			Measure: pair(cpu, [2]string{whole, large}, [2]string{baseline, large})},
		// What the camera wrote is looked for in every byte, and the original is hashed beside what is left of it: a third pass, which the
		// baseline has no counterpart of (our own bar).
		{Bar: rounds.Bar{Name: "portfolio: processor, 120 photos without what the camera wrote, signed", Unit: "seconds of CPU", Ours: "portfolio", Theirs: "copy and two SHA-256", Kind: rounds.AtMost, Limit: 2},
			Measure: pair(cpu, [2]string{bare, large}, [2]string{baseline, large})},
		{Bar: rounds.Bar{Name: "portfolio: peak memory, 120 photos as uploaded, signed", Unit: "MB", Ours: "portfolio", Theirs: "bound", Kind: rounds.AtMost, Limit: 1},
			Measure: func(bool) (rounds.Round, error) {
				if err := b.prepare(); err != nil {
					return rounds.Round{}, err
				}
				t, err := b.run(whole, large)
				return rounds.Round{Ours: t.peak, Theirs: peakMB}, err
			}},
		// Whatever grows with the number of photos beside the pages would show: 500 photos have 1,200 MB, or nearly none. When the
		// heap is collected moves either side by a tenth or two.
		{Bar: rounds.Bar{Name: "portfolio: peak memory, 500 photos against their pages alone", Unit: "MB", Ours: "500 photos", Theirs: "500 of 16 pixels", Kind: rounds.AtMost, Limit: 1.1},
			Measure: pair(peak, [2]string{bare, larger}, [2]string{bare, structure})},
	}
}
