// Package brief is what a tutor sets: a practical task with its cautions, stages, hold points and evidence items, and
// the criteria that each item bears on.
//
// A brief is written as one YAML file (Read, Print; the published JSON Schema is schema.json). Check proves before
// publication that the brief can be answered: every name resolves, every formula has the dimension of its asked unit,
// every criterion has evidence, no given value leads to an answer that cannot be worked out, no slip gives the right answer
// whatever is given. A published version never changes; an attempt holds the version it was set with.
//
// Limits, values and tables may be the centre's own, named by key: a rule set (RuleSet, ReadRules, CheckRules) is one edition
// of them, a Book the editions in force on a day, and Under puts a brief under a book. Check, Compile and marking see only
// briefs that were put under one.
//
// Quantities in a brief are kept as the tutor typed them ("80 °C", "3 %") and parsed where they are used, so that
// printing a brief gives back what was written.
package brief

// Edition is the edition of the file format that this program reads and prints.
const Edition = 1

// Brief is one practical task.
type Brief struct {
	Edition     int            `yaml:"brief" json:"brief"`                                 // of the file format
	Key         string         `yaml:"key" json:"key"`                                     // lower-case letters, digits and dashes; names the brief within a centre
	Title       string         `yaml:"title" json:"title"`                                 // at most 120 characters
	About       string         `yaml:"about" json:"about"`                                 // the job as the trainee finds it
	Cautions    []string       `yaml:"cautions,omitempty" json:"cautions,omitempty"`       // shown before the first stage, each complete in itself
	Conventions []string       `yaml:"conventions,omitempty" json:"conventions,omitempty"` // how to work: which properties, where the meter sits, gauge or absolute
	RuledOut    []string       `yaml:"ruled-out,omitempty" json:"ruled-out,omitempty"`     // rules of thumb that the conventions rule out: constant-water, flat-expansion
	Criteria    []CriterionRef `yaml:"criteria" json:"criteria"`
	Given       []Given        `yaml:"given,omitempty" json:"given,omitempty"`
	Tables      []Table        `yaml:"tables,omitempty" json:"tables,omitempty"` // that formulas call like functions
	Stages      []Stage        `yaml:"stages" json:"stages"`
	CrossChecks []CrossCheck   `yaml:"cross-checks,omitempty" json:"cross-checks,omitempty"`
	Model       []ModelAnswer  `yaml:"model-answer,omitempty" json:"model-answer,omitempty"`

	// RuledBy names the editions that the brief's rules were put in from (Under); it is no part of the file.
	RuledBy []RuleEdition `yaml:"-" json:"-"`
}

// CriterionRef names the assessment criteria of one qualification unit that the brief covers.
type CriterionRef struct {
	Unit  string   `yaml:"unit" json:"unit"`   // the qualification unit's code
	Codes []string `yaml:"codes" json:"codes"` // such as "1.2"
}

// Given is a named quantity that the trainee is given: Value, or a range From…To in steps of Step from which each trainee
// is drawn a value of their own. Beside a range Value is the one that the model answer is worked with; without it that is
// From. In place of all that it may name a Rule.
type Given struct {
	Name  string `yaml:"name" json:"name"` // as formulas call it
	Is    string `yaml:"is" json:"is"`     // in words
	Value string `yaml:"value,omitempty" json:"value,omitempty"`
	From  string `yaml:"from,omitempty" json:"from,omitempty"`
	To    string `yaml:"to,omitempty" json:"to,omitempty"`
	Step  string `yaml:"step,omitempty" json:"step,omitempty"`
	Rule  string `yaml:"rule,omitempty" json:"rule,omitempty"` // SET/KEY: the value is the centre's, from a rule set

	Source string `yaml:"source,omitempty" json:"source,omitempty"` // the document that the value comes from, its edition and date
}

// Stage is a part of the work, in order. A Hold stands before the stage's work: nothing beyond it may be done until it
// is released.
type Stage struct {
	Key      string   `yaml:"key" json:"key"`
	Title    string   `yaml:"title" json:"title"`
	About    string   `yaml:"about,omitempty" json:"about,omitempty"`
	Cautions []string `yaml:"cautions,omitempty" json:"cautions,omitempty"`
	Hold     *Hold    `yaml:"hold,omitempty" json:"hold,omitempty"`
	Items    []Item   `yaml:"items" json:"items"`
	// Questions are for tutors alone: a trainee does not see them before the decision.
	Questions []Question `yaml:"questions,omitempty" json:"questions,omitempty"`
}

// Question is what the tutor asks aloud at the bench.
type Question struct {
	Ask    string `yaml:"ask" json:"ask"`
	Listen string `yaml:"listen,omitempty" json:"listen,omitempty"` // what a good answer has in it
}

// Hold is a hold point at the start of its stage.
type Hold struct {
	Show        string   `yaml:"show" json:"show"`                                   // what must be shown before it is released
	Entitlement string   `yaml:"entitlement,omitempty" json:"entitlement,omitempty"` // "gas", "electrical" or "unvented": the releaser needs such a registration, in date
	Needs       []string `yaml:"needs,omitempty" json:"needs,omitempty"`             // keys of items whose true value must be right before release
}

// Item is one thing to be shown. Exactly one of the forms (Photo to Document) is set.
type Item struct {
	Key        string   `yaml:"key" json:"key"` // names the item in formulas and results
	Title      string   `yaml:"title" json:"title"`
	About      string   `yaml:"about,omitempty" json:"about,omitempty"`
	Criteria   []string `yaml:"criteria,omitempty" json:"criteria,omitempty"`         // "UNIT/1.2", or "1.2" where the brief has one unit
	Optional   bool     `yaml:"optional,omitempty" json:"optional,omitempty"`         // may be left out when handing over
	MustBeSeen bool     `yaml:"must-be-seen,omitempty" json:"must-be-seen,omitempty"` // the tutor has to watch this being done
	ReopenedBy []string `yaml:"reopened-by,omitempty" json:"reopened-by,omitempty"`   // keys of items or stages that, done again, make this one lapse

	Photo       *Photo          `yaml:"photo,omitempty" json:"photo,omitempty"`
	Reading     *Reading        `yaml:"reading,omitempty" json:"reading,omitempty"`
	Test        *FunctionalTest `yaml:"functional-test,omitempty" json:"functional-test,omitempty"`
	Observation *Observation    `yaml:"observation,omitempty" json:"observation,omitempty"`
	Sequence    *Sequence       `yaml:"sequence,omitempty" json:"sequence,omitempty"`
	Figure      *Figure         `yaml:"figure,omitempty" json:"figure,omitempty"`
	Choice      *Choice         `yaml:"choice,omitempty" json:"choice,omitempty"`
	Answer      *Answer         `yaml:"answer,omitempty" json:"answer,omitempty"`
	Confirm     *Confirm        `yaml:"confirm,omitempty" json:"confirm,omitempty"`
	Document    *Document       `yaml:"document,omitempty" json:"document,omitempty"`
}

// Photo asks for one or more pictures.
type Photo struct {
	Visible []string `yaml:"visible" json:"visible"`                       // what must be visible
	AtLeast int      `yaml:"at-least,omitempty" json:"at-least,omitempty"` // how many pictures; 0 means 1
	Card    bool     `yaml:"card,omitempty" json:"card,omitempty"`         // the attempt's code card lies in the picture
}

// Phase says when a reading is taken.
type Phase string

// The phases of a reading. NoPhase is for readings taken once, and for every other form of item.
const (
	NoPhase Phase = ""
	AsFound Phase = "as-found"
	AsLeft  Phase = "as-left"
)

// Reading asks for a measured value.
type Reading struct {
	Is         string  `yaml:"is" json:"is"` // the quantity in words
	Unit       string  `yaml:"unit" json:"unit"`
	Phases     []Phase `yaml:"phases,omitempty" json:"phases,omitempty"`         // none, as-found, as-left or both; formulas use the last
	Limit      *Limit  `yaml:"limit,omitempty" json:"limit,omitempty"`           // judges the as-left value, or the only one
	Believable *Range  `yaml:"believable,omitempty" json:"believable,omitempty"` // outside it raises a flag, never a mark
	Repeats    int     `yaml:"repeats,omitempty" json:"repeats,omitempty"`       // how many times; 0 means once; formulas use the mean
	Instrument string  `yaml:"instrument,omitempty" json:"instrument,omitempty"` // kind of instrument
	// Accuracy is "0.2 K", "2 %", or both: "2 % + 0.03 Ω". A % is a share of the reading, in ppm as well: "5 % + 2 ppm". Only
	// where the reading itself is asked in % is it an amount, "0.2 %", as makers of flue gas analysers state it for oxygen.
	Accuracy    string `yaml:"accuracy,omitempty" json:"accuracy,omitempty"`
	Safety      bool   `yaml:"safety-critical,omitempty" json:"safety-critical,omitempty"`
	CheckWithin string `yaml:"check-within,omitempty" json:"check-within,omitempty"` // largest difference from the tutor's check reading
	Overload    string `yaml:"overload,omitempty" json:"overload,omitempty"`         // what OL means here: "pass" or "fail"
}

// Limit is judged on the value as shown, with no tolerance on the unsafe side.
type Limit struct {
	Rule    string `yaml:"rule,omitempty" json:"rule,omitempty"` // SET/KEY: the centre's limit, from a rule set, in place of the next four
	AtLeast string `yaml:"at-least,omitempty" json:"at-least,omitempty"`
	AtMost  string `yaml:"at-most,omitempty" json:"at-most,omitempty"`
	Source  string `yaml:"source,omitempty" json:"source,omitempty"` // the document, its edition and date
	// Margin says that the limit carries its margin already, such as 80 % of a tabulated one: the measurement's own
	// uncertainty is never put on top.
	Margin bool       `yaml:"carries-margin,omitempty" json:"carries-margin,omitempty"`
	Guard  *GuardBand `yaml:"guard-band,omitempty" json:"guard-band,omitempty"`
}

// Range is a span of quantities, both ends included.
type Range struct {
	From string `yaml:"from" json:"from"`
	To   string `yaml:"to" json:"to"`
}

// FunctionalTest is a grid: for each row of demands, what each check should show.
type FunctionalTest struct {
	Demands []string  `yaml:"demands" json:"demands"` // column heads of what is set
	Checks  []Column  `yaml:"checks" json:"checks"`   // column heads of what is observed
	Rows    []TestRow `yaml:"rows" json:"rows"`
	Ordered bool      `yaml:"ordered,omitempty" json:"ordered,omitempty"` // rows must be done in order, a state is held
	Live    bool      `yaml:"live,omitempty" json:"live,omitempty"`       // done live: a released hold must stand before it
	Safety  bool      `yaml:"safety-critical,omitempty" json:"safety-critical,omitempty"`
	// Complete says that Rows are every combination of the demands' words, which are those that stand in Rows.
	Complete bool        `yaml:"complete,omitempty" json:"complete,omitempty"`
	Faults   []GridFault `yaml:"faults,omitempty" json:"faults,omitempty"`
}

// Column is one column of observations with the words that may stand in it.
type Column struct {
	Key     string   `yaml:"key" json:"key"`
	Title   string   `yaml:"title" json:"title"`
	Options []string `yaml:"options" json:"options"`
	// Held is the option that stands for holding: the word of the row before is the same observation, seen another way.
	Held string `yaml:"held,omitempty" json:"held,omitempty"`
}

// GridFault is a fault that a wrong grid points at: what every row shows that it makes differ from what is expected.
type GridFault struct {
	Key   string     `yaml:"key" json:"key"`
	Is    string     `yaml:"is" json:"is"`                         // said to the tutor, and to the trainee once decided
	Look  string     `yaml:"look,omitempty" json:"look,omitempty"` // where to look for it
	Shows []FaultRow `yaml:"shows" json:"shows"`
}

// FaultRow is what one row shows with a fault: Cells has one entry per check, in their order, "" where it stays as expected.
type FaultRow struct {
	Row   string   `yaml:"row" json:"row"`
	Cells []string `yaml:"cells" json:"cells"`
}

// TestRow is one state to set up and what is expected of it: Expect has one entry per check, in the order of the checks.
type TestRow struct {
	Key    string   `yaml:"key" json:"key"`
	Set    []string `yaml:"set" json:"set"` // one entry per demand
	Expect []string `yaml:"expect" json:"expect"`
}

// Observation is stated words, no number: the tutor or trainee says which of Options was seen.
type Observation struct {
	Options []string `yaml:"options" json:"options"`
	Expect  string   `yaml:"expect,omitempty" json:"expect,omitempty"` // one of Options; empty where all are fair
	Safety  bool     `yaml:"safety-critical,omitempty" json:"safety-critical,omitempty"`
}

// Sequence is steps in order, each with the time it was done.
type Sequence struct {
	Steps  []Step `yaml:"steps" json:"steps"`
	Safety bool   `yaml:"safety-critical,omitempty" json:"safety-critical,omitempty"`
}

// Step is one step of a sequence.
type Step struct {
	Key  string `yaml:"key" json:"key"`
	Text string `yaml:"text" json:"text"`
	// Wait and Within say how long after the step before it the step is done, at least and at most: "10 min".
	Wait   string `yaml:"wait,omitempty" json:"wait,omitempty"`
	Within string `yaml:"within,omitempty" json:"within,omitempty"`
}

// Figure asks for a worked value.
type Figure struct {
	Ask       string     `yaml:"ask" json:"ask"` // the quantity in words
	Unit      string     `yaml:"unit" json:"unit"`
	Formula   string     `yaml:"formula" json:"formula"` // over givens, readings and earlier figures
	Tolerance *Tolerance `yaml:"tolerance,omitempty" json:"tolerance,omitempty"`
	Limit     *Limit     `yaml:"limit,omitempty" json:"limit,omitempty"`                     // the true value is judged against it
	AskUnit   bool       `yaml:"ask-unit,omitempty" json:"ask-unit,omitempty"`               // the trainee has to state the unit
	Working   bool       `yaml:"working,omitempty" json:"working,omitempty"`                 // the written calculation is required
	Marks     int        `yaml:"marks,omitempty" json:"marks,omitempty"`                     // 0 means 1
	Safety    bool       `yaml:"safety-critical,omitempty" json:"safety-critical,omitempty"` // no follow-through
	Slips     []Slip     `yaml:"slips,omitempty" json:"slips,omitempty"`
}

// Tolerance says how far a stated figure may lie from the unrounded reference. Exactly one way is set, or Absolute and
// Relative together (either: the larger applies).
type Tolerance struct {
	Absolute string `yaml:"absolute,omitempty" json:"absolute,omitempty"` // a quantity, "0.1 K"
	Relative string `yaml:"relative,omitempty" json:"relative,omitempty"` // "3 %"
	Figures  int    `yaml:"significant-figures,omitempty" json:"significant-figures,omitempty"`
	AtLeast  bool   `yaml:"at-least,omitempty" json:"at-least,omitempty"` // the reference or more
	AtMost   bool   `yaml:"at-most,omitempty" json:"at-most,omitempty"`   // the reference or less
	Bound    string `yaml:"bound,omitempty" json:"bound,omitempty"`       // with at-least / at-most: the furthest accepted
	Because  string `yaml:"because,omitempty" json:"because,omitempty"`   // reason for the bound
	Exact    bool   `yaml:"exact,omitempty" json:"exact,omitempty"`
}

// Slip is a known wrong way of working: its formula gives the value that the slip leads to.
type Slip struct {
	Key     string `yaml:"key" json:"key"`
	Is      string `yaml:"is" json:"is"` // said to the tutor
	Formula string `yaml:"formula,omitempty" json:"formula,omitempty"`
	Option  string `yaml:"option,omitempty" json:"option,omitempty"` // in a choice: the option the slip leads to, in place of a formula
}

// Choice asks for one of named options: each with a condition, or the first size in a table not less than a formula.
type Choice struct {
	Ask     string   `yaml:"ask" json:"ask"`
	Options []Option `yaml:"options,omitempty" json:"options,omitempty"`
	Size    *Size    `yaml:"size,omitempty" json:"size,omitempty"`
	Marks   int      `yaml:"marks,omitempty" json:"marks,omitempty"`
	Safety  bool     `yaml:"safety-critical,omitempty" json:"safety-critical,omitempty"`
	Slips   []Slip   `yaml:"slips,omitempty" json:"slips,omitempty"`
}

// Option is right when its condition holds; the first whose condition holds is the answer. An empty When always holds.
type Option struct {
	Text string `yaml:"text" json:"text"`
	When string `yaml:"when,omitempty" json:"when,omitempty"`
}

// Size is right when it is the first of Sizes not less than Formula; Larger accepts any larger one as well.
type Size struct {
	Formula string   `yaml:"formula" json:"formula"`
	Unit    string   `yaml:"unit" json:"unit"`
	Sizes   []string `yaml:"sizes" json:"sizes"` // plain numbers in Unit, rising
	Larger  bool     `yaml:"larger-too,omitempty" json:"larger-too,omitempty"`
}

// Answer asks for written words, judged by the tutor alone.
type Answer struct {
	Ask   string `yaml:"ask" json:"ask"`
	Words int    `yaml:"words,omitempty" json:"words,omitempty"` // about how many
	Guide string `yaml:"guide,omitempty" json:"guide,omitempty"` // for the tutor's eyes only
}

// Confirm is a declaration to be ticked.
type Confirm struct {
	Text   string `yaml:"text" json:"text"`
	Safety bool   `yaml:"safety-critical,omitempty" json:"safety-critical,omitempty"`
}

// Document asks for a file, such as a completed form as PDF or a picture of it.
type Document struct {
	Is string `yaml:"is" json:"is"`
}

// CrossCheck is a relation that the trainee's readings should keep; a broken one raises a flag, never a mark.
type CrossCheck struct {
	Is   string `yaml:"is" json:"is"`
	When string `yaml:"holds" json:"holds"` // a condition over readings and givens
}

// ModelAnswer is what a perfect trainee would put down for one item; the model answers of a brief mark themselves full.
type ModelAnswer struct {
	Item    string `yaml:"item" json:"item"`
	Part    string `yaml:"part,omitempty" json:"part,omitempty"` // repeat number, "row/check" of a grid, step of a sequence
	Phase   Phase  `yaml:"phase,omitempty" json:"phase,omitempty"`
	Text    string `yaml:"text" json:"text"`
	Unit    string `yaml:"unit,omitempty" json:"unit,omitempty"`
	Working string `yaml:"working,omitempty" json:"working,omitempty"`
}
