package verify

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"
)

// Subject says in lines of text whose portfolio it is, as the file has it; none where its record could not be read.
func (p *Portfolio) Subject() []string {
	r := &p.Record
	if r.ID == "" {
		return nil
	}
	var unit struct{ Code, Title string }
	if err := json.Unmarshal(r.Unit, &unit); err != nil {
		unit.Code, unit.Title = "that cannot be read", err.Error()
	}
	lines := []string{fmt.Sprintf("Portfolio of %s (%s), unit %s: %s", r.Trainee.Name, r.Trainee.Code, unit.Code, unit.Title)}
	made := r.MadeAt
	if at, err := time.Parse(time.RFC3339, r.MadeAt); err == nil {
		made = at.Format("2 January 2006 15:04 UTC")
	}
	return append(lines,
		fmt.Sprintf("by %s (%s), asked for on %s; document %s", r.Centre.Name, r.Centre.Code, made, r.ID),
		fmt.Sprintf("%d criteria, %d met, %d of these signed off; %s, %s", r.Standing.Criteria, r.Standing.Met, r.Standing.SignedOff,
			counted(len(r.Tasks), "task", "tasks"), counted(len(r.Files), "file", "files")))
}

// NoFileShows is what no check of a file can tell.
const NoFileShows = "Whether a photo is true and a tutor was right: no file can show that."

// What is the verdict in one line.
func (p *Portfolio) What() string {
	word, why := p.Verdict()
	if why == "" {
		return string(word)
	}
	return string(word) + ": " + why
}

// States of a line in the order in which a report has them, each with its head.
var heads = []struct {
	state State
	head  string
}{{Broken, "altered"}, {Unknown, "cannot tell"}, {Holds, "checked, and right"}, {Noted, "the file's form, self-checked"}, {NotChecked, "not checked"}}

// wide is how long a line of a report is, in characters.
const wide = 110

// Report is the verdict of the file of that name as text, with what was and was not checked.
func (p *Portfolio) Report(name string) string {
	var b strings.Builder
	fmt.Fprintln(&b, strings.Join(folded(name+": "+p.What(), wide), "\n  "))
	for _, s := range p.Subject() {
		fmt.Fprintln(&b, "  "+strings.Join(folded(s, wide-2), "\n  "))
	}
	lines := append(p.Lines[:len(p.Lines):len(p.Lines)], Line{"truth", NotChecked, NoFileShows})
	for _, h := range heads {
		begun := false
		for _, l := range lines {
			if l.State != h.state {
				continue
			}
			if !begun {
				begun = true
				fmt.Fprintf(&b, "\n  %s\n", h.head)
			}
			b.WriteString(l.text())
		}
	}
	return b.String()
}

// text is a line of a report, its name in a column of its own.
func (l Line) text() string {
	const column = 13
	return fmt.Sprintf("    %-*s %s\n", column, l.What, strings.Join(folded(l.Words, wide-column-5), "\n"+strings.Repeat(" ", column+5)))
}

// Between is what was found of several portfolios together, as text; "" where there was nothing to hold together.
func Between(lines []Line) string {
	if len(lines) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString("The files together\n\n")
	for _, h := range heads {
		begun := false
		for _, l := range lines {
			if l.State == h.state {
				if !begun {
					begun = true
					fmt.Fprintf(&b, "  %s\n", h.head)
				}
				b.WriteString(l.text())
			}
		}
	}
	return b.String()
}

// folded breaks a text at spaces into lines of at most so many characters; a longer word stays whole.
func folded(s string, most int) []string {
	var out []string
	line, n := "", 0
	for _, w := range strings.Fields(s) {
		long := len([]rune(w))
		if n > 0 && n+1+long > most {
			out = append(out, line)
			line, n = "", 0
		}
		if n > 0 {
			line += " "
			n++
		}
		line += w
		n += long
	}
	return append(out, line)
}
