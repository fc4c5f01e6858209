package brief

import (
	"slices"
	"strings"
)

// CompiledFault is a declared fault with the whole grid that it leads to: Grid has a row for each of the test's and in it
// a word for each check.
type CompiledFault struct {
	Fault *GridFault
	Grid  [][]string
}

// compiledFaults are the test's faults. Rows and cells that the test does not have are left out: Check says so.
func (ft *FunctionalTest) compiledFaults() []CompiledFault {
	at := map[string]int{}
	for i := range ft.Rows {
		at[ft.Rows[i].Key] = i
	}
	var out []CompiledFault
	for i := range ft.Faults {
		f := CompiledFault{Fault: &ft.Faults[i], Grid: ft.expected()}
		for _, s := range f.Fault.Shows {
			if row, ok := at[s.Row]; ok {
				f.Grid[row] = over(f.Grid[row], s.Cells)
			}
		}
		out = append(out, f)
	}
	return out
}

// expected is the grid of a good installation.
func (ft *FunctionalTest) expected() [][]string {
	grid := make([][]string, len(ft.Rows))
	for i := range ft.Rows {
		grid[i] = ft.Rows[i].Expect
	}
	return grid
}

// over puts cells over a row's; an empty one leaves the row's.
func over(row, cells []string) []string {
	row = slices.Clone(row)
	for i := range min(len(row), len(cells)) {
		if cells[i] != "" {
			row[i] = cells[i]
		}
	}
	return row
}

// Positions is a grid with its words for holding resolved to what the row before showed. What was held before the first
// row nobody knows, so there the word stays; an empty cell, and what was held from one, is "".
func (ft *FunctionalTest) Positions(grid [][]string) [][]string {
	out := make([][]string, len(grid))
	for i := range grid {
		out[i] = slices.Clone(grid[i])
		for j := range min(len(out[i]), len(ft.Checks)) {
			if i > 0 && j < len(out[i-1]) && out[i][j] != "" && out[i][j] == ft.Checks[j].Held {
				out[i][j] = out[i-1][j]
			}
		}
	}
	return out
}

// State says what a row's entries set: "room thermostat calls, cylinder thermostat satisfied".
func (ft *FunctionalTest) State(set []string) string {
	var out []string
	for i, s := range set {
		if i < len(ft.Demands) {
			s = ft.Demands[i] + " " + s
		}
		out = append(out, s)
	}
	return strings.Join(out, ", ")
}
