package brief

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"witnessmark/internal/formula"
)

// Check proves that a brief can be answered before it is published. functions are what its formulas may call; known are
// the criteria of the centre's qualification units by unit code, nil where they are not to be looked at. Problems that are
// not warnings keep the brief from being published. With Problems.Located they get their lines and the brief's order.
//
// Whether the model answer marks itself full is the marker's word: the caller asks it once Check has no failures.
func Check(b *Brief, functions map[string]formula.Function, known map[string][]string) Problems {
	k := &checker{b: b, functions: functions, known: known}
	k.rules(reflect.ValueOf(b).Elem(), "")
	k.keys()
	k.criteria()
	k.stages()
	k.tables()
	k.safetyFlags()
	k.safeMoments()
	c, ps := Compile(b, functions)
	k.problems = k.problems.And(k.circles(ps))
	k.model()
	if c != nil && len(k.problems.Failures()) == 0 {
		k.spread(c)
	}
	return k.problems.sorted()
}

type checker struct {
	b         *Brief
	functions map[string]formula.Function
	known     map[string][]string
	problems  Problems
}

func (k *checker) say(path, format string, args ...any) {
	k.problems = append(k.problems, Problem{Path: path, Text: fmt.Sprintf(format, args...)})
}

func (k *checker) warn(path, format string, args ...any) {
	k.problems = append(k.problems, Problem{Path: path, Text: fmt.Sprintf(format, args...), Warning: true})
}

// rules holds every member to its rule.
func (k *checker) rules(v reflect.Value, path string) {
	for _, m := range members(v.Type()) {
		k.rule(v.Field(m.index), rules[v.Type().Name()+"."+m.name], join(path, m.name), m.required)
	}
}

func (k *checker) rule(v reflect.Value, r rule, path string, required bool) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			k.rule(v.Elem(), r, path, required)
		}
	case reflect.Struct:
		k.rules(v, path)
	case reflect.Slice:
		k.ruleOfList(v, r, path, required)
	case reflect.Int:
		switch n := int(v.Int()); {
		case r.least == r.largest() && n != r.least:
			k.say(path, "“%s” is %d here.", lastName(path), r.least)
		case required && n < r.least || n < 0 || n > r.largest():
			k.say(path, "“%s” lies from %d to %d.", lastName(path), r.least, r.largest())
		}
	case reflect.String:
		k.ruleOfText(v.String(), r, path, required)
	}
}

func (k *checker) ruleOfList(v reflect.Value, r rule, path string, required bool) {
	n := v.Len()
	switch {
	case required && n < r.least && r.least == 1:
		k.say(path, "“%s” has no entry yet. It needs at least one.", lastName(path))
	case required && n < r.least:
		k.say(path, "“%s” has %s. It needs at least %d.", lastName(path), entries(n), r.least)
	case n > r.entries():
		k.say(path, "“%s” has %d entries. It may have %d at most.", lastName(path), n, r.entries())
		return // each entry of an overlong list need not be gone through
	}
	for i := range n {
		k.rule(v.Index(i), r, path+"["+strconv.Itoa(i)+"]", true)
	}
}

func entries(n int) string {
	if n == 1 {
		return "one entry"
	}
	return strconv.Itoa(n) + " entries"
}

func (k *checker) ruleOfText(s string, r rule, path string, required bool) {
	name := lastName(path)
	if strings.TrimSpace(s) == "" {
		if required && !r.blank || s != "" {
			k.say(path, "“%s” is empty. Fill it in.", name)
		}
		return
	}
	if n := utf8.RuneCountInString(s); n > r.characters() {
		k.say(path, "“%s” has %d characters. It may have %d at most.", name, n, r.characters())
	}
	switch {
	case len(r.oneOf) > 0 && !slices.Contains(r.oneOf, s):
		k.problems = append(k.problems, Problem{Path: path, Text: fmt.Sprintf("“%s” is %s.", name, orList(r.oneOf)), Hint: didYouMean(s, r.oneOf)})
	case r.pattern != nil && !r.pattern.MatchString(s):
		k.say(path, "“%s” is %s; this is “%s”.", name, r.shape, shorten(s))
	}
	if i := strings.IndexFunc(s, func(c rune) bool { return hidden(c, r.lines) }); i >= 0 {
		c, _ := utf8.DecodeRuneInString(s[i:])
		text := fmt.Sprintf("“%s” holds a character that cannot be seen (U+%04X). Take it out.", name, c)
		if c == '\n' {
			text = fmt.Sprintf("“%s” is a single line. Take the line break out.", name)
		}
		k.problems = append(k.problems, Problem{Path: path, Offset: i, Text: text})
	}
}

// hidden says whether a character has no place in a text: controls, and marks that turn the direction of reading, which
// can make a text look like another.
func hidden(c rune, lines bool) bool {
	switch {
	case c == '\n':
		return !lines
	case c >= 0x202a && c <= 0x202e, c >= 0x2066 && c <= 0x2069, c == 0x200e, c == 0x200f, c == 0xfeff, c == 0x2028, c == 0x2029:
		return true
	}
	return unicode.IsControl(c) || !utf8.ValidRune(c) || c == utf8.RuneError
}

func orList(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// andList joins words as orList does.
func andList(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// keys holds names apart: stages, items, givens and tables share one space, because formulas, hold points and results name
// them all; slips, rows, checks and steps are told apart within their item.
func (k *checker) keys() {
	first := map[string]string{}
	once := func(key, path string) {
		if where, twice := first[key]; twice && key != "" {
			k.say(path, "“%s” is a name already, at %s. Stages, items, givens and tables each need a name of their own.", shorten(key), where)
			return
		}
		first[key] = path
		k.readAs(key, path)
	}
	for i, g := range k.b.Given {
		path := fmt.Sprintf("given[%d].name", i)
		once(g.Name, path)
		k.formulaName(g.Name, path)
	}
	for i, t := range k.b.Tables {
		path := fmt.Sprintf("tables[%d].name", i)
		once(t.Name, path)
		k.formulaName(t.Name, path)
	}
	for i := range k.b.Stages {
		st := &k.b.Stages[i]
		once(st.Key, fmt.Sprintf("stages[%d].key", i))
		for j := range st.Items {
			it, path := &st.Items[j], fmt.Sprintf("stages[%d].items[%d].key", i, j)
			once(it.Key, path)
			if it.Reading != nil || it.Figure != nil {
				k.formulaName(it.Key, path)
			}
		}
	}
}

// yamlWords are the words that YAML 1.2 takes for something else than a text where they stand without quotes. It takes yes,
// no, on and off for texts.
var yamlWords = map[string]string{"null": "nothing", "true": "a switch", "false": "a switch"}

// readAs warns of a name that is not read as one. Numbers and ~ are no names in the first place.
func (k *checker) readAs(key, path string) {
	if what, ok := yamlWords[strings.ToLower(key)]; ok {
		k.warn(path, "Without quotes “%s” is read as %s, in submissions too. Take another name, or put it in quotes wherever it stands.", key, what)
	}
}

// formulaName says what keeps a name from being used in formulas.
func (k *checker) formulaName(name, path string) {
	if name == "" || !itemKey.MatchString(name) {
		return // its rule says so already
	}
	if strings.Contains(name, "-") {
		k.say(path, "A formula would read “%s” as a subtraction. Write an underscore for the dash.", name)
		return
	}
	_, clash := k.functions[name]
	clash = clash || slices.ContainsFunc(formula.Builtins(), func(f formula.Builtin) bool { return f.Name == name })
	if clash {
		k.say(path, "“%s” is a function of the formulas. Take another name.", name)
		return
	}
	// The notation's other words (and, π …) are told by reading the name alone as a formula.
	e, err := formula.Parse(name)
	if err != nil || e.Root().Kind != formula.NodeName {
		k.say(path, "“%s” has a meaning of its own in formulas. Take another name.", name)
	}
}

// criteria holds the brief's criteria against the qualification and against its items.
func (k *checker) criteria() {
	covered := k.coverage()
	seen := map[string]bool{}
	for i, c := range k.b.Criteria {
		path := fmt.Sprintf("criteria[%d]", i)
		codes, there := k.known[c.Unit]
		if k.known != nil && !there {
			k.problems = append(k.problems, Problem{
				Path: path + ".unit", Text: fmt.Sprintf("The centre has no qualification unit “%s”.", shorten(c.Unit)),
				Hint: didYouMean(c.Unit, slices.Sorted(maps.Keys(k.known))),
			})
		}
		for j, code := range c.Codes {
			at, ref := fmt.Sprintf("%s.codes[%d]", path, j), c.Unit+"/"+code
			switch {
			case seen[ref]:
				k.say(at, "%s stands here a second time.", ref)
			case there && !slices.Contains(codes, code):
				k.say(at, "Unit %s has no criterion %s.", c.Unit, shorten(code))
			case covered[ref] == uncovered:
				k.say(at, "Nothing in the brief shows %s. Name it under “criteria” of an item, or take it out here.", ref)
			case covered[ref] == optionally:
				k.warn(at, "Only items that may be left out show %s: an attempt can be handed over without any evidence for it.", ref)
			}
			seen[ref] = true
		}
	}
}

type cover uint8

const (
	uncovered cover = iota
	optionally
	always
)

// coverage says how the items cover the criteria, and notes items that name others.
func (k *checker) coverage() map[string]cover {
	refs := k.b.CriterionRefs()
	covered := map[string]cover{}
	for i := range k.b.Stages {
		for j := range k.b.Stages[i].Items {
			it := &k.b.Stages[i].Items[j]
			for n, s := range it.Criteria {
				ref := k.b.Ref(s)
				if !slices.Contains(refs, ref) {
					p := Problem{Path: fmt.Sprintf("stages[%d].items[%d].criteria[%d]", i, j, n), Text: fmt.Sprintf("The brief does not cover “%s”. Add it under “criteria” at the top, or take it out here.", shorten(s))}
					if len(k.b.Criteria) > 1 && !strings.Contains(s, "/") {
						p.Text = fmt.Sprintf("The brief has several qualification units: write which one, as in “%s/%s”.", k.b.Criteria[0].Unit, shorten(s))
					}
					k.problems = append(k.problems, p)
					continue
				}
				level := always
				if it.Optional {
					level = optionally
				}
				covered[ref] = max(covered[ref], level)
			}
		}
	}
	return covered
}
