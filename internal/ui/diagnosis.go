package ui

import (
	"fmt"
	"strings"
)

// SuspectView is a likely fault with what speaks for and against it, in words.
type SuspectView struct {
	Is, Look string
	For      int    // so many cells
	Against  string // which ones, or "nothing"
}

// mostCells is how many cells are named before they are counted.
const mostCells = 4

// Suspects are the faults that the item's grid points at; none where it points nowhere.
func (it ItemView) Suspects() []SuspectView {
	if it.Diagnosis == nil {
		return nil
	}
	var out []SuspectView
	for _, f := range it.Diagnosis.Likely {
		v := SuspectView{Is: f.Is, Look: f.Look, For: len(f.Fits), Against: "nothing"}
		if n := len(f.Against); n > 0 {
			v.Against = it.cells(f.Against[:min(n, mostCells)])
			if n > mostCells {
				v.Against += fmt.Sprintf(" and %d more", n-mostCells)
			}
		}
		out = append(out, v)
	}
	return out
}

// cells names parts of a grid as the page does: "row 3 valve, row 4 pump".
func (it ItemView) cells(parts []string) string {
	var out []string
	for i, row := range it.Test.Rows {
		for _, c := range it.Test.Checks {
			for _, p := range parts {
				if p == row.Key+"/"+c.Key {
					out = append(out, fmt.Sprintf("row %d %s", i+1, c.Title))
				}
			}
		}
	}
	return strings.Join(out, ", ")
}
