package ui

import (
	"cmp"
	"fmt"
	"html/template"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// thin is the narrow space between a value and its unit; a line does not break there.
const thin = "\u202f"

// clock is a moment as people read it, "3 May 2026, 14:05"; "" for no moment.
func clock(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(app.London()).Format("2 January 2006, 15:04")
}

// timed is a time as people read it, with the same for machines.
func timed(t time.Time, words string) template.HTML {
	return template.HTML(`<time datetime="` + t.UTC().Format(time.RFC3339) + `">` + template.HTMLEscapeString(words) + `</time>`)
}

// later is a moment beside another that was just named: on the same day its time is enough.
func later(named, t time.Time) string {
	if day(named) != day(t) || t.IsZero() {
		return clock(t)
	}
	return t.In(app.London()).Format("15:04")
}

// moments are two moments, of which the second is said beside the first.
type moments struct{ First, Second time.Time }

// day is the day of a moment as people read it, "3 May 2026".
func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(app.London()).Format("2 January 2006")
}

// date is a date, which has no zone, as people read it.
func date(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format("2 January 2006")
}

// size is a count of bytes as people read it.
func size(n int64) string {
	switch {
	case n >= 1_000_000:
		return fmt.Sprintf("%.1f%sMB", float64(n)/1e6, thin)
	case n >= 1000:
		return fmt.Sprintf("%d%skB", n/1000, thin)
	}
	return fmt.Sprintf("%d%sbytes", n, thin)
}

// spaced puts a thin space between a leading number and its unit: "80 °C".
func spaced(s string) string {
	number, unit, ok := strings.Cut(s, " ")
	if !ok || number == "" || !strings.ContainsAny(number[:1], "0123456789-−+.") {
		return s
	}
	if rest, below := strings.CutPrefix(number, "-"); below {
		number = "−" + rest // as typed on a keyboard
	}
	return number + thin + unit
}

// held keeps a sentence's values and their units on one line: at the marker's thin spaces a browser would break it.
func held(s string) string { return strings.ReplaceAll(s, "\u2009", thin) }

var betweenFigures = regexp.MustCompile(`(\d) ([\d°%])`)

// unbroken keeps figures that are written in groups, and degrees and per cent with their figures, on one line.
func unbroken(s string) string {
	s = betweenFigures.ReplaceAllString(s, "${1}"+thin+"${2}")
	return betweenFigures.ReplaceAllString(s, "${1}"+thin+"${2}") // a group of one figure touches two spaces
}

// count is a number of things in words: "1 trainee", "12 trainees".
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// join lists things with commas and an "and"; where one has them itself, with semicolons.
func join(ss []string) string {
	if len(ss) < 2 {
		return strings.Join(ss, "")
	}
	if slices.ContainsFunc(ss, func(s string) bool { return strings.Contains(s, ", ") || strings.Contains(s, " and ") }) {
		return strings.Join(ss, "; ")
	}
	return strings.Join(ss[:len(ss)-1], ", ") + " and " + ss[len(ss)-1]
}

// naturally compares titles so that "Bay 9" stands before "Bay 10": runs of digits by what they count, the rest by letters.
func naturally(a, b string) int {
	for a != "" && b != "" {
		na, nb := digits(a), digits(b)
		if na > 0 && nb > 0 {
			x, y := strings.TrimLeft(a[:na], "0"), strings.TrimLeft(b[:nb], "0")
			if c := cmp.Or(len(x)-len(y), strings.Compare(x, y)); c != 0 {
				return c
			}
			a, b = a[na:], b[nb:]
			continue
		}
		if a[0] != b[0] {
			return int(a[0]) - int(b[0])
		}
		a, b = a[1:], b[1:]
	}
	return len(a) - len(b)
}

// digits counts the digits that a text begins with.
func digits(s string) int {
	return len(s) - len(strings.TrimLeft(s, "0123456789"))
}

// roleWords lists roles in words.
func roleWords(roles []account.Role) string {
	var ss []string
	for _, r := range roles {
		ss = append(ss, r.Words())
	}
	return strings.Join(ss, ", ")
}

// newID makes an id for a form, so that a form sent twice has one effect.
func newID() (string, error) {
	id, err := uuid.NewV7()
	return id.String(), err
}

// functions are what templates may call.
func functions(static *staticFiles) template.FuncMap {
	return template.FuncMap{
		"asset": static.address, "modules": static.modules, "clock": clock, "later": later, "pair": func(a, b time.Time) moments { return moments{a, b} }, "typeset": typeset, "drawn": drawn, "held": held, "stepsRounded": func() string { return marking.StepsRounded }, "day": day, "date": date, "size": size, "spaced": spaced, "count": count, "cardWords": cardWords, "fileOf": fileOf,
		"sentence": sentence, "caret": caret, "toleranceWords": toleranceWords,
		"join": join, "either": func(ss []string) string { return strings.Join(ss, "; ") }, "roles": roleWords, "newid": newID, "idof": idOf,
		"timed":      timed,
		"iso":        func(t time.Time) string { return t.UTC().Format(time.RFC3339) },
		"releasedAt": decision.ReleasedAt, "onTheSpot": onTheSpot,
		"paragraphs": paragraphs,
		"dayWords":   func(d brief.Day) string { return dateWords(string(d)) },
		"lines":      func(s string) []string { return strings.Split(strings.TrimRight(s, "\n"), "\n") },
	}
}

// paragraphs splits a text at its empty lines; a single line's end is only where the writer's page was full.
func paragraphs(s string) []string {
	var ps []string
	for p := range strings.SplitSeq(strings.ReplaceAll(s, "\r\n", "\n"), "\n\n") {
		if p = strings.TrimSpace(p); p != "" {
			ps = append(ps, p)
		}
	}
	return ps
}

// caret shows a line of a brief's text with a caret under one of its columns, counted from 1 in characters. A long line is
// cut down to what is near.
func caret(line string, column int) string {
	const wide = 80
	rs, at := []rune(strings.ReplaceAll(line, "\t", " ")), max(column-1, 0)
	at = min(at, len(rs))
	if len(rs) > wide {
		from := min(max(at-wide/2, 0), len(rs)-wide)
		rs, at = rs[from:from+wide], at-from
	}
	return string(rs) + "\n" + strings.Repeat(" ", at) + "^"
}

// toleranceWords is a tolerance as the tutor wrote it, in words.
func toleranceWords(t *brief.Tolerance) string {
	var ss []string
	for _, s := range []string{t.Absolute, t.Relative} {
		if s != "" {
			ss = append(ss, "± "+spaced(s))
		}
	}
	switch {
	case t.Figures > 0:
		return count(t.Figures, "significant figure", "significant figures")
	case t.Exact:
		return "exact"
	case t.AtLeast:
		ss = append(ss, "the reference or more")
	case t.AtMost:
		ss = append(ss, "the reference or less")
	}
	words := strings.Join(ss, " or ")
	if len(ss) == 2 && t.Absolute != "" && t.Relative != "" {
		words += ", the larger"
	}
	if t.Bound != "" {
		words += ", but not beyond " + spaced(t.Bound)
	}
	if t.Because != "" {
		words += ": " + t.Because
	}
	return words
}

// minus is a printed number with the minus sign that people write.
func minus(number string) string { return strings.Replace(number, "-", "−", 1) }
