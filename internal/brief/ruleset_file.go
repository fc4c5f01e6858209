package brief

import (
	"reflect"
	"regexp"
)

// rulesFile is a rule set's file. The format is six deep; the rest is room.
var rulesFile = YAMLKind{Noun: "rule set", Bytes: MaxBytes, Tokens: 60_000, Deep: 16, Empty: "The file is empty. A rule set starts with “rule-set: 1”."}

// ReadRules reads a rule-set file, as Read reads a brief's. The error is Problems with every place that does not fit the
// format; whether the rules make sense is CheckRules' word.
func ReadRules(src []byte) (*RuleSet, error) {
	var rs RuleSet
	d, ps := decode(src, rulesFile, reflect.ValueOf(&rs).Elem())
	if err := ps.orEdition(d, "rule-set", rs.Format, RulesEdition); err != nil {
		return nil, err
	}
	return &rs, nil
}

// PrintRules writes a rule set as its canonical file, as Print writes a brief.
func PrintRules(rs *RuleSet) ([]byte, error) { return printed(reflect.ValueOf(rs).Elem(), rulesFile) }

// first finds a file's first member: the first thing that is no comment, plain or in quotes, in YAML's or JSON's brackets.
var first = regexp.MustCompile(`^\x{feff}?(?:[ \t]*(?:#[^\n]*)?\r?\n|---[ \t]*(?:#[^\n]*)?\r?\n)*[ \t]*\{?\s*["']?([a-z-]+)["']?[ \t]*:`)

// FirstMember is the name of a file's first member, by which it says what it is: “brief”, “rule-set” or something else; ""
// where it does not begin with one.
func FirstMember(src []byte) string {
	if m := first.FindSubmatch(src); m != nil {
		return string(m[1])
	}
	return ""
}

// IsRules says whether a file means to be a rule set: “rule-set” is its first member.
func IsRules(src []byte) bool { return FirstMember(src) == "rule-set" }

// RulesSchemaID names the published JSON Schema of this edition of the format, as SchemaID does the brief's.
const RulesSchemaID = "urn:witnessmark:rule-set:1"

// RulesSchema is the published JSON Schema of a rule-set file, as Schema is a brief's.
func RulesSchema() ([]byte, error) {
	return emitted(reflect.TypeFor[RuleSet](), RulesSchemaID, "A rule set")
}
