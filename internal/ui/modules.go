package ui

import (
	"fmt"
	"path"
	"regexp"
	"slices"
)

// imports are what a module asks for before it runs; what it asks for later, by import(), is not among them.
var imports = regexp.MustCompile(`(?m)^(?:import|export)\s(?:[^'";]*from\s+)?'(\.[^']+)'`)

// entries are the modules that pages begin with: the page that a trainee works on, and all others.
var entries = []string{"capture.js", "page.js"}

// modules lists the addresses of an entry and of everything it imports: a page that names them all spares a walk to the
// server for each level.
func (s *staticFiles) modules(entry string) []string { return s.needs[entry] }

// follow lists the addresses of a module and of everything it imports, the nearest first, in the order in which they are named.
func (s *staticFiles) follow(entry string) ([]string, error) {
	names := []string{entry}
	for i := 0; i < len(names); i++ {
		f, ok := s.files[names[i]]
		if !ok {
			return nil, fmt.Errorf("%s imports %s, which is not there", entry, names[i])
		}
		for _, m := range imports.FindAllSubmatch(f.plain, -1) {
			if name := path.Join(path.Dir(names[i]), string(m[1])); !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	for i, name := range names {
		names[i] = s.address(name)
	}
	return names, nil
}
