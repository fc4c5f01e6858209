package marking

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
)

// MaxSheetBytes is how large a submission file may be: one trainee's figures fit many times over.
const MaxSheetBytes = 1 << 20

// The other bounds of a submission file.
const (
	maxSheetRows  = 2000
	maxSheetDepth = 8
)

// ReadSheet reads a submission file: YAML, or JSON, which is a part of it.
//
//	trainee: T-07                 # a code of the centre's own, never looked at
//	given: {qv: 12.4 L/min}       # the trainee's drawn values, each with its unit
//	entries:
//	  - {item: P, text: "15.8", unit: kW, working: "12.4/60 × …"}
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
	switch {
	case len(src) > MaxSheetBytes:
		return Sheet{}, fault.Invalid("file", "This submission file is larger than %d KiB. Send one attempt in each file.", MaxSheetBytes>>10)
	case !utf8.Valid(src):
		return Sheet{}, fault.Invalid("file", "This file is not UTF-8 text. Save it as UTF-8 and send it again.")
	}
	file, err := parseSheet(string(src))
	if err != nil {
		return Sheet{}, syntaxFault(err)
	}
	r := sheetReader{src: src}
	s, err := r.sheet(file)
	if err != nil {
		return Sheet{}, err
	}
	return s, nil
}

// errDeep and errParser are what parseSheet finds beside the parser's own errors.
var (
	errDeep   = fmt.Errorf("it nests lists and names more than %d deep; a submission is flat: given, entries, checks", maxSheetDepth)
	errParser = errors.New("check indent, quotes and brackets")
)

// parseSheet is the library's parser behind a look at the nesting, because it recurses. It has been seen to panic on
// broken input, and a submission comes from anybody.
func parseSheet(text string) (f *ast.File, err error) {
	defer func() {
		if r := recover(); r != nil {
			f, err = nil, errParser
		}
	}()
	depth, dashes := 0, 0
	for _, t := range lexer.Tokenize(text) {
		switch t.Type {
		case token.SequenceStartType, token.MappingStartType:
			depth++
		case token.SequenceEndType, token.MappingEndType:
			depth--
		case token.SequenceEntryType:
			dashes++
		default:
			dashes = 0
		}
		if depth > maxSheetDepth || dashes > maxSheetDepth {
			return nil, errDeep
		}
	}
	return parser.ParseBytes([]byte(text), 0)
}

// syntaxFault turns the parser's finding into a fault at its line and column.
func syntaxFault(err error) error {
	var at yaml.Error
	if errors.As(err, &at) && at.GetToken() != nil {
		p := at.GetToken().Position
		return fault.Invalid(place(p.Line, p.Column), "Line %d, column %d: this is not YAML that can be read here: %s.", p.Line, p.Column, at.GetMessage())
	}
	return fault.Invalid("file", "This file is not YAML that can be read here: %v.", err)
}

func place(line, column int) string { return fmt.Sprintf("%d:%d", line, column) }

// sheetReader walks the parsed file; the first thing it cannot take ends the walk.
type sheetReader struct{ src []byte }

// fail is a fault at n, with the line as typed and a caret.
func (r *sheetReader) fail(n ast.Node, format string, args ...any) error {
	message := fmt.Sprintf(format, args...)
	if m, ok := n.(*ast.MappingNode); ok && !m.IsFlowStyle && len(m.Values) > 0 {
		n = m.Values[0]
	}
	if pair, ok := n.(*ast.MappingValueNode); ok {
		n = pair.Key // its own token is the colon
	}
	if n == nil || n.GetToken() == nil {
		return fault.Invalid("file", "%s", message)
	}
	p := n.GetToken().Position
	line := ""
	if lines := bytes.Split(r.src, []byte("\n")); p.Line >= 1 && p.Line <= len(lines) {
		line = string(bytes.TrimRight(lines[p.Line-1], "\r"))
	}
	if utf8.RuneCountInString(line) > 200 {
		return fault.Invalid(place(p.Line, p.Column), "Line %d, column %d: %s", p.Line, p.Column, message)
	}
	return fault.Invalid(place(p.Line, p.Column), "Line %d, column %d: %s\n%s\n%s^", p.Line, p.Column, message, line, strings.Repeat(" ", max(p.Column-1, 0)))
}

func (r *sheetReader) sheet(file *ast.File) (Sheet, error) {
	var s Sheet
	docs := slices.DeleteFunc(slices.Clone(file.Docs), func(d *ast.DocumentNode) bool { return d.Body == nil })
	if len(docs) == 0 {
		return s, fault.Invalid("file", "This submission file is empty. It needs at least a list of entries.")
	}
	if len(docs) > 1 {
		return s, r.fail(docs[1].Body, "A second document begins here. Send one attempt in each file.")
	}
	err := r.mapping(docs[0].Body, "a submission", func(key string, v ast.Node) (err error) {
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
	err := r.mapping(n, "an entry", func(key string, v ast.Node) (err error) {
		switch key {
		case "item":
			e.Item, err = r.text(v)
		case "part":
			e.Part, err = r.text(v)
		case "phase":
			e.Phase, err = r.phase(v)
		case "text":
			e.Text, err = r.text(v)
		case "unit":
			e.Unit, err = r.text(v)
		case "working":
			e.Working, err = r.text(v)
		default:
			err = errUnknown("item", "part", "phase", "text", "unit", "working")
		}
		return err
	})
	if err == nil && e.Item == "" {
		err = r.fail(n, "An entry needs item: the key of the item in the brief.")
	}
	return e, err
}

func (r *sheetReader) earlier(n ast.Node) (EarlierRow, error) {
	var e EarlierRow
	err := r.mapping(n, "an earlier result", func(key string, v ast.Node) (err error) {
		switch key {
		case "item":
			e.Item, err = r.text(v)
		case "part":
			e.Part, err = r.text(v)
		case "phase":
			e.Phase, err = r.phase(v)
		case "text":
			e.Text, err = r.text(v)
		case "unit":
			e.Unit, err = r.text(v)
		case "done":
			e.Done, err = r.text(v)
		default:
			err = errUnknown("item", "part", "phase", "text", "unit", "done")
		}
		return err
	})
	if err == nil && e.Item == "" {
		err = r.fail(n, "An earlier result needs item: the key of the item in the brief.")
	}
	return e, err
}

func (r *sheetReader) check(n ast.Node) (CheckReading, error) {
	var c CheckReading
	err := r.mapping(n, "a check reading", func(key string, v ast.Node) (err error) {
		switch key {
		case "item":
			c.Item, err = r.text(v)
		case "phase":
			c.Phase, err = r.phase(v)
		case "text":
			c.Text, err = r.text(v)
		case "seen":
			b, ok := v.(*ast.BoolNode)
			if !ok {
				return r.fail(v, "seen is true or false.")
			}
			c.Seen = b.Value
		default:
			err = errUnknown("item", "phase", "text", "seen")
		}
		return err
	})
	if err == nil && c.Item == "" {
		err = r.fail(n, "A check reading needs item: the key of the reading in the brief.")
	}
	return c, err
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

// text is a scalar as typed: a number keeps its digits.
func (r *sheetReader) text(n ast.Node) (string, error) {
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
