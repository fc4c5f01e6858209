package brief

import "strings"

// RulesEdition is the edition of the rule-set file's format that this program reads and prints.
const RulesEdition = 1

// RuleSet is one edition of the centre's own limits, values and tables, most of which come from documents that are not to
// be copied. Briefs name its rules by key (Limit.Rule, Given.Rule, Table.Rule), so that a brief stays as it is when the
// document changes. Quantities are kept as they were typed, as in a brief.
//
// An edition counts once somebody else than the one who entered it has checked it. It is in force from ValidFrom to
// ValidTo, both included; without a ValidTo until the set's next edition starts.
type RuleSet struct {
	Format        int    `yaml:"rule-set" json:"rule-set"` // edition of the file format
	Key           string `yaml:"key" json:"key"`           // as briefs name it, the same in all its editions
	Title         string `yaml:"title" json:"title"`
	Edition       string `yaml:"edition" json:"edition"` // names the edition within the set, such as "2, 2026"
	ValidFrom     Day    `yaml:"valid-from" json:"valid-from"`
	ValidTo       Day    `yaml:"valid-to,omitempty" json:"valid-to,omitempty"`           // the last day
	Source        string `yaml:"source" json:"source"`                                   // the document that the rules come from
	Demonstration bool   `yaml:"demonstration,omitempty" json:"demonstration,omitempty"` // invented: whoever teaches enters their own
	EnteredBy     string `yaml:"entered-by,omitempty" json:"entered-by,omitempty"`       // a person's name
	CheckedBy     string `yaml:"checked-by,omitempty" json:"checked-by,omitempty"`       // another person's name
	Rules         []Rule `yaml:"rules" json:"rules"`
}

// Rule is one rule: a limit (AtLeast, AtMost or both), a value or a table.
type Rule struct {
	Key     string     `yaml:"key" json:"key"`
	Is      string     `yaml:"is" json:"is"` // in words
	AtLeast string     `yaml:"at-least,omitempty" json:"at-least,omitempty"`
	AtMost  string     `yaml:"at-most,omitempty" json:"at-most,omitempty"`
	Margin  bool       `yaml:"carries-margin,omitempty" json:"carries-margin,omitempty"` // as Limit.Margin
	Value   string     `yaml:"value,omitempty" json:"value,omitempty"`
	Table   *RuleTable `yaml:"table,omitempty" json:"table,omitempty"`
}

// RuleTable is a table with one way in: at so many Of it gives so many Gives.
type RuleTable struct {
	Of      string     `yaml:"of" json:"of"`           // unit of the rows' at; empty for plain numbers
	Gives   string     `yaml:"gives" json:"gives"`     // unit of the rows' is
	Between string     `yaml:"between" json:"between"` // BetweenExact or BetweenStraight
	Rows    []TableRow `yaml:"rows" json:"rows"`       // at rises from row to row
}

// TableRow is a row of a table, plain numbers in the table's units.
type TableRow struct {
	At string `yaml:"at" json:"at"`
	Is string `yaml:"is" json:"is"`
}

// What a table says between its rows. Outside of them there is nothing.
const (
	BetweenExact    = "exact"    // nothing: only its rows' own values may be asked
	BetweenStraight = "straight" // straight lines from row to row
)

// Table is a table that a brief's formulas call like a function, by Name: written out, or a rule of a rule set.
type Table struct {
	Name    string     `yaml:"name" json:"name"`
	Is      string     `yaml:"is" json:"is"`                         // in words
	Rule    string     `yaml:"rule,omitempty" json:"rule,omitempty"` // SET/KEY, in place of all below
	Of      string     `yaml:"of,omitempty" json:"of,omitempty"`     // as RuleTable
	Gives   string     `yaml:"gives,omitempty" json:"gives,omitempty"`
	Between string     `yaml:"between,omitempty" json:"between,omitempty"`
	Rows    []TableRow `yaml:"rows,omitempty" json:"rows,omitempty"`
	Source  string     `yaml:"source,omitempty" json:"source,omitempty"` // the document, its edition and date
}

// RuleEdition names one edition of a rule set.
type RuleEdition struct {
	Set     string `json:"set"`
	Edition string `json:"edition"`
}

// source is what a limit, a value or a table from the set has for its source.
func (rs *RuleSet) source() string {
	return rs.Title + ", edition " + rs.Edition + ", " + rs.Source
}

// checked says whether the edition counts.
func (rs *RuleSet) checked() bool {
	return strings.TrimSpace(rs.CheckedBy) != "" && !samePerson(rs.EnteredBy, rs.CheckedBy)
}

// samePerson compares two names as people write them.
func samePerson(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}
