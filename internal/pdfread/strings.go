package pdfread

// The kinds of value that are spelt in characters: names and strings
// (ISO 32000-1, 7.3.4 and 7.3.5).

func unhex(c byte) (byte, bool) {
	switch {
	case c >= '0' && c <= '9':
		return c - '0', true
	case c >= 'A' && c <= 'F':
		return c - 'A' + 10, true
	case c >= 'a' && c <= 'f':
		return c - 'a' + 10, true
	}
	return 0, false
}

func (l *lexer) name() (Value, error) {
	l.read() // the slash
	text, err := l.regular()
	if err != nil {
		return nil, err
	}
	b := make([]byte, 0, len(text))
	for i := 0; i < len(text); i++ {
		if text[i] != '#' {
			b = append(b, text[i])
			continue
		}
		if i+2 >= len(text) {
			return nil, l.wrong("the name %q has a broken escape", text)
		}
		high, ok1 := unhex(text[i+1])
		low, ok2 := unhex(text[i+2])
		if !ok1 || !ok2 {
			return nil, l.wrong("the name %q has a broken escape", text)
		}
		b = append(b, high<<4|low)
		i += 2
	}
	return Name(b), nil
}

// hex reads a hexadecimal string after its bracket. A last odd digit counts as
// if a 0 followed.
func (l *lexer) hex() (Value, error) {
	var b []byte
	var high byte
	odd := false
	for {
		c, ok := l.read()
		if !ok {
			return nil, l.wrong("ends inside a string")
		}
		if c == '>' {
			break
		}
		if isWhite(c) {
			continue
		}
		digit, ok := unhex(c)
		if !ok {
			return nil, l.wrong("%q is not a hexadecimal digit", string(rune(c)))
		}
		if odd {
			b = append(b, high<<4|digit)
		} else {
			high = digit
		}
		if odd = !odd; len(b) > maxString {
			return nil, l.wrong("a string of more than %d bytes", maxString)
		}
	}
	if odd {
		b = append(b, high<<4)
		l.odd = true
	}
	l.cost += len(b)
	return String(b), nil
}

// literal reads a string in round brackets.
func (l *lexer) literal() (Value, error) {
	l.read() // the bracket
	var b []byte
	for open := 1; ; {
		c, ok := l.read()
		if !ok {
			return nil, l.wrong("ends inside a string")
		}
		switch c {
		case '(':
			open++
		case ')':
			if open--; open == 0 {
				l.cost += len(b)
				return String(b), nil
			}
		case '\r': // a line's end is one line feed, however it is written
			if d, _ := l.peek(); d == '\n' {
				l.read()
			}
			c = '\n'
		case '\\':
			if c, ok = l.escaped(); !ok {
				continue
			}
		}
		if b = append(b, c); len(b) > maxString {
			return nil, l.wrong("a string of more than %d bytes", maxString)
		}
	}
}

// escaped reads what follows a backslash; false when it stands for nothing, as
// at the end of a line.
func (l *lexer) escaped() (byte, bool) {
	c, ok := l.read()
	if !ok {
		return 0, false
	}
	switch c {
	case 'n':
		return '\n', true
	case 'r':
		return '\r', true
	case 't':
		return '\t', true
	case 'b':
		return '\b', true
	case 'f':
		return '\f', true
	case '\n':
		return 0, false
	case '\r':
		if d, _ := l.peek(); d == '\n' {
			l.read()
		}
		return 0, false
	}
	if c < '0' || c > '7' {
		return c, true
	}
	code := c - '0'
	for range 2 {
		d, ok := l.peek()
		if !ok || d < '0' || d > '7' {
			break
		}
		l.read()
		code = code<<3 | (d - '0')
	}
	return code, true
}
