// Package seed is the demonstration centre: an invented training centre with its people, one qualification unit, three
// briefs for the practice rig Bay 7, drawn photos, and attempts in every state. All of it is our own invention; no
// person, place or maker in it is real.
package seed

import (
	"embed"
	"fmt"
)

//go:embed briefs/*.yaml
var files embed.FS

// order lists the briefs in the order in which the work is done.
var order = []string{"fully-pumped", "sealed-system", "controls"}

// Brief is one brief of the demonstration centre as its file has it.
type Brief struct {
	File   string // under seed/
	Source []byte
}

// Briefs gives the demonstration's briefs in the order in which the work is done.
func Briefs() ([]Brief, error) {
	var out []Brief
	for _, name := range order {
		file := "briefs/" + name + ".yaml"
		src, err := files.ReadFile(file)
		if err != nil {
			return nil, fmt.Errorf("read brief %s: %w", name, err)
		}
		out = append(out, Brief{File: file, Source: src})
	}
	return out, nil
}
