package brief

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// Read reads a brief file. The error is Problems with every place that does not fit the format: unknown, missing and
// repeated members, a list where one text belongs, and YAML that means more than it says. Read looks at the form alone;
// whether the brief can be answered is Check's word.
func Read(src []byte) (*Brief, error) {
	var b Brief
	d, ps := decode(src, briefFile, reflect.ValueOf(&b).Elem())
	if err := ps.orEdition(d, "brief", b.Edition, Edition); err != nil {
		return nil, err
	}
	return &b, nil
}

// decode fills v with what src holds, a file of that kind. The decoder is nil where src is no plain YAML.
func decode(src []byte, kind YAMLKind, v reflect.Value) (*decoder, Problems) {
	s, ps := readSource(src, kind)
	if len(ps) > 0 {
		return nil, ps
	}
	d := &decoder{source: s, places: map[string]place{}}
	d.value(s.body, v, "")
	return d, d.problems.sorted()
}

// orEdition is the problems of reading a file or, where there are none, that it is of another edition than the one that is
// read.
func (ps Problems) orEdition(d *decoder, member string, got, want int) error {
	if len(ps) > 0 {
		return ps
	}
	if got != want {
		return Problems{d.locate(Problem{Path: member, Text: fmt.Sprintf("This is edition %d of the %s file; this program reads edition %d.", got, d.kind.Noun, want)})}
	}
	return nil
}

// Digest is the SHA-256 of a brief version's source in hex: attempts and results name the version by it.
func Digest(src []byte) string {
	sum := sha256.Sum256(src)
	return hex.EncodeToString(sum[:])
}

// place is where a value stands in the source.
type place struct {
	line, column int
	text         string // of a scalar, as decoded
	block        bool   // the text starts on the line below
}

// decoder fills a brief or a rule set from YAML and remembers where everything stood.
type decoder struct {
	*source
	places   map[string]place
	problems Problems
}

func (d *decoder) say(n ast.Node, path, hint, format string, args ...any) {
	d.sayAt(placeOf(n), path, hint, format, args...)
}

func (d *decoder) sayAt(pl place, path, hint, format string, args ...any) {
	p := d.at(pl.line, pl.column, format, args...)
	p.Path, p.Hint = path, hint
	d.problems = append(d.problems, p)
}

// placeOf is where a node starts; a mapping's own token is its first colon.
func placeOf(n ast.Node) place {
	if m, ok := n.(*ast.MappingNode); ok && !m.IsFlowStyle && len(m.Values) > 0 {
		return placeOf(m.Values[0].Key)
	}
	t := n.GetToken()
	if t == nil || t.Position == nil {
		return place{line: 1, column: 1}
	}
	return place{line: t.Position.Line, column: t.Position.Column}
}

// value decodes n into v by v's type.
func (d *decoder) value(n ast.Node, v reflect.Value, path string) {
	d.places[path] = placeOf(n)
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		d.value(n, v.Elem(), path)
	case reflect.Struct:
		d.mapping(n, v, path)
	case reflect.Slice:
		d.list(n, v, path)
	case reflect.String:
		d.text(n, v, path)
	case reflect.Bool:
		b, ok := n.(*ast.BoolNode)
		if !ok {
			d.say(n, path, "", "“%s” is either true or false.", lastName(path))
			return
		}
		v.SetBool(b.Value)
	case reflect.Int:
		d.whole(n, v, path)
	}
}

func (d *decoder) mapping(n ast.Node, v reflect.Value, path string) {
	m, ok := n.(*ast.MappingNode)
	if !ok {
		d.say(n, path, "", "%s has members here, each as “name: text”, and this is %s.", d.subject(path), kindOf(n))
		return
	}
	ms := members(v.Type())
	seen, misspelt := map[string]int{}, map[string]bool{}
	for _, kv := range m.Values {
		name := kv.Key.GetToken().Value
		if line, twice := seen[name]; twice {
			d.say(kv.Key, join(path, name), "", "“%s” stands here a second time; the first is in line %d. Keep one of the two.", name, line)
			continue
		}
		seen[name] = placeOf(kv.Key).line
		f, known := find(ms, name)
		if !known {
			misspelt[meant(shorten(name), memberNames(ms))] = true
			d.say(kv.Key, path, didYouMean(name, memberNames(ms)), "%s has no member “%s”.", d.subject(path), shorten(name))
			continue
		}
		if empty(kv.Value) {
			d.say(kv.Key, join(path, name), d.nothing(kv.Key, name), "Nothing is written after “%s:”. Fill it in, or take the member out.", name)
			continue
		}
		d.value(kv.Value, v.Field(f.index), join(path, name))
	}
	for _, f := range ms {
		if _, ok := seen[f.name]; f.required && !ok && !misspelt[f.name] {
			d.say(n, join(path, f.name), "", "%s needs the member “%s”, and it is missing.", d.subject(path), f.name)
		}
	}
}

func (d *decoder) list(n ast.Node, v reflect.Value, path string) {
	s, ok := n.(*ast.SequenceNode)
	if !ok {
		d.say(n, path, "", "“%s” is a list, each entry on a line of its own after “- ”, and this is %s.", lastName(path), kindOf(n))
		return
	}
	if len(s.Values) == 0 {
		return // an empty list is the same as none: Check says where one is needed
	}
	v.Set(reflect.MakeSlice(v.Type(), len(s.Values), len(s.Values)))
	for i, e := range s.Values {
		at := path + "[" + strconv.Itoa(i) + "]"
		if empty(e) {
			d.sayAt(dash(s, i), at, "", "Entry %d of “%s” is empty. Fill it in, or take the dash out.", i+1, lastName(path))
			continue
		}
		d.value(e, v.Index(i), at)
	}
}

// dash is where an entry of a list starts.
func dash(s *ast.SequenceNode, i int) place {
	if i < len(s.Entries) && s.Entries[i].Start != nil && s.Entries[i].Start.Position != nil {
		at := s.Entries[i].Start.Position
		return place{line: at.Line, column: at.Column}
	}
	return placeOf(s)
}

// text takes any scalar as it is written: 1.10 stays "1.10".
func (d *decoder) text(n ast.Node, v reflect.Value, path string) {
	pl := placeOf(n)
	switch x := n.(type) {
	case *ast.StringNode:
		pl.text = x.Value
	case *ast.LiteralNode:
		pl.text, pl.block = x.Value.Value, true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		pl.text = x.GetToken().Value
	default:
		d.say(n, path, "Put the text in quotes if it starts with a bracket or holds “: ”.", "“%s” is one text, and this is %s.", lastName(path), kindOf(n))
		return
	}
	d.places[path] = pl
	v.SetString(pl.text)
}

func (d *decoder) whole(n ast.Node, v reflect.Value, path string) {
	i, err := strconv.Atoi(n.GetToken().Value)
	if _, ok := n.(*ast.IntegerNode); !ok || err != nil || i < 0 || i > 9999 || strconv.Itoa(i) != n.GetToken().Value {
		d.say(n, path, "", "“%s” is a whole number from 0 to 9999, written in digits.", lastName(path))
		return
	}
	v.SetInt(int64(i))
}

func find(ms []member, name string) (member, bool) {
	for _, m := range ms {
		if m.name == name {
			return m, true
		}
	}
	return member{}, false
}

// empty says whether nothing was written for a value.
func empty(n ast.Node) bool {
	if n == nil {
		return true
	}
	_, null := n.(*ast.NullNode)
	return null
}

// nothing is a hint where a word stands for nothing behind a member's name.
func (d *decoder) nothing(key ast.Node, name string) string {
	_, after, _ := strings.Cut(d.lines[placeOf(key).line-1], name+":")
	word, _, _ := strings.Cut(strings.TrimSpace(strings.NewReplacer(",", " ", "}", " ").Replace(after)), " ")
	if word == "~" || strings.EqualFold(word, "null") {
		return "“" + word + "” without quotes is read as nothing. Put it in quotes, or take another word."
	}
	return ""
}

func kindOf(n ast.Node) string {
	switch n.(type) {
	case *ast.MappingNode:
		return "a group of members"
	case *ast.SequenceNode:
		return "a list"
	}
	return "one text"
}

// lastName is the member's own name at the end of a path.
func lastName(path string) string {
	name := path[strings.LastIndexByte(path, '.')+1:]
	name, _, _ = strings.Cut(name, "[")
	return name
}

// subject names what a path leads to, for the start of a sentence.
func (d *decoder) subject(path string) string {
	if path == "" {
		return "A " + d.kind.Noun
	}
	if strings.HasSuffix(path, "]") {
		return "An entry of “" + lastName(path) + "”"
	}
	return "“" + lastName(path) + "”"
}

// shorten keeps a long word from filling a message.
func shorten(s string) string {
	if rs := []rune(s); len(rs) > 40 {
		return string(rs[:40]) + "…"
	}
	return s
}
