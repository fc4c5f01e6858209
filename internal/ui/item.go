package ui

import (
	"encoding/hex"
	"fmt"
	"hash/fnv"
	"slices"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
)

func formID(stage int) string { return fmt.Sprintf("stage-%d-form", stage) }

// Kind is the item's form as templates compare it.
func (it ItemView) Kind() string { return string(it.Form()) }

// ID is the item's id on the page.
func (it ItemView) ID() string { return "item-" + it.Key }

// FormID is the id of the form that the item's inputs belong to.
func (it ItemView) FormID() string {
	if it.On.Trying {
		return "try"
	}
	return formID(it.Stage)
}

// One is the item's only line.
func (it ItemView) One() LineView { return it.Lines[0] }

// Files says whether the item takes files.
func (it ItemView) TakesFiles() bool { return it.Photo != nil || it.Document != nil }

// Codes lists the criteria as people read them.
func (it ItemView) Codes() string { return strings.Join(it.Criteria, ", ") }

// Safety says whether the item is safety-critical.
func (it ItemView) Safety() bool {
	switch {
	case it.Reading != nil:
		return it.Reading.Safety
	case it.Test != nil:
		return it.Test.Safety
	case it.Observation != nil:
		return it.Observation.Safety
	case it.Sequence != nil:
		return it.Sequence.Safety
	case it.Figure != nil:
		return it.Figure.Safety
	case it.Choice != nil:
		return it.Choice.Safety
	case it.Confirm != nil:
		return it.Confirm.Safety
	}
	return false
}

// Ask is what the item asks for, in words; "" where the title says it.
func (it ItemView) Ask() string {
	switch {
	case it.Reading != nil:
		return sentence(it.Reading.Is)
	case it.Figure != nil:
		return sentence(it.Figure.Ask)
	case it.Choice != nil:
		return it.Choice.Ask
	case it.Answer != nil:
		return it.Answer.Ask
	case it.Document != nil:
		return sentence(it.Document.Is)
	}
	return ""
}

// sentence starts with a capital letter.
func sentence(s string) string {
	r := []rune(s)
	if len(r) == 0 {
		return s
	}
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}

// LimitWords is the limit of a reading, "at least 60 °C, at most 80 °C"; "" where it has none.
func (it ItemView) LimitWords() string {
	var l *brief.Limit
	switch {
	case it.Reading != nil:
		l = it.Reading.Limit
	case it.Figure != nil:
		l = it.Figure.Limit
	}
	if l == nil {
		return ""
	}
	if l.Rule != "" { // of a set that is not in force
		return "the limit " + l.Rule + ", which is not in force"
	}
	var ss []string
	if l.AtLeast != "" {
		ss = append(ss, "at least "+spaced(l.AtLeast))
	}
	if l.AtMost != "" {
		ss = append(ss, "at most "+spaced(l.AtMost))
	}
	if band := l.Guard.Words(); band != "" {
		ss = append(ss, band)
	}
	return strings.Join(ss, ", ")
}

// LimitSource is where the limit comes from.
func (it ItemView) LimitSource() string {
	switch {
	case it.Reading != nil && it.Reading.Limit != nil:
		return it.Reading.Limit.Source
	case it.Figure != nil && it.Figure.Limit != nil:
		return it.Figure.Limit.Source
	}
	return ""
}

// GridRow is one row of a functional test: what is set, and a line for each check.
type GridRow struct {
	Number int
	Set    []string
	Cells  []LineView
}

// Grid lays a functional test's lines out in its rows.
func (it ItemView) Grid() []GridRow {
	var rows []GridRow
	n := len(it.Test.Checks)
	for i, r := range it.Test.Rows {
		if (i+1)*n > len(it.Lines) {
			break
		}
		rows = append(rows, GridRow{Number: i + 1, Set: r.Set, Cells: it.Lines[i*n : (i+1)*n]})
	}
	return rows
}

// Name names the line in forms and records.
func (l LineView) Name() string { return decision.Line(l.Item, l.Part, string(l.Phase)) }

// ID is the id of the line's input.
func (l LineView) ID() string { return "in-" + idOf(l.Name()) }

// FormID is the id of the form that the line's inputs belong to.
func (l LineView) FormID() string { return l.Of.FormID() }

// Text is what stands in the line: what was just typed where the form came back, else what was received.
func (l LineView) Text() string {
	otherwise := ""
	if l.Entry != nil {
		otherwise = l.Entry.Text
	}
	return l.On.Form.For(l.FormID()).Typed("text:"+l.Name(), otherwise)
}

// Working is the written calculation in the line.
func (l LineView) Working() string {
	otherwise := ""
	if l.Entry != nil {
		otherwise = l.Entry.Working
	}
	return l.On.Form.For(l.FormID()).Typed("working:"+l.Name(), otherwise)
}

// TypedUnit is the unit in the line.
func (l LineView) TypedUnit() string {
	otherwise := ""
	if l.Entry != nil {
		otherwise = l.Entry.Unit
	}
	return l.On.Form.For(l.FormID()).Typed("unit:"+l.Name(), otherwise)
}

// AskUnit says whether the trainee has to state the unit.
func (l LineView) AskUnit() bool { return l.Of.Figure != nil && l.Of.Figure.AskUnit }

// Odd says whether what stands in a line with options is none of them; it is then shown as it was typed.
func (l LineView) Odd() bool { t := l.Text(); return t != "" && !slices.Contains(l.Options, t) }

// Was is a digest of what the page shows in the line, so that only what was changed is kept anew.
func (l LineView) Was() string {
	if l.Entry == nil {
		return digestLine("", "", "")
	}
	return digestLine(l.Entry.Text, l.Entry.Unit, l.Entry.Working)
}

// digestLine is a short digest; nothing depends on nobody finding two lines with the same.
func digestLine(text, unit, working string) string {
	h := fnv.New64a()
	for _, s := range []string{text, unit, strings.ReplaceAll(working, "\r\n", "\n")} {
		fmt.Fprintf(h, "%d:%s", len(s), s) // a hash takes everything
	}
	return hex.EncodeToString(h.Sum(nil))
}

// Labelled says whether what the item asks for is the label of its only line.
func (it ItemView) Labelled() bool {
	return it.Reading != nil && len(it.Lines) == 1 && it.Lines[0].Label == ""
}

// Caption is the line's label, or what its item asks for where it has none of its own.
func (l LineView) Caption() string {
	switch {
	case l.Label == "" && l.Of.Labelled():
		return l.Of.Ask()
	case l.Label == "":
		return l.Of.Title
	}
	return sentence(l.Label)
}
