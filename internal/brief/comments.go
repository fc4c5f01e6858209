package brief

import (
	"bytes"
	"errors"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/token"
)

// PrintOver writes a brief as Print does, with the comments of the file that it was changed from: each stays beside the member
// or entry that it stood at, or beside what that was part of where it is gone. A file that says the same already stays as it
// is to the letter; any other is laid out afresh.
func PrintOver(b *Brief, was []byte) ([]byte, error) {
	src, err := Print(b)
	if err != nil {
		return nil, err
	}
	before, err := Read(was)
	if err != nil {
		return src, nil
	}
	if same, err := Print(before); err == nil && bytes.Equal(same, src) {
		return was, nil
	}
	with := withComments(src, was)
	// A comment changes nothing: should one ever, the file goes without.
	after, err := Read(with)
	if err != nil {
		return src, nil
	}
	if again, err := Print(after); err != nil || !bytes.Equal(again, src) {
		return src, nil
	}
	return with, nil
}

// Text is the file of a brief after its fields were filled in: was, where they say what it says, and otherwise printed over it.
// The problems are those of Fields.Brief, or what keeps it from being printed.
func (f Fields) Text(was []byte) ([]byte, Problems) {
	b, problems := f.Brief()
	if before, err := Read(was); err == nil {
		unchanged, _ := FieldsOf(before).Brief()
		one, err1 := Print(unchanged)
		two, err2 := Print(b)
		if err1 == nil && err2 == nil && bytes.Equal(one, two) {
			return was, problems
		}
	}
	src, err := PrintOver(b, was)
	if err != nil {
		var more Problems
		errors.As(err, &more)
		return was, append(problems, more...)
	}
	return src, problems
}

// comment is a comment of a file, with the line that it belongs to.
type comment struct {
	text  string // with its #
	at    string // path of the line, "" for the end of the file
	after bool   // it stands behind something on that line
}

// withComments puts the comments of was into src.
func withComments(src, was []byte) []byte {
	_, places := linePaths(src)
	lines := strings.Split(strings.TrimSuffix(string(src), "\n"), "\n")
	above := map[int][]string{} // by the index of a line
	for _, c := range commentsOf(was) {
		line, exact := len(lines), true
		if c.at != "" {
			line, exact = placeOfPath(places, c.at, len(lines))
		}
		if c.after && exact && line < len(lines) && !strings.HasSuffix(lines[line], "|") && !strings.HasSuffix(lines[line], "|-") {
			lines[line] += "  " + c.text
			continue
		}
		above[line] = append(above[line], c.text)
	}
	var out strings.Builder
	for i := range len(lines) + 1 {
		indent := ""
		if i < len(lines) {
			indent = lines[i][:len(lines[i])-len(strings.TrimLeft(lines[i], " "))]
		}
		for _, text := range above[i] {
			out.WriteString(indent + text + "\n")
		}
		if i < len(lines) {
			out.WriteString(lines[i] + "\n")
		}
	}
	return []byte(out.String())
}

// placeOfPath is the index of the line of a path, or of what it is part of.
func placeOfPath(places map[string]int, path string, end int) (line int, exact bool) {
	for p := path; ; {
		if line, ok := places[p]; ok {
			return line - 1, p == path
		}
		i := strings.LastIndexByte(p, 0)
		if i < 0 {
			return end, false
		}
		p = p[:i]
	}
}

// commentsOf lists the comments of a file in their order.
func commentsOf(src []byte) []comment {
	paths, _ := linePaths(src)
	text := strings.TrimPrefix(string(src), "\ufeff")
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	var out []comment
	for _, t := range lexer.Tokenize(text) {
		if t.Type != token.CommentType || t.Position.Line > len(lines) {
			continue
		}
		line := t.Position.Line
		c := comment{text: "#" + strings.TrimRight(t.Value, " \r\n"), after: !strings.HasPrefix(strings.TrimLeft(lines[line-1], " "), "#")}
		for at := line; at <= len(lines) && c.at == ""; at++ {
			if c.at = paths[at]; c.after {
				break
			}
		}
		out = append(out, c)
	}
	return out
}

// linePaths says which member or entry begins on each line of a file, counted from 1, and where each begins. An entry of a list
// goes by its own name, so that it is found again wherever it stands. Steps of a path have a zero byte between them.
func linePaths(src []byte) (paths map[int]string, places map[string]int) {
	paths, places = map[int]string{}, map[string]int{}
	s, problems := readSource(src, briefFile)
	if len(problems) > 0 {
		return paths, places
	}
	var walk func(n ast.Node, path string)
	note := func(line int, path string) {
		if _, ok := paths[line]; !ok {
			paths[line] = path
		}
		if _, ok := places[path]; !ok {
			places[path] = line
		}
	}
	walk = func(n ast.Node, path string) {
		switch n := n.(type) {
		case *ast.MappingNode:
			for _, kv := range n.Values {
				at := path + "\x00" + kv.Key.GetToken().Value
				note(placeOf(kv.Key).line, at)
				walk(kv.Value, at)
			}
		case *ast.SequenceNode:
			for i, e := range n.Values {
				at := path + "\x00" + entryName(e, i)
				note(dash(n, i).line, at)
				walk(e, at)
			}
		}
	}
	walk(s.body, "")
	return paths, places
}

// namingMembers tell an entry of a list from the others.
var namingMembers = []string{"key", "name", "item", "part", "phase", "unit", "at", "row"}

// entryName is what tells an entry of a list apart: its own name, its text, or its place.
func entryName(n ast.Node, i int) string {
	m, ok := n.(*ast.MappingNode)
	if !ok {
		return n.GetToken().Value
	}
	name := ""
	for _, kv := range m.Values {
		if slices.Contains(namingMembers, kv.Key.GetToken().Value) && kv.Value != nil {
			name += kv.Value.GetToken().Value + "/"
		}
	}
	if name == "" {
		return strconv.Itoa(i)
	}
	return name
}
