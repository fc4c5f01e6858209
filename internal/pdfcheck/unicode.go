package pdfcheck

import (
	"encoding/binary"
	"errors"
	"maps"
	"slices"

	"witnessmark/internal/pdfread"
)

// checkUnicode holds the codes in use against the font's Unicode map.
func (c *checker) checkUnicode(where string, t *font) {
	s := c.f.Stream(t.dict["ToUnicode"])
	if s == nil {
		c.say("unicode", where, "the font has no Unicode map")
		return
	}
	data, ok := c.data(where, s)
	if !ok {
		return
	}
	text, err := readUnicode(data, t.codes)
	if err != nil {
		c.say("unicode", where, "the font's Unicode map cannot be read: %v", err)
		return
	}
	for _, code := range slices.Sorted(maps.Keys(t.codes)) {
		switch words, ok := text[code]; {
		case !ok || words == "":
			c.say("unicode", where, "code %04X has no Unicode character", code)
		default:
			for _, r := range words {
				if r == 0 || r == 0xFEFF || r == 0xFFFE || r >= 0xE000 && r <= 0xF8FF || r >= 0xF0000 {
					c.say("unicode", where, "code %04X is U+%04X, which stands for no character", code, r)
				}
			}
		}
	}
}

// readUnicode reads a Unicode map (ISO 32000-1, 9.10.3) for the codes asked
// for. It is spelt like what is drawn: operands, then what is done with them.
func readUnicode(data []byte, codes map[uint16]bool) (map[uint16]string, error) {
	text := map[uint16]string{}
	var steps ranges
	for op, err := range pdfread.Operators(data) {
		if err != nil {
			return nil, err
		}
		switch v := op.Operands; op.Name {
		case "endbfchar":
			for ; len(v) >= 2; v = v[2:] {
				code, ok := twoBytes(v[0])
				if to, isText := v[1].(pdfread.String); ok && isText && codes[code] {
					text[code] = pdfread.UTF16(string(to))
				}
			}
		case "endbfrange":
			for ; len(v) >= 3; v = v[3:] {
				from, ok1 := twoBytes(v[0])
				to, ok2 := twoBytes(v[1])
				if ok1 && ok2 {
					steps.each(int64(from), int64(to), func(code uint16) {
						if codes[code] {
							text[code] = inRange(v[2], int(code-from))
						}
					})
				}
			}
		}
	}
	if steps.over() {
		return nil, errors.New("it has more ranges than are looked at")
	}
	return text, nil
}

// inRange is what the code stands for that comes by places after the first of
// a range: codes that follow one another stand for characters that do, or for
// those of a list. It is empty where there is none.
func inRange(v pdfread.Value, by int) string {
	switch v := v.(type) {
	case pdfread.Array:
		if by < len(v) {
			if s, ok := v[by].(pdfread.String); ok {
				return pdfread.UTF16(string(s))
			}
		}
	case pdfread.String:
		if len(v) >= 2 {
			b := []byte(v)
			end := b[len(b)-2:]
			binary.BigEndian.PutUint16(end, binary.BigEndian.Uint16(end)+uint16(by))
			return pdfread.UTF16(string(b))
		}
	}
	return ""
}

func twoBytes(v pdfread.Value) (uint16, bool) {
	s, ok := v.(pdfread.String)
	if !ok || len(s) != 2 {
		return 0, false
	}
	return uint16(s[0])<<8 | uint16(s[1]), true
}
