package marking

import "witnessmark/internal/brief"

// Entry is one thing a trainee typed, ticked or chose, as they left it.
type Entry struct {
	Item    string      // the item's key
	Part    string      // "" for most; the repeat's number, "row/check" of a grid, a sequence's step
	Phase   brief.Phase // of a reading
	Text    string      // as typed: a number, an option's words, "yes" for a confirmation
	Unit    string      // as typed or chosen; "" where the form prints it
	Working string      // the written calculation, lines split by \n
}

// CheckReading is the tutor's own reading beside a safety-critical one, in the trainee's unit.
type CheckReading struct {
	Item  string
	Phase brief.Phase
	Text  string
	Seen  bool // the tutor saw the instrument show the trainee's value; Text may then be empty
}

// Sheet is everything of one attempt that the marker looks at.
type Sheet struct {
	Given   map[string]string // each given's drawn value as text with unit, by name
	Entries []Entry
	Checks  []CheckReading
}

// Verdict is the marker's advice on one line; a person decides.
type Verdict string

// The verdicts. Their words are shown to people through Verdict.Words.
const (
	Correct       Verdict = "correct"
	FollowThrough Verdict = "follow_through" // right from the trainee's own earlier figures
	Wrong         Verdict = "wrong"
	ToRead        Verdict = "to_read" // the tutor has to read it
	UnitMissing   Verdict = "unit_missing"
	UnitWrong     Verdict = "unit_wrong"
	NotAttempted  Verdict = "not_attempted"
	WithinLimit   Verdict = "within_limit"  // a reading that keeps its limit
	OutsideLimit  Verdict = "outside_limit" // a reading that breaks it
	Recorded      Verdict = "recorded"      // taken down; nothing to judge it by
)

// Flag is a question for the tutor to ask, never a mark.
type Flag struct {
	Code string // machine-readable: "inconsistent_with_own_working", "outside_believable", "cross_check", "unit_label", "needs_check_reading", "working_disagrees" …
	Text string // in words
}

// SlipMatch names a known wrong way of working whose value the stated figure has.
type SlipMatch struct {
	Key string
	Is  string
}

// Finding is what the marker says of one line: one figure, one reading in one phase, one cell of a grid.
type Finding struct {
	Item    string
	Part    string
	Phase   brief.Phase
	Verdict Verdict
	Code    string // the reason, machine-readable, such as "within_tolerance", "outside_tolerance", "ambiguous_comma", "wrong_dimension"
	Stated  string // what was typed, with its unit
	Unit    string // the asked unit, as printed
	// Read is the value in the unit that was typed and Converted the same in the asked unit; nil where no single number
	// could be read. All stored numbers are rounded to 12 significant digits.
	Read, Converted *float64
	// FromGiven and FromOwn are the references in the asked unit; nil where there is none.
	FromGiven, FromOwn *float64
	// Expected is the reference in words for a choice or a grid cell; ExpectedOwn follows from the trainee's own figures.
	Expected, ExpectedOwn string
	Tolerance             string // in words, "± 3 %"
	Limit                 string // in words, "at most 80 °C"
	Marks, Available      int
	Safety                bool
	// Blocks says that this line keeps its criteria from being met: a failed or unproved safety-critical line.
	Blocks     bool
	Slip       *SlipMatch
	Candidates []SlipMatch // slips whose value fits as well, when more than one does
	Flags      []Flag
	Trainee    string // the sentence for the trainee
	Tutor      string // the sentence for the tutor
}

// Result is the marker's word on one attempt.
type Result struct {
	Engine      string    // version of the marker and its rules
	BriefDigest string    // SHA-256 of the brief version's text, hex
	Properties  string    // source of material properties
	Findings    []Finding // in the brief's order
	Flags       []Flag    // about the whole sheet, such as a broken cross-check
	Marks       int       // feedback only: a criterion is met on its own evidence
	Available   int
}
