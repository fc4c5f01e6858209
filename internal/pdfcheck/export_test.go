package pdfcheck

import "witnessmark/internal/pdfread"

// Structure is the standard types of a file's structure tree in reading order.
func Structure(f *pdfread.File) []string {
	c := &checker{f: f, found: map[string][]Finding{}}
	c.readStructure()
	var kinds []string
	for _, n := range c.tree.nodes {
		kinds = append(kinds, string(n.kind))
	}
	return kinds
}
