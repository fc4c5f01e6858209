package marking

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"witnessmark/internal/quantity"
)

// Table is the result as plain text: one row a line, then what is to be said of each, then the sum. It ends with a line
// break.
func Table(r Result) string {
	rows := [][]string{{"line", "stated", "from given", "from own", "tolerance or limit", "verdict", "marks"}}
	for i := range r.Findings {
		f := &r.Findings[i]
		rows = append(rows, []string{f.Line(), oneLine(f.Stated), referenceCell(f, f.FromGiven, f.Expected), referenceCell(f, f.FromOwn, f.ExpectedOwn),
			limitOrTolerance(f), verdictCell(f), marksCell(f)})
	}
	var b strings.Builder
	writeColumns(&b, rows)
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Verdict.Full() && len(f.Flags) == 0 && !f.Blocks {
			continue
		}
		fmt.Fprintf(&b, "\n%s: %s\n", f.Line(), f.Tutor)
		for _, flag := range f.Flags {
			fmt.Fprintf(&b, "    %s\n", flag.Text)
		}
	}
	for i := range r.Diagnoses {
		fmt.Fprintf(&b, "\n%s: %s\n", r.Diagnoses[i].Item, r.Diagnoses[i].Tutor)
	}
	for _, flag := range r.Flags {
		fmt.Fprintf(&b, "\n%s\n", flag.Text)
	}
	fmt.Fprintf(&b, "\n%d of %d marks (feedback only: a criterion is met on its own evidence).\n", r.Marks, r.Available)
	if n := r.count(ToRead); n > 0 {
		fmt.Fprintf(&b, "%s for the tutor to read.\n", lines(n))
	}
	if n := blocking(r.Findings); n > 0 {
		fmt.Fprintf(&b, "%s a criterion as things stand.\n", map[bool]string{true: "1 line holds up", false: fmt.Sprintf("%d lines hold up", n)}[n == 1])
	}
	b.WriteString(r.Engine)
	if r.BriefDigest != "" {
		b.WriteString("; brief " + r.BriefDigest[:min(len(r.BriefDigest), 12)])
	}
	b.WriteString("; " + r.Properties + "\n")
	return b.String()
}

// Line names the finding's line of the sheet: item, item#part, item@phase.
func (f *Finding) Line() string {
	s := f.Item
	if f.Part != "" {
		s += "#" + f.Part
	}
	if f.Phase != "" {
		s += "@" + string(f.Phase)
	}
	return s
}

func (r Result) count(v Verdict) int {
	n := 0
	for i := range r.Findings {
		if r.Findings[i].Verdict == v {
			n++
		}
	}
	return n
}

func blocking(fs []Finding) int {
	n := 0
	for i := range fs {
		if fs[i].Blocks {
			n++
		}
	}
	return n
}

func lines(n int) string {
	if n == 1 {
		return "1 line"
	}
	return fmt.Sprintf("%d lines", n)
}

func referenceCell(f *Finding, x *float64, words string) string {
	if x != nil {
		return quantityText(*x, f.Unit)
	}
	return oneLine(words)
}

// quantityText is a reference with five figures, so that a column of them can be compared by eye.
func quantityText(x float64, unit string) string {
	return joined(quantity.FormatFigures(x, quantity.One, 5), unit)
}

func limitOrTolerance(f *Finding) string {
	switch {
	case f.Limit != "" && f.Tolerance != "":
		return f.Tolerance + "; " + f.Limit
	case f.Limit != "":
		return f.Limit
	}
	return f.Tolerance
}

func verdictCell(f *Finding) string {
	s := f.Verdict.Words()
	if f.Blocks {
		s += ", holds up"
	}
	return s
}

func marksCell(f *Finding) string {
	if f.Available == 0 {
		return ""
	}
	return fmt.Sprintf("%d/%d", f.Marks, f.Available)
}

// oneLine keeps what people typed from breaking the table.
func oneLine(s string) string {
	s = strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r < ' ' || r == 0x7f }), " ")
	if r := []rune(s); len(r) > 30 {
		return string(r[:29]) + "…"
	}
	return s
}

// writeColumns sets rows into columns two spaces apart.
func writeColumns(b *strings.Builder, rows [][]string) {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		var line strings.Builder
		for i, cell := range row {
			line.WriteString(cell + strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell)+2))
		}
		b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
}
