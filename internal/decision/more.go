package decision

import (
	"strings"
	"time"

	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
)

// More is what a trainee is told whose attempt is sent back. Each is compulsory.
type More struct {
	Good    string // what was good
	Missing string // what is missing
	ToDo    string // what to do about it
}

// The headings under which the three stand in a record's words.
const (
	headGood    = "What was good"
	headMissing = "What is missing"
	headToDo    = "What to do"
)

// Check refuses what leaves one of them out, and a day that is past; today is the day at the centre.
func (m More) Check(by time.Time, today brief.Day) error {
	var fields []fault.Field
	for _, f := range []struct{ name, text, message string }{
		{"good", m.Good, "Say what was good: it is what the trainee builds on."},
		{"missing", m.Missing, "Say what is missing."},
		{"to_do", m.ToDo, "Say what to do about it."},
	} {
		if strings.TrimSpace(f.text) == "" {
			fields = append(fields, fault.Field{Name: f.name, Message: f.message})
		}
	}
	switch {
	case by.IsZero():
		fields = append(fields, fault.Field{Name: "by", Message: "Say by when."})
	case brief.Day(by.Format(time.DateOnly)) < today:
		fields = append(fields, fault.Field{Name: "by", Message: "That day is past. Choose a later one."})
	}
	if len(fields) > 0 {
		return fault.InvalidFields(fields)
	}
	return nil
}

// Words is the three as one text, which anybody can read.
func (m More) Words() string {
	return headGood + "\n" + paragraph(m.Good) + "\n\n" + headMissing + "\n" + paragraph(m.Missing) + "\n\n" + headToDo + "\n" + paragraph(m.ToDo)
}

// paragraph leaves no empty line and no heading's line in a text, so that ReadMore finds its parts again.
func paragraph(s string) string {
	var out []string
	for line := range strings.Lines(s) {
		line = strings.TrimSpace(line)
		switch line {
		case "":
		case headGood, headMissing, headToDo:
			out = append(out, line+":")
		default:
			out = append(out, line)
		}
	}
	return strings.Join(out, "\n")
}

// ReadMore finds the three in a record's words; ok is false where these were not written by Words.
func ReadMore(words string) (m More, ok bool) {
	rest, ok := strings.CutPrefix(words, headGood+"\n")
	if !ok {
		return More{}, false
	}
	good, rest, ok1 := strings.Cut(rest, "\n\n"+headMissing+"\n")
	missing, todo, ok2 := strings.Cut(rest, "\n\n"+headToDo+"\n")
	if !ok1 || !ok2 {
		return More{}, false
	}
	return More{good, missing, todo}, true
}
