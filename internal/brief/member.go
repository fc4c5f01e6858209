package brief

import (
	"reflect"
	"strings"
)

// member is one member of a brief's type as the file names it.
type member struct {
	name     string
	index    int // of the field
	required bool
}

// members lists the members of a struct type in the order in which they are printed. Their names and whether they are
// required are the yaml tags' word: reading, printing and the schema all follow it. A field named "-" is no part of a file.
func members(t reflect.Type) []member {
	var ms []member
	for i := range t.NumField() {
		name, rest, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ",")
		if name == "-" {
			continue
		}
		ms = append(ms, member{name: name, index: i, required: !strings.Contains(rest, "omitempty")})
	}
	return ms
}

// memberNames are the names of ms, for suggestions.
func memberNames(ms []member) []string {
	var ns []string
	for _, m := range ms {
		ns = append(ns, m.name)
	}
	return ns
}

// join makes the path of a member of path.
func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}
