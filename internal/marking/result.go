package marking

import (
	"time"

	"witnessmark/internal/brief"
)

// Entry is one thing a trainee typed, ticked or chose, as they left it.
type Entry struct {
	Item    string      `json:"item" yaml:"item"`                           // the item's key
	Part    string      `json:"part,omitempty" yaml:"part,omitempty"`       // "" for most; the repeat's number, "row/check" of a grid, a sequence's step
	Phase   brief.Phase `json:"phase,omitempty" yaml:"phase,omitempty"`     // of a reading
	Text    string      `json:"text" yaml:"text"`                           // as typed: a number, an option's words, "yes" for a confirmation
	Unit    string      `json:"unit,omitempty" yaml:"unit,omitempty"`       // as typed or chosen; "" where the form prints it
	Working string      `json:"working,omitempty" yaml:"working,omitempty"` // the written calculation, lines split by \n
	At      time.Time   `json:"at,omitzero" yaml:"at,omitempty" db:"-"`     // when it was put down, by the trainee's clock; zero where unknown
}

// CheckReading is the tutor's own reading beside a safety-critical one, in the trainee's unit.
type CheckReading struct {
	Item  string      `json:"item" yaml:"item"`
	Phase brief.Phase `json:"phase,omitempty" yaml:"phase,omitempty"`
	Text  string      `json:"text,omitempty" yaml:"text,omitempty"`
	Seen  bool        `json:"seen,omitempty" yaml:"seen,omitempty"` // the tutor saw the instrument show the trainee's value; Text may then be empty
}

// Sheet is everything of one attempt that the marker looks at.
type Sheet struct {
	Trainee string            `json:"trainee,omitempty" yaml:"trainee,omitempty"` // the trainee's code on a submission file; not looked at
	Given   map[string]string `json:"given,omitempty" yaml:"given,omitempty"`     // each given's drawn value as text with unit, by name
	Entries []Entry           `json:"entries,omitempty" yaml:"entries,omitempty"`
	Earlier []EarlierRow      `json:"earlier,omitempty" yaml:"earlier,omitempty"` // oldest first; Entries has the latest of each line
	Checks  []CheckReading    `json:"checks,omitempty" yaml:"checks,omitempty"`
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
	Code    string `json:"code"`              // machine-readable, one of the Flag constants
	Text    string `json:"text"`              // in words, for the tutor
	Trainee string `json:"trainee,omitempty"` // the same for the trainee, who reads it in the finding's sentence; "" where it is the tutor's alone
	At      *Place `json:"at,omitempty"`      // what it is about in the written working
}

// Place is a stretch of the written working.
type Place struct {
	From  int    `json:"from"`  // where it begins, in bytes of the working as typed
	To    int    `json:"to"`    // where it ends
	Quote string `json:"quote"` // what stands there, shortened where it is long
}

// The codes of flags.
const (
	FlagInconsistent   = "inconsistent_with_own_working" // right, but it does not follow from the trainee's own earlier figures
	FlagPrefix         = "unit_prefix"                   // right digits, and out by a power of a thousand
	FlagUnitLabel      = "unit_label"                    // right digits under another unit
	FlagUnitNote       = "unit_note"                     // a unit that was forgiven
	FlagBelievable     = "outside_believable"
	FlagNeedsCheck     = "needs_check_reading" // safety-critical and not yet seen or checked by the tutor
	FlagCheckDiffers   = "check_reading_differs"
	FlagRestsOn        = "rests_on_unproved"  // a figure that rests on a reading which still needs its check
	FlagWorking        = "working_disagrees"  // the stated figure is not what its working comes to
	FlagNotFromWorking = "not_from_working"   // right, but its working comes to something else
	FlagArithmetic     = "working_arithmetic" // two sides of an equals sign are not equal
	FlagThumb          = "rule_of_thumb"      // right by a rule of thumb that the brief does not rule out
	FlagMethodRight    = "method_right"       // wrong, but the written calculation comes to the right value
	FlagMethodWrong    = "method_wrong"       // wrong, and the written calculation comes to what is stated
	FlagWorkingUnread  = "working_unread"
	FlagWorkingMissing = "working_missing"
	FlagCrossCheck     = "cross_check"
	FlagLimit          = "limit_broken"       // the true value of a figure breaks its limit
	FlagRepeat         = "repeat_outside"     // one of several repeats breaks the limit that their mean keeps
	FlagFarOff         = "far_off"            // follows from an earlier figure, and is a hundred times too much or too little
	FlagDoNotFit       = "do_not_fit"         // method right, true value not: nothing is fitted or set to this figure
	FlagSlipAgain      = "slip_made_again"    // the same slip was made afresh further up the sheet
	FlagEarlierMissing = "earlier_not_stated" // an earlier figure is not stated, so the reference stood in for it
	FlagRetested       = "retested"           // an earlier result of the line, with what was done since
	FlagRetestUnsaid   = "retest_unsaid"      // an earlier result failed, and nothing is said of what was done since
	FlagCrossClose     = "cross_check_close"  // a relation that does not hold, though the instruments' accuracy allows it
	FlagTooClose       = "too_close_to_call"  // nearer to its limit than can be told; the verdict stands
	FlagGuard          = "inside_guard_band"  // a figure's true value lies inside the brief's own guard band
	FlagRounding       = "rounding"           // what differs is what rounding of earlier answers leaves
	FlagTwice          = "entered_twice"      // two entries for one line; the last one counts
	FlagRunOn          = "working_run_on"     // a calculation that goes on behind its own result
	FlagTruncated      = "working_truncated"  // cut off, not rounded
	FlagWorkingUnits   = "working_units"      // the working's units come to something else
	FlagNoReference    = "no_reference"       // nothing to compare with: a reading is missing or only a bound
	FlagTimeNotShown   = "time_not_shown"     // a step that has to keep a time, and none stands beside it or the one before
	FlagGivenMissing   = "given_missing"      // on the sheet: a given with a range was not drawn
	FlagGivenUnread    = "given_unread"
	FlagUnknownGiven   = "unknown_given"
	FlagUnknownItem    = "unknown_item" // an entry or check that belongs to no line of the brief
)

// SlipMatch names a known wrong way of working whose value the stated figure has.
type SlipMatch struct {
	Key  string `json:"key"`
	Is   string `json:"is"`
	Made bool   `json:"made,omitempty"` // made from the figure's own formula, not declared by the brief
}

// Finding is what the marker says of one line: one figure, one reading in one phase, one cell of a grid.
type Finding struct {
	Item    string      `json:"item"`
	Part    string      `json:"part,omitempty"`
	Phase   brief.Phase `json:"phase,omitempty"`
	Verdict Verdict     `json:"verdict"`
	Code    string      `json:"code"` // the reason, machine-readable, such as "within_tolerance", "outside_tolerance", "ambiguous", "wrong_dimension"
	Stated  string      `json:"stated"`
	Unit    string      `json:"unit,omitempty"` // the asked unit, as printed
	// Read is the value in the unit that was typed and Converted the same in the asked unit; nil where no single number
	// could be read. All stored numbers are rounded to 12 significant digits.
	Read      *float64 `json:"read,omitempty"`
	Converted *float64 `json:"converted,omitempty"`
	// FromGiven and FromOwn are the references in the asked unit; nil where there is none.
	FromGiven *float64 `json:"from_given,omitempty"`
	FromOwn   *float64 `json:"from_own,omitempty"`
	// Expected is the reference in words for a choice or a grid cell; ExpectedOwn follows from the trainee's own figures.
	Expected    string    `json:"expected,omitempty"`
	ExpectedOwn string    `json:"expected_own,omitempty"`
	Tolerance   string    `json:"tolerance,omitempty"` // in words, "± 3 %"
	Limit       string    `json:"limit,omitempty"`     // in words, "at most 80 °C"
	Measured    *Measured `json:"measured,omitempty"`  // how well the reading, or FromGiven, is known; nil where nothing is said
	Marks       int       `json:"marks"`
	Available   int       `json:"available"`
	Safety      bool      `json:"safety_critical,omitempty"`
	// Blocks says that this line keeps its criteria from being met: a failed or unproved safety-critical line.
	Blocks     bool        `json:"blocks,omitempty"`
	Slip       *SlipMatch  `json:"slip,omitempty"`
	Candidates []SlipMatch `json:"candidates,omitempty"` // slips whose value fits as well, when more than one does
	Earlier    []Earlier   `json:"earlier,omitempty"`    // results that re-tests have taken the place of, oldest first
	Flags      []Flag      `json:"flags,omitempty"`
	Trainee    string      `json:"trainee"` // the sentence for the trainee
	Tutor      string      `json:"tutor"`   // the sentence for the tutor
}

// Diagnosis is what the marker says of a functional test as a whole; nil where it says nothing, or nothing was marked.
func (r *Result) Diagnosis(item string) *Diagnosis {
	if r == nil {
		return nil
	}
	for i := range r.Diagnoses {
		if r.Diagnoses[i].Item == item {
			return &r.Diagnoses[i]
		}
	}
	return nil
}

// Result is the marker's word on one attempt.
type Result struct {
	Engine      string              `json:"engine"`               // version of the marker and its rules
	BriefDigest string              `json:"brief_digest"`         // SHA-256 of the brief version's text, hex; the caller of Mark fills it in
	Properties  string              `json:"properties,omitempty"` // source of material properties
	Rules       []brief.RuleEdition `json:"rules,omitempty"`      // the rule sets' editions that the brief was marked under
	Findings    []Finding           `json:"findings"`             // in the brief's order
	// Diagnoses are what functional tests with wrong cells point at, in the brief's order.
	Diagnoses []Diagnosis `json:"diagnoses,omitempty"`
	Flags     []Flag      `json:"flags,omitempty"` // about the whole sheet, such as a broken cross-check
	Marks     int         `json:"marks"`           // feedback only: a criterion is met on its own evidence
	Available int         `json:"available"`
}
