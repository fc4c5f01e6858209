// Package portfolio says what goes into a portfolio, in what order and with which digests. It draws nothing.
//
// A portfolio is one trainee's evidence for one qualification unit: every task whose brief bears on the unit, every
// attempt at it (failed ones too), every photo, reading, figure and decision. Source is what the application loads;
// Assemble turns it into a Document, which package pdf draws.
package portfolio

import (
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// Source is everything that a portfolio is made from.
type Source struct {
	ID          uuid.UUID // of this portfolio
	MadeAt      time.Time
	CentreName  string
	CentreCode  string
	Trainee     string
	TraineeCode string // the sign-in name
	Cohort      string
	Unit        Unit
	Photos      Photos
	Tasks       []Task
	Samples     []Sample // that drew one of the attempts, in order of drawing
}

// Unit is the qualification unit with its outcomes and criteria, in order.
type Unit struct {
	Code, Title, Edition string
	Outcomes             []Outcome
}

// Outcome is a learning outcome with its criteria.
type Outcome struct {
	Code, Title string
	Criteria    []Criterion
}

// Criterion is one assessment criterion.
type Criterion struct{ Code, Text string }

// Task is one brief version set to the trainee, with every attempt at it.
type Task struct {
	Brief    *brief.Brief
	Version  int
	Digest   string // SHA-256 of the brief version's text, hex
	SetBy    string
	SetAt    time.Time
	DueOn    time.Time // zero where no date was set
	Attempts []Attempt // in order of number
}

// Attempt is one attempt with everything that belongs to it.
type Attempt struct {
	ID           uuid.UUID
	Number       int
	State        decision.State
	Brief        *brief.Brief      // under the editions of rule sets that hold for this attempt; nil for the task's
	Given        map[string]string // the drawn values
	OpenedAt     time.Time         // zero where it has not come to that, as below
	HandedOverAt time.Time
	Site         string            // code of the private site where it was done; "" at the centre
	Householder  string            // who told the householder that photos will be taken
	Seal         *Seal             // the list of what was handed over; nil before
	Declaration  string            // the words that the trainee agreed to when handing over
	Entries      []Entry           // everything typed, in order; later ones supersede earlier ones of the same line
	Evidence     []Evidence        // in order of receipt
	Records      []decision.Record // in order
	Marking      *marking.Result   // the latest; nil before the marker ran
	MarkedAt     time.Time
	Instruments  []decision.Instrument // chosen for it, in order
	Rules        []Rules               // the editions that Brief's rules come from
	Explained    []marking.Explanation // of its figures and choices, as they were marked
	Passed       map[string]bool       // the stages whose hold points were passed in an earlier attempt, as decision.Behind has them
}

// Sample is the drawing of one attempt so that somebody else looks at the decisions on it.
type Sample struct {
	ID       uuid.UUID // of the sample
	Attempt  uuid.UUID
	Plan     string // its name
	DrawnBy  string
	DrawnAt  time.Time
	Why      []string               // this attempt, in words
	Outcome  decision.SampleOutcome // "" before somebody looked, as all below
	Words    string                 // the sampler's
	Sampler  string
	Role     string // of the sampler
	LookedAt time.Time
}

// Looked says whether somebody has looked at what was drawn.
func (s *Sample) Looked() bool { return s.Outcome != "" }

// Seal is the list that a trainee's phone sealed when handing over.
type Seal struct {
	MadeAt     time.Time // by the phone
	ReceivedAt time.Time
	Listed     int // things on it
	Awaited    int // of these, not here
}

// Rules is one edition of a rule set that limits, values and tables were taken from. Days are dates, both ends included.
type Rules struct {
	Title, Edition string
	From, To       time.Time // To is zero where no end is known
	EnteredBy      string
	CheckedBy      string
	Demonstration  bool // invented, to be shown: not for use at a bench
}

// Entry is one typed line with its times.
type Entry struct {
	marking.Entry
	Note       string // what was done in between, who helped
	With       ReadWith
	By         string
	CapturedAt time.Time // on the phone; zero where unknown
	ReceivedAt time.Time
	Order      decision.Order // as of a file
	HoldOf     int            `json:"-"` // as of a file; a record has the brief and the releases, which say it
	Sealed     bool           // on the list that was handed over
}

// ReadWith is the instrument that a reading was taken with; one without an id where none was named.
type ReadWith struct {
	decision.Instrument           // its Due is the register's, where the register knows it
	OutOfDate           bool      // its calibration had run out on the day of the reading
	Register            uuid.UUID // in the centre's register; zero where it is not known there
	Doubt               decision.Doubt
}

// Wrong says what speaks against the reading, after "its instrument"; "" for nothing.
func (w ReadWith) Wrong() string {
	if w.OutOfDate {
		return decision.Overdue.Words()
	}
	return w.Doubt.Words()
}

// Named says whether the reading names an instrument.
func (w ReadWith) Named() bool { return w.ID != uuid.Nil }

// Evidence is one file.
type Evidence struct {
	ID            uuid.UUID
	Item          string
	Name          string // the file's own name
	Caption       string
	MediaType     string
	Digest        string // SHA-256 of the bytes as received, hex
	Size          int64
	Width, Height int            // in pixels, as stored (before Orientation)
	Orientation   int            // EXIF 1 to 8
	TakenAt       time.Time      // by the camera; zero where unknown
	TakenZoned    bool           // the camera stated its zone
	DeviceAt      time.Time      // by the phone
	ReceivedAt    time.Time      // by the server
	Order         decision.Order // of its capture and the release of the hold point that it stands behind; "" where there is none
	HoldOf        int            // the number of the stage whose hold point that is, where it is an earlier one than the item's own; 0 else
	By            string
	Sealed        bool             // on the list that was handed over
	PreviewDigest string           // of the upright JPEG preview, hex; "" until it is made
	BareDigest    string           // of the JPEG as received without what the camera wrote beside the picture, hex; "" where it was not looked for
	CoveredDigest string           // of the upright JPEG that stands in for the original, covered over and without what the camera wrote; "" where none does
	Covers        int              // rectangles laid over it
	Private       bool             // taken on a private site
	LookedOver    bool             // somebody looked at it for what has to be covered
	Withdrawn     *decision.Record // who took the original away, and why; nil where it is kept
	Withheld      bool             // a picture that could not be drawn: it is not shown
	Uncarried     bool             // a JPEG whose colours or coding a file for the archive cannot carry, such as one in inks
	Card          string           // what was read of the code card in it: "" not looked for, "read", "other" attempt's, "not_read"
}
