package brief

import "reflect"

// ListStyle says how a list of texts is written into a form.
type ListStyle string

// The ways of writing a list of texts.
const (
	NoList     ListStyle = ""           // not a list of texts
	Lines      ListStyle = "lines"      // one a line
	Paragraphs ListStyle = "paragraphs" // with an empty line between two
	Commas     ListStyle = "commas"     // on one line, with commas between
	Ticks      ListStyle = "ticks"      // each ticked among those there are
	Cells      ListStyle = "cells"      // each in a place of its own: path[0], path[1] …
)

// listStyles has a row for every list of texts of the format. Where one is missing a test says so.
var listStyles = map[string]ListStyle{
	"Brief.cautions":         Paragraphs,
	"Brief.conventions":      Paragraphs,
	"Brief.ruled-out":        Ticks,
	"CriterionRef.codes":     Commas,
	"Stage.cautions":         Paragraphs,
	"Hold.needs":             Commas,
	"Item.criteria":          Ticks,
	"Item.reopened-by":       Commas,
	"Photo.visible":          Lines,
	"Reading.phases":         Ticks,
	"FunctionalTest.demands": Lines,
	"FaultRow.cells":         Cells,
	"Column.options":         Lines,
	"TestRow.set":            Cells,
	"TestRow.expect":         Cells,
	"Observation.options":    Lines,
	"Size.sizes":             Commas,
}

// Member is one member of a part of a brief, for whoever lays a brief out to be filled in.
type Member struct {
	Name     string // as the file has it
	About    string // what it is, in words
	Required bool
	Lines    bool     // the text may have several lines
	OneOf    []string // the only texts there are; nil where any may stand
	List     ListStyle
	Index    int // of the field
}

// MembersOf lists the members of a part of a brief, given by its type, in the order of the file.
func MembersOf(t reflect.Type) []Member {
	var out []Member
	for _, m := range members(t) {
		r := rules[t.Name()+"."+m.name]
		out = append(out, Member{
			Name: m.name, About: r.about, Required: m.required, Lines: r.lines, OneOf: r.oneOf, List: listStyles[t.Name()+"."+m.name], Index: m.index,
		})
	}
	return out
}

// formOf says whether a member of an item is one of its forms.
func formOf(t reflect.Type, name string) bool {
	if t != reflect.TypeFor[Item]() {
		return false
	}
	f, ok := t.FieldByName("Photo")
	first, last := 0, 0
	if ok {
		first = f.Index[0]
	}
	if f, ok = t.FieldByName("Document"); ok {
		last = f.Index[0]
	}
	for _, m := range members(t) {
		if m.name == name {
			return first <= m.index && m.index <= last
		}
	}
	return false
}

// Forms lists the forms of item in the order of the format.
func Forms() []Form {
	return []Form{FormPhoto, FormReading, FormTest, FormObservation, FormSequence, FormFigure, FormChoice, FormAnswer, FormConfirm, FormDocument}
}
