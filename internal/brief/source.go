package brief

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// MaxBytes is how large a brief file may be.
const MaxBytes = 256 << 10

// YAMLKind is a kind of file that is written in plain YAML: what it is called and what it may be at most.
type YAMLKind struct {
	Noun   string // "brief"
	Bytes  int
	Tokens int    // words and marks
	Deep   int    // lists and members within one another
	Empty  string // said of a file with nothing in it
}

// briefFile is a brief's. The format is five members deep; the rest is room.
var briefFile = YAMLKind{Noun: "brief", Bytes: MaxBytes, Tokens: 60_000, Deep: 16, Empty: "The file is empty. A brief starts with “brief: 1”."}

// source is a file that was read as YAML.
type source struct {
	kind  YAMLKind
	lines []string
	body  ast.Node
}

// ReadYAML reads src as one plain YAML document, or JSON, which is a part of it: what briefs and submissions have in common.
// Without problems body is the document's, and at makes a problem at a place of it.
func ReadYAML(src []byte, kind YAMLKind) (body ast.Node, at func(line, column int, format string, args ...any) Problem, problems Problems) {
	s, problems := readSource(src, kind)
	if len(problems) > 0 {
		return nil, nil, problems
	}
	return s.body, s.at, nil
}

// readSource reads src as one plain YAML document. Whatever could make reading costly or could mean something else
// elsewhere (aliases, tags, directives, several documents) is refused on the tokens, before anything is built.
func readSource(src []byte, kind YAMLKind) (*source, Problems) {
	if len(src) > kind.Bytes {
		return nil, Problems{{Text: fmt.Sprintf("The file is too large: a %s has %d bytes at most. Photos and documents are not part of it.", kind.Noun, kind.Bytes)}}
	}
	text := strings.TrimPrefix(string(src), "\ufeff")
	s := &source{kind: kind, lines: strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")}
	if p, ok := s.unreadable(text); ok {
		return nil, Problems{p}
	}
	if ps := s.refused(text); len(ps) > 0 {
		return nil, ps.sorted()
	}
	file, err := parseYAML(text)
	if err != nil {
		return nil, Problems{s.syntax(err)}
	}
	if len(file.Docs) != 1 || file.Docs[0].Body == nil {
		return nil, Problems{s.at(1, 1, "%s", kind.Empty)}
	}
	s.body = file.Docs[0].Body
	return s, nil
}

// at makes a problem at a place of the source.
func (s *source) at(line, column int, format string, args ...any) Problem {
	p := Problem{Line: max(line, 1), Column: max(column, 1), Text: fmt.Sprintf(format, args...)}
	if p.Line <= len(s.lines) {
		p.Source = strings.TrimRight(s.lines[p.Line-1], "\r")
	}
	return p
}

// unreadable finds the first byte that no text has.
func (s *source) unreadable(text string) (Problem, bool) {
	line, column := 1, 1
	for i, r := range text {
		switch {
		case r == utf8.RuneError && strings.HasPrefix(text[i:], "\ufffd"):
			// A real replacement character, written by somebody.
		case r == utf8.RuneError:
			p := s.at(line, column, "The file is not plain text in UTF-8 here. Save it as UTF-8.")
			p.Source = strings.ToValidUTF8(p.Source, "?")
			return p, true
		case r == '\n':
			line, column = line+1, 0
		case r == '\r' && strings.HasPrefix(text[i:], "\r\n"), r == '\t':
		case r == '\u0085' || r == '\u2028' || r == '\u2029' || unicode.IsControl(r) || r == '\ufeff':
			return s.at(line, column, "There is a character here that cannot be seen (U+%04X). Take it out.", r), true
		}
		column++
	}
	return Problem{}, false
}

// refusedTokens are the marks of YAML that such a file may not hold, with what to do instead.
var refusedTokens = map[token.Type]string{
	token.AnchorType:     "A brief has no anchors (&): write the text out where it belongs, or put it in quotes if it starts with “&”.",
	token.AliasType:      "A brief has no aliases (*): write the text out where it belongs, or put it in quotes if it starts with “*”.",
	token.MergeKeyType:   "A brief has no merged members (<<): write them out.",
	token.TagType:        "A brief has no tags (!): put the text in quotes if it starts with “!”.",
	token.DirectiveType:  "A brief has no directives (%): put the text in quotes if it starts with “%”.",
	token.MappingKeyType: "A member's name is a plain word; “?” has no place before it. Put the text in quotes if it starts with “?”.",
}

// refused looks through the tokens for what such a file may not hold.
func (s *source) refused(text string) Problems {
	var ps Problems
	tokens := lexer.Tokenize(text)
	if len(tokens) > s.kind.Tokens {
		return Problems{{Text: fmt.Sprintf("The file has more than %d words and marks; that is no %s. Split it.", s.kind.Tokens, s.kind.Noun)}}
	}
	depth, dashes := 0, 0
	for i, t := range tokens {
		say := func(words string) {
			ps = append(ps, s.at(t.Position.Line, t.Position.Column, "%s", words))
		}
		if words, no := refusedTokens[t.Type]; no {
			say(strings.Replace(words, "A brief", "A "+s.kind.Noun, 1))
		}
		switch t.Type {
		case token.DocumentHeaderType:
			if !onlyComments(tokens[:i]) {
				say("A file holds one " + s.kind.Noun + " only. Put the next one into a file of its own.")
			}
		case token.SequenceStartType, token.MappingStartType:
			depth++
		case token.SequenceEndType, token.MappingEndType:
			depth--
		}
		if t.Type == token.SequenceEntryType {
			dashes++
		} else {
			dashes = 0
		}
		if depth > s.kind.Deep || dashes > s.kind.Deep {
			say("Lists and members are nested too deeply here.")
			return ps
		}
	}
	return ps
}

func onlyComments(ts token.Tokens) bool {
	for _, t := range ts {
		if t.Type != token.CommentType {
			return false
		}
	}
	return true
}

// errParser means that the YAML library gave up without saying where.
var errParser = errors.New("the YAML cannot be read")

// parseYAML is the library's parser. A file comes from anybody: should the library panic over one, that is an answer
// to its author and not the end of the program.
func parseYAML(text string) (f *ast.File, err error) {
	defer func() {
		if r := recover(); r != nil {
			f, err = nil, fmt.Errorf("%w: %v", errParser, r)
		}
	}()
	return parser.ParseBytes([]byte(text), 0, parser.AllowDuplicateMapKey())
}

// syntaxWords turns the library's words into ours; the first whose start fits is taken.
var syntaxWords = []struct{ theirs, ours string }{
	{"mapping value is not allowed", "There is a second “: ” on this line. Put the text in quotes if the colon belongs to it."},
	{"block sequence entries are not allowed", "A list starts on a new line below its name. Put the text in quotes if it starts with “- ”."},
	{"found character '\t'", "A tab stands where spaces belong. Indent with spaces."},
	{"found a tab", "A tab stands where spaces belong. Indent with spaces."},
	{"tab character", "A tab stands where spaces belong. Indent with spaces."},
	{"could not find end character", "This quote is never closed."},
	{"value is not allowed in this context", "This does not fit where it stands. Check the indent: members of one thing start in the same column."},
	{"unexpected key name", "This does not fit where it stands. Check the indent, and that a “: ” follows the member's name."},
	{"non-map value", "This does not fit where it stands. A member is written as “name: text”."},
	{"',' or", "A comma or a closing bracket is missing here."},
	{"could not find '", "This bracket closes nothing. Put the text in quotes if it holds brackets."},
	{"could not find flow", "This bracket is never closed. Put the text in quotes if it starts with a bracket."},
	{"sequence end token", "This bracket is never closed. Put the text in quotes if it starts with a bracket."},
	{"could not find map value", "The text of this member is missing."},
	{"'@' is a reserved", "A text that starts with “@” stands in quotes."},
	{"'`' is a reserved", "A text that starts with “`” stands in quotes."},
}

// syntax says in our words what the library found.
func (s *source) syntax(err error) Problem {
	var se *yaml.SyntaxError
	if !errors.As(err, &se) || se.Token == nil || se.Token.Position == nil {
		return s.at(1, 1, "The file cannot be read as YAML. Start from one that is in order and put your own in step by step.")
	}
	line, column := se.Token.Position.Line, se.Token.Position.Column
	for _, w := range syntaxWords {
		if strings.HasPrefix(se.Message, w.theirs) {
			return s.at(line, column, "%s", w.ours)
		}
	}
	p := s.at(line, column, "This cannot be read as YAML. Check indent, quotes and brackets here and on the line above.")
	p.Hint = "(" + se.Message + ")"
	return p
}
