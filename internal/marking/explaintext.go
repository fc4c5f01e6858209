package marking

import (
	"strings"
	"unicode/utf8"

	"witnessmark/internal/formula"
)

// textWide is how many columns an explanation's text takes at most.
const textWide = 80

// Text is the explanation as plain text for a terminal, in at most 80 columns; formulas break before a sign. It ends with
// a line break.
func (e Explanation) Text() string {
	var b strings.Builder
	b.WriteString(e.Item + "  " + e.Title + "\n")
	if e.Formula != nil {
		writeLine(&b, "  ", e.Formula)
	}
	e.Given.write(&b, "from the given and measured values")
	if e.Own != nil {
		e.Own.write(&b, "from the trainee's own earlier figures")
	}
	if e.Stands != "" {
		b.WriteString("\n")
		writeParts(&b, "  ", "  ", strings.Split(e.Stands, " "))
	}
	return b.String()
}

func (w Worked) write(b *strings.Builder, title string) {
	b.WriteString("\n  " + title + "\n")
	wide := 0
	for _, v := range w.Values {
		wide = max(wide, utf8.RuneCountInString(v.Line.Text()))
	}
	for _, v := range w.Values {
		text := v.Line.Text()
		pad := strings.Repeat(" ", wide-utf8.RuneCountInString(text)+3)
		about := strings.Split(strings.TrimSuffix(v.Is, ".")+", "+v.From, " ")
		writeParts(b, "    "+text+pad, strings.Repeat(" ", wide+7), about)
	}
	if w.Why != "" {
		writeParts(b, "    ", "    ", strings.Split(w.Why, " "))
		return
	}
	if len(w.Lines) > 0 {
		b.WriteString("\n")
	}
	for _, l := range w.Lines {
		writeLine(b, "    ", l)
	}
	for _, o := range w.Options {
		o.write(b)
	}
	if w.So != "" {
		b.WriteString("\n")
		writeParts(b, "    ", "    ", strings.Split(w.So, " "))
	}
}

// write writes an option and, below it, its comparisons, each with whether it holds behind the values.
func (o WorkedOption) write(b *strings.Builder) {
	indent := "    "
	if o.Text != "" {
		b.WriteString("\n")
		writeParts(b, indent, indent+"  ", strings.Split(o.Text, " "))
		indent += "  "
	}
	if words := o.Words(); words != "" {
		b.WriteString(indent + words + "\n")
	}
	for _, t := range o.Tests {
		if t.Join != "" {
			b.WriteString(indent + t.Join + "\n")
		}
		for _, l := range t.Lines {
			writeLine(b, indent, l)
		}
		parts := brokenLine(t.Last)
		parts[len(parts)-1] += ":"
		writeParts(b, indent, indent+"  ", append(parts, t.Words()))
	}
}

// writeLine writes a formula; it goes on below, further in, before a sign.
func writeLine(b *strings.Builder, indent string, l formula.Line) {
	writeParts(b, indent, indent+"  ", brokenLine(l))
}

// brokenLine is a formula in the parts that it may be broken into.
func brokenLine(l formula.Line) []string {
	var parts []string
	for i, w := range strings.Split(l.Text(), " ") {
		if i == 0 || strings.Contains("+−×÷=≈<≤>≥", w) || strings.HasSuffix(parts[len(parts)-1], ",") {
			parts = append(parts, w)
		} else {
			parts[len(parts)-1] += " " + w
		}
	}
	return parts
}

// writeParts writes parts one behind another; what does not fit goes on below, behind its own indent.
func writeParts(b *strings.Builder, first, next string, parts []string) {
	line, fresh := first, true
	for _, part := range parts {
		switch {
		case fresh:
			line += part
		case utf8.RuneCountInString(line+" "+part) > textWide:
			b.WriteString(line + "\n")
			line = next + part
		default:
			line += " " + part
		}
		fresh = false
	}
	b.WriteString(strings.TrimRight(line, " ") + "\n")
}
