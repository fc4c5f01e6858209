package brief

import (
	"bytes"
	"fmt"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Print writes a brief as its canonical file: members in the order of the format, two spaces of indent, quotes only where
// they are needed, texts of several lines as blocks. Reading the file gives the same brief again; comments of the file
// that the brief was read from are not kept. The error is Problems: a text that is not UTF-8, or a file over MaxBytes.
func Print(b *Brief) ([]byte, error) { return printed(reflect.ValueOf(b).Elem(), briefFile) }

func printed(v reflect.Value, kind YAMLKind) ([]byte, error) {
	p := printer{}
	p.members(v, 0, "", false)
	if len(p.problems) > 0 {
		return nil, p.problems
	}
	if p.out.Len() > kind.Bytes {
		return nil, Problems{{Text: fmt.Sprintf("Written out, this %s has %d bytes; a %s has %d at most.", kind.Noun, p.out.Len(), kind.Noun, kind.Bytes)}}
	}
	return p.out.Bytes(), nil
}

type printer struct {
	out      bytes.Buffer
	problems Problems
}

// members writes a struct's members. Where it is an entry of a list the first member goes on the line of the dash.
func (p *printer) members(v reflect.Value, indent int, path string, entry bool) {
	first := entry
	for _, m := range members(v.Type()) {
		f := v.Field(m.index)
		if !m.required && blank(f) {
			continue
		}
		if !first {
			p.out.WriteString(strings.Repeat("  ", indent))
		}
		first = false
		p.out.WriteString(m.name + ":")
		p.value(f, indent, join(path, m.name))
	}
	if first { // an entry without members
		p.out.WriteString("{}\n")
	}
}

// blank says whether a member is left out: what reads back as the same when it is not there.
func blank(v reflect.Value) bool {
	return v.IsZero() || v.Kind() == reflect.Slice && v.Len() == 0
}

// value writes what follows a member's colon.
func (p *printer) value(v reflect.Value, indent int, path string) {
	switch v.Kind() {
	case reflect.Pointer:
		p.value(v.Elem(), indent, path)
	case reflect.Struct:
		if allBlank(v) {
			p.out.WriteString(" {}\n")
			return
		}
		p.out.WriteByte('\n')
		p.members(v, indent+1, path, false)
	case reflect.Slice:
		p.list(v, indent, path)
	case reflect.String:
		p.text(v.String(), indent, path)
	case reflect.Bool:
		fmt.Fprintf(&p.out, " %t\n", v.Bool())
	case reflect.Int:
		fmt.Fprintf(&p.out, " %d\n", v.Int())
	}
}

func (p *printer) list(v reflect.Value, indent int, path string) {
	if v.Len() == 0 {
		p.out.WriteString(" []\n")
		return
	}
	p.out.WriteByte('\n')
	for i := range v.Len() {
		e, at := v.Index(i), path+"["+strconv.Itoa(i)+"]"
		p.out.WriteString(strings.Repeat("  ", indent+1) + "-")
		if e.Kind() == reflect.Struct {
			p.out.WriteByte(' ')
			p.members(e, indent+2, at, true)
			continue
		}
		p.value(e, indent+1, at)
	}
}

// allBlank says whether a struct has no member to print.
func allBlank(v reflect.Value) bool {
	for _, m := range members(v.Type()) {
		if m.required || !blank(v.Field(m.index)) {
			return false
		}
	}
	return true
}

func (p *printer) text(s string, indent int, path string) {
	switch {
	case !utf8.ValidString(s):
		p.problems = append(p.problems, Problem{Path: path, Text: "This text is not UTF-8. Type it again."})
	case plain(s):
		p.out.WriteString(" " + s + "\n")
	case fitsBlock(s):
		p.block(s, indent)
	default:
		p.out.WriteString(" " + quoted(s) + "\n")
	}
}

// plainText is what may stand without quotes and is read as a text by every YAML reader: it starts with a letter or digit
// and has no mark that YAML gives a meaning.
var plainText = regexp.MustCompile(`^(?:\pL|[0-9])[\pL\pN .,;%°²³·×÷−–—'’‘“”/()=+<>≤≥*^_?!-]*$`)

// likeNumber is what another YAML reader might take for a number or a date: 1.10 must not come back as 1.1.
var likeNumber = regexp.MustCompile(`^[0-9][0-9a-fA-FxXoO_.,eE+-]*$`)

func plain(s string) bool {
	if !plainText.MatchString(s) || likeNumber.MatchString(s) || strings.HasSuffix(s, " ") || len(s) > 400 {
		return false
	}
	switch strings.ToLower(s) {
	case "true", "false", "null", "yes", "no", "on", "off", "y", "n": // words that other readers take for something else
		return false
	}
	return true
}

// fitsBlock says whether s, of several lines, reads back from a block exactly as it is.
func fitsBlock(s string) bool {
	body := strings.TrimSuffix(s, "\n")
	if !strings.Contains(body, "\n") || strings.HasSuffix(body, "\n") {
		return false
	}
	for i, line := range strings.Split(body, "\n") {
		if strings.TrimRightFunc(line, unicode.IsSpace) != line || i == 0 && (line == "" || line[0] == ' ') {
			return false
		}
		for _, r := range line {
			if !unicode.IsPrint(r) {
				return false
			}
		}
	}
	return true
}

func (p *printer) block(s string, indent int) {
	body, ended := strings.CutSuffix(s, "\n")
	p.out.WriteString(" |")
	if !ended {
		p.out.WriteByte('-')
	}
	p.out.WriteByte('\n')
	for line := range strings.SplitSeq(body, "\n") {
		if line != "" {
			p.out.WriteString(strings.Repeat("  ", indent+1) + line)
		}
		p.out.WriteByte('\n')
	}
}

// quoted writes s in double quotes, with what cannot be seen as escapes.
func quoted(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r == ' ' || unicode.IsPrint(r):
			b.WriteRune(r)
		case r <= 0xff:
			fmt.Fprintf(&b, `\x%02x`, r)
		case r <= 0xffff:
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			fmt.Fprintf(&b, `\U%08x`, r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
