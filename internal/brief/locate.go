package brief

import (
	"reflect"
	"strings"
	"unicode/utf8"
)

// Located gives the problems their place in src, the source that the brief or the rule set was read from. A member that is
// not written there is placed at what it belongs to. Problems stay as they are where src is no such file.
func (ps Problems) Located(src []byte) Problems {
	kind, v := briefFile, reflect.ValueOf(&Brief{})
	if IsRules(src) {
		kind, v = rulesFile, reflect.ValueOf(&RuleSet{})
	}
	d, _ := decode(src, kind, v.Elem())
	if d == nil {
		return ps
	}
	out := make(Problems, 0, len(ps))
	for _, p := range ps {
		out = append(out, d.locate(p))
	}
	return out.sorted()
}

// locate finds the place of p's path, or of the nearest thing around it.
func (d *decoder) locate(p Problem) Problem {
	path := p.Path
	pl, ok := d.places[path]
	for ; !ok && path != ""; pl, ok = d.places[path] {
		path = path[:max(strings.LastIndexAny(path, ".["), 0)]
	}
	if path == p.Path {
		pl = d.within(pl, p.Offset)
	}
	at := d.at(pl.line, pl.column, "")
	p.Line, p.Column, p.Source = at.Line, at.Column, at.Source
	return p
}

// within moves a scalar's place to the byte offset in its text, where the text stands in the source as it was decoded;
// otherwise (escapes, folded lines) the place stays at its start.
func (d *decoder) within(pl place, offset int) place {
	if offset <= 0 || offset > len(pl.text) {
		return pl
	}
	before := pl.text[:offset]
	if pl.block {
		return d.withinBlock(pl, before)
	}
	if pl.line > len(d.lines) || strings.Contains(pl.text, "\n") {
		return pl
	}
	rest := afterRunes(d.lines[pl.line-1], pl.column-1)
	quote := 0
	if strings.HasPrefix(rest, `"`) || strings.HasPrefix(rest, "'") {
		quote = 1
	}
	if strings.HasPrefix(rest[quote:], pl.text) {
		pl.column += quote + utf8.RuneCountInString(before)
	}
	return pl
}

// withinBlock finds the line of a text that was written below “|”.
func (d *decoder) withinBlock(pl place, before string) place {
	row := strings.Count(before, "\n")
	inRow := strings.TrimLeft(before[strings.LastIndexByte(before, '\n')+1:], " ")
	if line := pl.line + 1 + row; line <= len(d.lines) {
		text := d.lines[line-1]
		trimmed := strings.TrimLeft(text, " ")
		if strings.HasPrefix(trimmed, inRow) {
			pl.line, pl.column = line, len(text)-len(trimmed)+1+utf8.RuneCountInString(inRow)
		}
	}
	return pl
}

// afterRunes is s without its first n characters.
func afterRunes(s string, n int) string {
	for i := range s {
		if n == 0 {
			return s[i:]
		}
		n--
	}
	return ""
}
