package brief

import (
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Compiled is a brief whose names are resolved, quantities parsed and formulas compiled: what marking runs on.
//
// A formula may call by name every given, every reading and every figure that stands before it in the brief. A reading's
// value is the mean of its repeats in its last phase.
type Compiled struct {
	Brief   *Brief
	Givens  []CompiledGiven // in the brief's order
	Items   []CompiledItem  // every item of every stage, in the brief's order
	Names   []Name          // all that formulas call by name: the givens, then readings and figures in order
	Crosses []CompiledCross // in the order of Brief.CrossChecks

	Functions map[string]formula.Function // what its formulas may call, the brief's tables among them, for explanations
	Rules     []RuleEdition               // the rule sets' editions that its rules were put in from
}

// Name is one name of the brief's formulas. Its unit is the asked one; programs take its value in SI (Unit.ToSI).
type Name struct {
	Name  string
	Unit  quantity.Unit
	Given int // index into Compiled.Givens, -1 for an item's
	Item  int // index into Compiled.Items, -1 for a given's
}

// CompiledGiven is a given with its quantities. Unit is that of Value, or of From where there is no Value; all are in it.
type CompiledGiven struct {
	Given *Given
	Unit  quantity.Unit
	Value quantity.Quantity // the fixed value, or the model answer's of a range: Value where it is written, else From
	Range *GivenRange       // nil where the value is fixed
}

// Formula is a compiled formula with the names that it needs.
type Formula struct {
	Text    string
	Program *formula.Program
	Needs   []int // indices into Compiled.Names, in the order in which Program.Eval takes their values in SI
}

// Condition is a compiled condition with the names that it needs.
type Condition struct {
	Text    string
	Program *formula.ConditionProgram
	Needs   []int // indices into Compiled.Names, in the order in which Program.Eval takes their values in SI
}

// CompiledItem is one item. What the item's form does not have is nil or zero.
type CompiledItem struct {
	Item  *Item
	Stage int // index into Brief.Stages
	Name  int // index into Compiled.Names of a reading or figure, else -1

	Unit        quantity.Unit  // asked, of a reading, figure or size
	Limit       CompiledLimit  // of a reading or figure
	Margin      bool           // the limit carries its margin already: uncertainty is never put on top
	Guard       *CompiledGuard // the brief's own guard band
	Believable  *CompiledRange
	Accuracy    *CompiledAccuracy
	CheckWithin *float64 // largest difference from the tutor's check reading, in the asked unit's difference

	Formula   *Formula // a figure's, or a size's
	Tolerance CompiledTolerance
	Options   []CompiledOption // of a choice by conditions
	Sizes     []float64        // of a choice by size, in Unit, rising
	Slips     []CompiledSlip
	wrongs    func() *Wrongs // of a figure, as thumbs are
	thumbs    func() *Wrongs

	Faults []CompiledFault // of a functional test
	Steps  []CompiledStep  // of a sequence, in order
}

// Needs lists what a figure or a choice is worked from, as indices into Compiled.Names; one that several options ask for
// stands there more than once.
func (it *CompiledItem) Needs() []int {
	if it.Formula != nil {
		return it.Formula.Needs
	}
	var needs []int
	for _, o := range it.Options {
		if o.Condition != nil {
			needs = append(needs, o.Condition.Needs...)
		}
	}
	return needs
}

// CompiledTolerance is a tolerance in the asked unit; Absolute is in that unit's difference (K for °C). The zero value
// accepts the reference alone.
type CompiledTolerance struct {
	Absolute float64
	Relative float64 // 0.03 for 3 %
	Figures  int
	AtLeast  bool
	AtMost   bool
	Bound    *float64
	Exact    bool
}

// CompiledLimit is a limit in the asked unit; nil at an end where there is none.
type CompiledLimit struct {
	AtLeast, AtMost *float64
	Source          string
}

// CompiledRange is a span in the asked unit, both ends included.
type CompiledRange struct{ From, To float64 }

// CompiledAccuracy is an instrument's accuracy: so much in the asked unit's difference, such a share of the reading, or
// the two together.
type CompiledAccuracy struct {
	Absolute float64
	Relative float64 // 0.02 for 2 %
}

// CompiledOption is an option of a choice; a nil Condition always holds.
type CompiledOption struct {
	Option    *Option
	Condition *Condition
}

// CompiledSlip is a slip: Formula gives the value it leads to in the asked unit's dimension; nil where it leads to an
// option.
type CompiledSlip struct {
	Slip    *Slip
	Formula *Formula
}

// CompiledCross is a cross-check.
type CompiledCross struct {
	Cross     *CrossCheck
	Condition *Condition
}
