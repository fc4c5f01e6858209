package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"

	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// heatLine is an ordinary line of working. What it comes to, in kW, mathjs works out as well; beyond that ours gives the
// bare numbers, and the range that the rounding of an earlier result leaves.
const heatLine = "Q = 12.4 L/min × 0.988 kg/L × 4.18 kJ/(kg·K) × (69.8 − 51.3) K = 15.8 kW"

var heatValues = [...]float64{15.789754933333335, 15.8}

// lines compares reading a line of working with mathjs, which has units as well.
func lines() ([]rounds.Comparison, error) {
	sheet, err := heatSheet()
	if err != nil {
		return nil, err
	}
	js, err := startMathjs()
	if err != nil {
		return nil, err
	}
	var r formula.Reader
	ours := func(n int) {
		for range n {
			if _, err := r.Read(heatLine); err != nil {
				panic(err)
			}
			for i, v := range r.Evaluate(sheet) {
				if v.UnitErr != nil || math.Abs(v.SI/1000-heatValues[i]) > 1e-9 {
					panic(fmt.Sprint(v))
				}
			}
		}
	}
	bar := rounds.Bar{Name: "line: text to value, dimension and range", Unit: "nanoseconds a line", Ours: "Reader", Theirs: "mathjs", Kind: rounds.Faster, Limit: 30}
	return []rounds.Comparison{{Bar: bar, Measure: func(theirsFirst bool) (rounds.Round, error) {
		round := rounds.Turns(ours, js.lines, theirsFirst)
		return round, js.err
	}}}, nil
}

// heatSheet has the line's readings, and one earlier result that the line uses rounded.
func heatSheet() (*formula.Sheet, error) {
	kW, err := quantity.ParseUnit("kW")
	sheet := &formula.Sheet{Asked: &kW}
	for _, k := range []struct {
		text string
		own  bool
	}{{"12.4 L/min", false}, {"69.8 °C", false}, {"51.3 °C", false}, {"4.18 kJ/(kg·K)", false}, {"0.98804 kg/L", true}, {"0.20418 kg/s", true}} {
		q, parseErr := quantity.ParseQuantity(k.text)
		err = errors.Join(err, parseErr)
		sheet.Known = append(sheet.Known, formula.Known{SI: q.SI(), Unit: q.Unit, Own: k.own})
	}
	return sheet, err
}

// mathjs is Node.js with lines.mjs, which ends with its input.
type mathjs struct {
	in  io.Writer
	out *bufio.Scanner
	err error
}

func startMathjs() (*mathjs, error) {
	cmd := exec.Command("node", "lines.mjs")
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	m := &mathjs{in: in, out: bufio.NewScanner(out)}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	m.lines(warmUp)
	return m, m.err
}

// warmUp lines are enough for Node.js to have compiled what it is going to.
const warmUp = 10_000

// lines has the line read n times.
func (m *mathjs) lines(n int) {
	if m.err != nil {
		return
	}
	if _, m.err = fmt.Fprintln(m.in, n); m.err != nil {
		return
	}
	var got [len(heatValues)]float64
	if !m.out.Scan() {
		m.err = errors.Join(errors.New("mathjs has ended"), m.out.Err())
		return
	}
	if _, m.err = fmt.Sscan(m.out.Text(), &got[0], &got[1]); m.err != nil {
		return
	}
	for i, want := range heatValues {
		if math.Abs(got[i]-want) > 1e-9 {
			m.err = fmt.Errorf("mathjs reads %v, want %v", got, heatValues)
		}
	}
}
