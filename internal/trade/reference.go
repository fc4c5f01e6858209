package trade

import "witnessmark/internal/formula"

// Entry is a function of the trade with what a tutor reads of it before calling it.
type Entry struct {
	formula.Function
	Formula string   // how it is worked, in the notation of formulas over the names of Params; empty where no formula can say it
	Method  string   // in words, where Formula is empty: "the root of Colebrook's equation, to the last bit"
	Range   string   // what it holds for, a sentence; outside it Call gives a RangeError
	Example []string // one argument for each of Params as a tutor types it: "22 mm"
	Gives   string   // what Example comes to, in the unit of Result, to the digits shown: "20.2 mm"
	Chart   Chart
}

// Chart says what the function's small chart shows: the function over one parameter, the others as in Example. The zero
// Chart is none.
type Chart struct {
	Over     string // the parameter's name
	From, To string // as typed: "10 °C"
}

// Subject is a chapter of the reference: functions that belong together, in the order in which they are read.
type Subject struct {
	Key     string // lower-case, for addresses: "water"
	Title   string
	About   string // one or two sentences: what the chapter is for and what it leaves to others
	Entries []Entry
}

// Subjects is the whole reference, in the order in which a tutor looks for things.
func Subjects() []Subject {
	return []Subject{
		waterSubject(),
		tubeSubject(),
		flowSubject(),
		pumpSubject(),
		sealedSubject(),
		emitterSubject(),
		buildingSubject(),
		hotWaterSubject(),
		gasSubject(),
		combustionSubject(),
		electricalSubject(),
		insulationSubject(),
		heatPumpSubject(),
		radioSubject(),
		measurementSubject(),
	}
}
