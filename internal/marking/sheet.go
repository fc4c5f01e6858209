package marking

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"

	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
)

// MaxSheetBytes is how large a submission file may be: one trainee's figures fit many times over.
const MaxSheetBytes = 1 << 20

// maxSheetRows bounds each of its lists.
const maxSheetRows = 2000

// submission is a submission file. It is flat: given, entries, checks.
var submission = brief.YAMLKind{
	Noun: "submission", Bytes: MaxSheetBytes, Tokens: 200_000, Deep: 8, Empty: "This submission file is empty. It needs at least a list of entries.",
}

// ReadSheet reads a submission file: YAML, or JSON, which is a part of it.
//
//	trainee: T-07                 # a code of the centre's own, never looked at
//	given: {qv: 12.4 L/min}       # the trainee's drawn values, each with its unit
//	entries:
//	  - {item: P, text: "15.8", unit: kW, working: "12.4/60 × …"}
//	  - {item: isolation, part: prove, text: done, at: "10:42:30"}   # when: see timeInto
//	earlier:                      # failed results that a re-test has taken the place of, oldest first
//	  - {item: cpc, text: "0.62", done: tightened the terminal in the spur}
//	checks:
//	  - {item: tf, phase: as-left, text: "69.6"}
//	  - {item: tr, seen: true}
//
// It is strict: an unknown or doubled name, a number where a list belongs, an alias or a second document is refused, and
// a number keeps its digits as typed (1.00 stays 1.00). The error is a fault.Invalid whose field is the file's line and
// column, with the line itself and a caret under it.
func ReadSheet(src []byte) (Sheet, error) {
	body, at, problems := brief.ReadYAML(src, submission)
	if len(problems) > 0 {
		return Sheet{}, invalid(problems[0])
	}
	s, err := (&sheetReader{at: at}).sheet(body)
	if err != nil {
		return Sheet{}, err
	}
	return s, nil
}

// ReadJSONSheet reads a submission file that says it is JSON. It is ReadSheet, and holds the file to JSON's own rules
// first: what is only YAML, such as a comma before a closing bracket or single quotes, is refused where it stands.
func ReadJSONSheet(src []byte) (Sheet, error) {
	var syntax *json.SyntaxError
	if err := json.Unmarshal(src, new(json.RawMessage)); errors.As(err, &syntax) && len(src) <= MaxSheetBytes && utf8.Valid(src) {
		before := src[:max(min(int(syntax.Offset)-1, len(src)), 0)]
		line := bytes.Count(before, []byte("\n"))
		last := bytes.LastIndexByte(before, '\n') + 1
		p := brief.Problem{Line: line + 1, Column: utf8.RuneCount(before[last:]) + 1, Text: "This is not JSON here: " + syntax.Error() + "."}
		p.Source, _, _ = strings.Cut(string(src[last:]), "\n")
		if utf8.RuneCount(before) == 0 || !strings.ContainsFunc(p.Source, unicode.IsControl) {
			return Sheet{}, invalid(p)
		}
	}
	return ReadSheet(src)
}

// invalid is a problem as the fault of its place.
func invalid(p brief.Problem) error {
	if p.Line == 0 {
		return fault.Invalid("file", "%s", p.Text)
	}
	text := p.String()
	return fault.Invalid(fmt.Sprintf("%d:%d", p.Line, p.Column), "%s", strings.ToUpper(text[:1])+text[1:])
}

// sheetReader walks the parsed file; the first thing it cannot take ends the walk.
type sheetReader struct {
	at    func(line, column int, format string, args ...any) brief.Problem
	clock string // "time" or "date" of day once one was read: the others are written like it
}

// fail is a fault at n, with the line as typed and a caret.
func (r *sheetReader) fail(n ast.Node, format string, args ...any) error {
	if m, ok := n.(*ast.MappingNode); ok && !m.IsFlowStyle && len(m.Values) > 0 {
		n = m.Values[0]
	}
	if pair, ok := n.(*ast.MappingValueNode); ok {
		n = pair.Key // its own token is the colon
	}
	if n == nil || n.GetToken() == nil {
		return fault.Invalid("file", format, args...)
	}
	p := n.GetToken().Position
	return invalid(r.at(p.Line, p.Column, format, args...))
}

func (r *sheetReader) sheet(body ast.Node) (Sheet, error) {
	var s Sheet
	err := r.mapping(body, "a submission", func(key string, v ast.Node) (err error) {
		switch key {
		case "trainee":
			s.Trainee, err = r.text(v)
		case "given":
			s.Given = map[string]string{}
			err = r.mapping(v, "given", func(name string, v ast.Node) (err error) {
				s.Given[name], err = r.text(v)
				return err
			})
		case "entries":
			s.Entries, err = rows(r, v, r.entry)
		case "earlier":
			s.Earlier, err = rows(r, v, r.earlier)
		case "checks":
			s.Checks, err = rows(r, v, r.check)
		default:
			err = errUnknown("trainee", "given", "entries", "earlier", "checks")
		}
		return err
	})
	return s, err
}

func (r *sheetReader) entry(n ast.Node) (Entry, error) {
	var e Entry
	err := r.row(n, "an entry", "item", &e.Item,
		member{"part", r.into(&e.Part)}, member{"phase", r.phaseInto(&e.Phase)}, member{"text", r.into(&e.Text)},
		member{"unit", r.into(&e.Unit)}, member{"working", r.into(&e.Working)}, member{"at", r.timeInto(&e.At)})
	return e, err
}

func (r *sheetReader) earlier(n ast.Node) (EarlierRow, error) {
	var e EarlierRow
	err := r.row(n, "an earlier result", "item", &e.Item,
		member{"part", r.into(&e.Part)}, member{"phase", r.phaseInto(&e.Phase)}, member{"text", r.into(&e.Text)},
		member{"unit", r.into(&e.Unit)}, member{"done", r.into(&e.Done)})
	return e, err
}

func (r *sheetReader) check(n ast.Node) (CheckReading, error) {
	var c CheckReading
	err := r.row(n, "a check reading", "reading", &c.Item,
		member{"phase", r.phaseInto(&c.Phase)}, member{"text", r.into(&c.Text)}, member{"seen", func(v ast.Node) error {
			b, ok := v.(*ast.BoolNode)
			if !ok {
				return r.fail(v, "seen is true or false.")
			}
			c.Seen = b.Value
			return nil
		}})
	return c, err
}

// member is a name in a row and what reads its value.
type member struct {
	name string
	read func(ast.Node) error
}

// row reads a row that has to name an item of the brief; of says of which form.
func (r *sheetReader) row(n ast.Node, what, of string, item *string, members ...member) error {
	members = append([]member{{"item", r.into(item)}}, members...)
	err := r.mapping(n, what, func(key string, v ast.Node) error {
		names := make([]string, len(members))
		for i, m := range members {
			if m.name == key {
				return m.read(v)
			}
			names[i] = m.name
		}
		return errUnknown(names...)
	})
	if err == nil && *item == "" {
		err = r.fail(n, "%s needs item: the key of the %s in the brief.", capital(what), of)
	}
	return err
}

func (r *sheetReader) into(dst *string) func(ast.Node) error {
	return func(v ast.Node) (err error) {
		*dst, err = r.text(v)
		return err
	}
}

func (r *sheetReader) phaseInto(dst *brief.Phase) func(ast.Node) error {
	return func(v ast.Node) (err error) {
		*dst, err = r.phase(v)
		return err
	}
}

// unknownName is how a walk's function says that it does not know the name; mapping adds the place.
type unknownName struct{ known []string }

func errUnknown(known ...string) error { return &unknownName{known} }

func (u *unknownName) Error() string {
	return "one of " + strings.Join(u.known, ", ") + " belongs here"
}

func (r *sheetReader) phase(n ast.Node) (brief.Phase, error) {
	s, err := r.text(n)
	p := brief.Phase(s)
	if err == nil && p != brief.NoPhase && p != brief.AsFound && p != brief.AsLeft {
		err = r.fail(n, "A phase is as-found or as-left.")
	}
	return p, err
}

// rows reads a list, each row by read.
func rows[T any](r *sheetReader, n ast.Node, read func(ast.Node) (T, error)) ([]T, error) {
	list, ok := n.(*ast.SequenceNode)
	if !ok {
		return nil, r.fail(n, "A list belongs here, one row after a dash each.")
	}
	if len(list.Values) > maxSheetRows {
		return nil, r.fail(n, "There are %d rows here; at most %d are read.", len(list.Values), maxSheetRows)
	}
	out := make([]T, 0, len(list.Values))
	for _, v := range list.Values {
		row, err := read(v)
		if err != nil {
			return nil, err
		}
		out = append(out, row)
	}
	return out, nil
}

// mapping hands each name and its value to set, once.
func (r *sheetReader) mapping(n ast.Node, what string, set func(key string, v ast.Node) error) error {
	var pairs []*ast.MappingValueNode
	switch m := n.(type) {
	case *ast.MappingNode:
		pairs = m.Values
	case *ast.MappingValueNode:
		pairs = []*ast.MappingValueNode{m}
	default:
		return r.fail(n, "Names with values belong here, for %s.", what)
	}
	seen := map[string]bool{}
	for _, pair := range pairs {
		key, err := r.text(pair.Key)
		switch {
		case err != nil:
			return err
		case seen[key]:
			return r.fail(pair.Key, "%q stands here twice; keep one.", key)
		}
		seen[key] = true
		if err := set(key, pair.Value); err != nil {
			var unknown *unknownName
			if errors.As(err, &unknown) {
				return r.fail(pair.Key, "%q is not known in %s: %s.", key, what, unknown.Error())
			}
			return err
		}
	}
	return nil
}

// text is a scalar as typed: a number keeps its digits. It has no characters that cannot be seen, but for line breaks and
// tabs: they make a text look like another.
func (r *sheetReader) text(n ast.Node) (string, error) {
	text, err := r.scalar(n)
	if err == nil {
		if i := strings.IndexFunc(text, unseen); i >= 0 {
			c, _ := utf8.DecodeRuneInString(text[i:])
			return "", r.fail(n, "There is a character in this text that cannot be seen (U+%04X). Take it out.", c)
		}
	}
	return text, err
}

// unseen are controls, marks that turn the direction of reading, and what is no character.
func unseen(c rune) bool {
	switch {
	case c == '\n', c == '\t':
		return false
	case c >= 0x202a && c <= 0x202e, c >= 0x2066 && c <= 0x2069, c == 0x200e, c == 0x200f, c == 0x2028, c == 0x2029, c == 0xfeff:
		return true
	}
	return unicode.IsControl(c) || c&0xfffe == 0xfffe
}

func (r *sheetReader) scalar(n ast.Node) (string, error) {
	switch v := n.(type) {
	case *ast.StringNode:
		return v.Value, nil
	case *ast.LiteralNode:
		return strings.TrimRight(v.Value.Value, "\n"), nil
	case *ast.IntegerNode, *ast.FloatNode, *ast.InfinityNode, *ast.NanNode:
		return strings.TrimSpace(v.GetToken().Value), nil
	case *ast.NullNode:
		return "", nil
	case *ast.BoolNode:
		return "", r.fail(n, "%s is read as a switch; put it in quotes if it is meant as words.", v.GetToken().Value)
	case *ast.AnchorNode, *ast.AliasNode, *ast.MergeKeyNode, *ast.TagNode:
		return "", r.fail(n, "Anchors, aliases and tags are not read here; write the words out.")
	}
	return "", r.fail(n, "Words or a number belong here.")
}
