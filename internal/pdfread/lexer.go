package pdfread

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strconv"
)

// lexer reads values one after another (ISO 32000-1, 7.2 and 7.3) from a
// source whose first byte stands at some offset of the file.
type lexer struct {
	r      *bufio.Reader
	at     int64 // offset of the next byte
	object int   // for errors
	budget int   // values that may still be made
	cost   int   // bytes of memory that what was read takes
	odd    bool  // a hexadecimal string had an odd number of digits
	failed error // what the source said besides its end

	// watch names a key of the outermost dictionary; watched is where its value
	// begins and ends.
	watch   Name
	watched [2]int64
}

const window = 4 << 10 // bytes that are read ahead

func newLexer(r io.Reader, at int64, object int) *lexer {
	return &lexer{r: bufio.NewReaderSize(r, window), at: at, object: object, budget: maxValues}
}

func (l *lexer) wrong(format string, args ...any) error {
	if l.failed != nil {
		return l.failed
	}
	return &Error{Object: l.object, Offset: l.at, What: fmt.Sprintf(format, args...)}
}

func (l *lexer) read() (byte, bool) {
	c, err := l.r.ReadByte()
	if err != nil {
		l.keep(err)
		return 0, false
	}
	l.at++
	return c, true
}

func (l *lexer) peek() (byte, bool) {
	b, err := l.r.Peek(1)
	if err != nil {
		l.keep(err)
		return 0, false
	}
	return b[0], true
}

func (l *lexer) keep(err error) {
	if !errors.Is(err, io.EOF) && l.failed == nil {
		l.failed = err
	}
}

func isWhite(c byte) bool {
	return c == ' ' || c == '\n' || c == '\r' || c == '\t' || c == '\f' || c == 0
}

func isDelimiter(c byte) bool {
	switch c {
	case '(', ')', '<', '>', '[', ']', '{', '}', '/', '%':
		return true
	}
	return false
}

func isRegular(c byte) bool { return !isWhite(c) && !isDelimiter(c) }

// skip passes white space and comments.
func (l *lexer) skip() {
	for {
		c, ok := l.peek()
		switch {
		case !ok:
			return
		case isWhite(c):
			l.read()
		case c == '%':
			for ok && c != '\n' && c != '\r' {
				c, ok = l.read()
			}
		default:
			return
		}
	}
}

// next reads one value or keyword; depth counts the brackets around it.
func (l *lexer) next(depth int) (Value, error) {
	l.skip()
	if l.budget--; l.budget < 0 {
		return nil, l.wrong("more than %d values in one object", maxValues)
	}
	l.cost += perValue
	c, ok := l.peek()
	if !ok {
		return keyword(""), l.failed
	}
	switch {
	case c == '/':
		return l.name()
	case c == '(':
		return l.literal()
	case c == '<':
		l.read()
		if d, _ := l.peek(); d == '<' {
			l.read()
			return l.dict(depth + 1)
		}
		return l.hex()
	case c == '>':
		l.read()
		if d, _ := l.read(); d != '>' {
			return nil, l.wrong("a single > stands alone")
		}
		return keyword(">>"), nil
	case c == '[':
		l.read()
		items, err := l.until("]", depth+1)
		return Array(items), err
	case c == ']' || c == '{' || c == '}':
		l.read()
		return keyword(string(rune(c))), nil
	case c == ')':
		return nil, l.wrong("a ) without its (")
	case c == '+' || c == '-' || c == '.' || c >= '0' && c <= '9':
		return l.number()
	}
	return l.bare()
}

// until reads values to a closing bracket, making references of their parts.
func (l *lexer) until(closing keyword, depth int) ([]Value, error) {
	if depth > maxNesting {
		return nil, l.wrong("more than %d brackets inside one another", maxNesting)
	}
	var items []Value
	for {
		l.skip()
		start := l.at
		v, err := l.next(depth)
		if err != nil {
			return nil, err
		}
		word, bare := v.(keyword)
		switch {
		case !bare:
			items = append(items, v)
		case word == closing:
			return items, nil
		case word == "R":
			if items, err = l.reference(items); err != nil {
				return nil, err
			}
		case word == "":
			return nil, l.wrong("ends inside brackets that %s would close", closing)
		default:
			return nil, l.wrong("%q stands inside brackets that %s would close", string(word), closing)
		}
		if n := len(items); l.watch != "" && depth == 1 && n%2 == 0 && n >= 2 && items[n-2] == Value(l.watch) {
			l.watched = [2]int64{start, l.at}
		}
	}
}

// reference replaces the last two integers by the reference they are.
func (l *lexer) reference(items []Value) ([]Value, error) {
	n := len(items)
	if n < 2 {
		return nil, l.wrong("R without an object number before it")
	}
	number, ok1 := items[n-2].(Integer)
	generation, ok2 := items[n-1].(Integer)
	if !ok1 || !ok2 || number < 0 || number > maxNumber || generation < 0 || generation > 65535 {
		return nil, l.wrong("R without an object number before it")
	}
	return append(items[:n-2], Ref{int(number), int(generation)}), nil
}

func (l *lexer) dict(depth int) (Value, error) {
	items, err := l.until(">>", depth)
	if err != nil {
		return nil, err
	}
	if len(items)%2 != 0 {
		return nil, l.wrong("a dictionary has a key without a value")
	}
	d := make(Dict, len(items)/2)
	for i := 0; i < len(items); i += 2 {
		key, ok := items[i].(Name)
		if !ok {
			return nil, l.wrong("a dictionary's key is not a name")
		}
		if _, twice := d[key]; twice {
			return nil, l.wrong("a dictionary says /%s twice", key)
		}
		d[key] = items[i+1]
	}
	return d, nil
}

func (l *lexer) number() (Value, error) {
	text, err := l.regular()
	if err != nil {
		return nil, err
	}
	if n, err := strconv.ParseInt(text, 10, 64); err == nil {
		return Integer(n), nil
	}
	for _, c := range []byte(text) {
		if (c < '0' || c > '9') && c != '.' && c != '+' && c != '-' {
			return nil, l.wrong("%q is not a number", text)
		}
	}
	r, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return nil, l.wrong("%q is not a number", text)
	}
	return Real(r), nil
}

func (l *lexer) bare() (Value, error) {
	text, err := l.regular()
	if err != nil {
		return nil, err
	}
	switch text {
	case "true":
		return Bool(true), nil
	case "false":
		return Bool(false), nil
	case "null":
		return Null{}, nil
	}
	return keyword(text), nil
}

// regular reads a run of regular characters.
func (l *lexer) regular() (string, error) {
	var b []byte
	for {
		c, ok := l.peek()
		if !ok || !isRegular(c) {
			l.cost += len(b)
			return string(b), l.failed
		}
		l.read()
		if b = append(b, c); len(b) > maxName {
			return "", l.wrong("a word of more than %d bytes", maxName)
		}
	}
}
