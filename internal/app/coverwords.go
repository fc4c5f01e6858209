package app

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

const (
	coveredName  = "[somebody else]"
	coveredWords = "[somebody else's words]"
	// namePartLeast is from how many letters on a part of a name is covered where it stands alone: shorter ones are words as well (our own
	// value).
	namePartLeast = 3
)

// nameCover covers other people in words that are given out about somebody: their names, and what stands in quotation marks, which
// is what somebody said. It knows the names of the centre's people alone, so whoever gives the words out reads them first.
type nameCover struct {
	whole []string        // lower case
	parts map[string]bool // as they are spelt
}

// newNameCover covers the names of others; a part that the person's own name has too is left.
func newNameCover(own string, others []string) nameCover {
	c := nameCover{parts: map[string]bool{}}
	for _, name := range others {
		if !strings.EqualFold(name, own) {
			c.whole = append(c.whole, strings.ToLower(name))
		}
		for part := range strings.FieldsFuncSeq(name, notInName) {
			if utf8.RuneCountInString(part) >= namePartLeast {
				c.parts[part] = true
			}
		}
	}
	for part := range strings.FieldsFuncSeq(own, notInName) {
		delete(c.parts, part)
	}
	return c
}

// notInName says that a character parts names.
func notInName(r rune) bool {
	return !unicode.IsLetter(r) && !unicode.IsMark(r) && r != '\'' && r != '’'
}

// cover gives the text with others covered.
func (c nameCover) cover(text string) string {
	text = coverQuotes(text)
	for _, name := range c.whole {
		text = coverWhole(text, name)
	}
	var b strings.Builder
	for len(text) > 0 {
		if strings.HasPrefix(text, coveredWords) {
			b.WriteString(coveredWords)
			text = text[len(coveredWords):]
			continue
		}
		end := strings.IndexFunc(text, notInName)
		switch end {
		case 0:
			_, end = utf8.DecodeRuneInString(text)
		case -1:
			end = len(text)
		}
		word := text[:end]
		text = text[end:]
		if bare := strings.TrimSuffix(strings.TrimSuffix(word, "'s"), "’s"); c.parts[word] || c.parts[bare] {
			word = coveredName
		}
		b.WriteString(word)
	}
	covered := b.String()
	for strings.Contains(covered, coveredName+" "+coveredName) { // a first name and a last
		covered = strings.ReplaceAll(covered, coveredName+" "+coveredName, coveredName)
	}
	return covered
}

// coverWhole covers a name wherever it stands as a whole, in capitals or small letters.
func coverWhole(text, name string) string {
	var b strings.Builder
	for {
		at := foldIndex(text, name)
		if at < 0 {
			return b.String() + text
		}
		end := at + len(name)
		before, _ := utf8.DecodeLastRuneInString(text[:at])
		after, _ := utf8.DecodeRuneInString(text[end:])
		word := text[at:end]
		if (at == 0 || notInName(before)) && (end == len(text) || notInName(after) || after == '\'' || after == '’') {
			word = coveredName
		}
		b.WriteString(text[:at] + word)
		text = text[end:]
	}
}

// foldIndex is where name, in small letters, stands in the text in any letters; -1 where it does not. Letters whose small form is
// of another length are not found, and stay for the parts.
func foldIndex(text, name string) int {
	small := strings.ToLower(text)
	if name == "" || len(small) != len(text) {
		return -1
	}
	return strings.Index(small, name)
}

// coverQuotes covers what stands in quotation marks; one that is never closed reaches to the end.
func coverQuotes(text string) string {
	closing := map[rune]rune{'“': '”', '"': '"', '„': '“', '«': '»', '‘': '’'}
	var b strings.Builder
	until := rune(0)
	for _, r := range text {
		switch {
		case until == 0 && closing[r] != 0:
			until = closing[r]
			b.WriteString(coveredWords)
		case until == 0:
			b.WriteRune(r)
		case r == until:
			until = 0
		}
	}
	return b.String()
}
