package formula

import (
	"slices"
	"strings"

	"witnessmark/internal/quantity"
)

// Param is one argument of a function: what it stands for and in which unit the function's table shows it. Any unit of
// the same dimension and kind may be given.
type Param struct {
	Name  string
	Unit  quantity.Unit
	About string
}

// Function is a property or a table that formulas may call.
type Function struct {
	Name   string
	About  string // one sentence for a tutor
	Source string // where the values come from, with its edition
	Params []Param
	Result quantity.Unit
	// Call gets and gives SI base units; temperature points are in kelvin. It must not keep or change args. Its error is a
	// sentence for the person who reads the figure, such as "water properties are known from 0 °C to 150 °C".
	Call func(args []float64) (float64, error)
	// Turns says where the function stops rising or falling in each parameter: SI values that hold whatever the other
	// arguments are, none where it rises or falls throughout. Between them its extremes over a range are at the range's
	// ends. Nil means that this is not known, and the function cannot be worked out over ranges.
	Turns [][]float64
	// Steps says that the function is a list of single values, such as a table of sizes: it has no slope, and its derivatives
	// are 0.
	Steps bool
	// Thumb is the rule of thumb that practice puts in the function's place; nil where there is none.
	Thumb *Thumb
}

// Env is what a formula may refer to.
type Env struct {
	// Names holds each given, reading and earlier figure with its unit. Kinds count: a name in °C is a temperature, one
	// in K a difference.
	Names map[string]quantity.Unit
	// Functions are called by name; the built-in ones of the notation need no entry and cannot be replaced.
	Functions map[string]Function
	// Aliases maps other spellings of a name to the name: dT to Δt.
	Aliases map[string]string
}

// resolve finds the name that was meant.
func (env Env) resolve(name string, foldCase bool) (string, bool) {
	if _, ok := env.Names[name]; ok {
		return name, true
	}
	if to, ok := env.Aliases[name]; ok {
		if _, ok := env.Names[to]; ok {
			return to, true
		}
	}
	if !foldCase {
		return "", false
	}
	found := ""
	for have := range env.Names {
		if strings.EqualFold(have, name) {
			if found != "" {
				return "", false // two fit: nobody guesses
			}
			found = have
		}
	}
	if found != "" {
		return found, true
	}
	return env.difference(name)
}

// difference finds the difference that was meant: dT, DT, ΔT and delta T are one name, in either case.
func (env Env) difference(name string) (string, bool) {
	of, ok := cutDelta(name)
	if !ok {
		return "", false
	}
	found := ""
	for have := range env.Names {
		if other, ok := cutDelta(have); ok && strings.EqualFold(of, other) {
			if found != "" {
				return "", false
			}
			found = have
		}
	}
	return found, found != ""
}

// cutDelta takes the sign of a difference off a name.
func cutDelta(name string) (of string, ok bool) {
	for _, sign := range [...]string{"Δ", "δ", "delta", "Delta", "DELTA", "d", "D"} {
		if of, ok = strings.CutPrefix(name, sign); ok && of != "" {
			return strings.TrimLeft(of, "_ "), true
		}
	}
	return "", false
}

// meantName gives the most similar of the candidates, or "" where none is close.
func meantName(name string, candidates []string) string {
	best, bestDistance := "", 3
	for _, c := range candidates {
		d := editDistance(name, c)
		if strings.EqualFold(name, c) {
			d = 0
		}
		if d < bestDistance && d < len([]rune(name)) {
			best, bestDistance = c, d
		}
	}
	return best
}

// editDistance counts single-letter edits, two letters swapped as one, cut off well above what counts as close.
func editDistance(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x) > 40 || len(y) > 40 {
		return 40
	}
	if len(x) == len(y) {
		for i := range len(x) - 1 {
			swapped := slices.Clone(x)
			swapped[i], swapped[i+1] = x[i+1], x[i]
			if slices.Equal(swapped, y) {
				return 1
			}
		}
	}
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		diagonal := row[0]
		row[0] = i + 1
		for j := range y {
			cost := diagonal
			if x[i] != y[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, diagonal+1)
		}
	}
	return row[len(y)]
}
