package portfolio

import (
	"time"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// Document is a portfolio in reading order: plain data, ready to be drawn. Anchors name places in it; each is set once,
// and none holds anything that a person typed.
type Document struct {
	ID          string // of the portfolio, as a UUID is written
	MadeAt      time.Time
	CentreName  string
	CentreCode  string
	Trainee     string
	TraineeCode string
	Cohort      string
	Photos      Photos // how photos stand in it: the centre's choice
	Unit        Unit
	Criteria    int      // how many the unit has
	Met         int      // of these: met by some task and not yet met by none
	SignedOff   int      // of the met ones: every decision that counts belongs to an attempt that is signed off
	Attempts    int      // over all tasks
	Judges      []string // who decided on a criterion or signed off, each once, with the role
	Index       []OutcomeIndex
	Uses        []Use // the index read the other way round: from what was handed in to criteria
	Tasks       []TaskSheet
	Files       []File // every file of every attempt, in order of appearance
	Samples     []SampleSheet
}

// SampleSheet is a sample with the attempt that it drew.
type SampleSheet struct {
	Sample
	Where Ref
}

// Ref leads from one place of the document to another.
type Ref struct{ Title, Anchor string }

// OutcomeIndex is a learning outcome with its criteria in the index.
type OutcomeIndex struct {
	Code, Title string
	Rows        []IndexRow
}

// IndexRow is one criterion of the unit: what shows it and who decided, task by task. No part means that no task set to
// the trainee bears on it.
type IndexRow struct {
	Criterion
	Parts []IndexPart
}

// IndexPart is what one task has on a criterion.
type IndexPart struct {
	Task     int // its number in the document
	Attempt  int // in which Decision was made; without one, the latest that has evidence; 0 where there is none
	Evidence []Ref
	Decision *Act // that counts now; nil while nobody has decided
	Anchor   string
	Carried  int   // the last attempt that the decision was carried over to; 0 where it was not
	Signed   bool  // the attempt in which the decision stands is signed off
	Earlier  []Ref // decisions of attempts before it that counted until then
}

// Use is one item of an attempt, something having been handed in for it, with the criteria that it serves.
type Use struct {
	Task, Attempt int // numbers
	Item          Ref
	Files         []int // numbers
	Rests         []Ref // criteria whose decision names it
	Bears         []Ref // criteria that it bears on, whose decision names other items or that are not decided
}

// TaskSheet is one task: the brief as it was set, then every attempt.
type TaskSheet struct {
	Number   int
	Anchor   string
	Task     // as loaded
	Given    []GivenRow
	Criteria []Criterion // that the brief covers, of any unit; Text is empty for those of another unit
	Attempts []AttemptSheet
}

// GivenRow is a given value with what the trainee got.
type GivenRow struct {
	brief.Given
	Drawn string // "" where nothing was drawn yet
}

// AttemptSheet is one attempt laid out along its brief.
type AttemptSheet struct {
	Number    int
	Anchor    string
	Attempt              // as loaded
	Given     []GivenRow // only where they differ from the task's
	Stages    []StageSheet
	Decisions []CriterionSheet
	// Instruments are those that were chosen for the attempt, each with the photos of its label.
	Instruments []InstrumentSheet
	Agreed      []Act // adjustments agreed with the trainee beforehand, in order
	Closing     []Act // sign-off, more to do, safety stops and whatever has no other place, in order
	Strays      Strays
}

// Title is the title of an item; "" where the brief has none of that key.
func (a *AttemptSheet) Title(item string) string {
	for _, st := range a.Stages {
		for _, it := range st.Items {
			if it.Item.Key == item {
				return it.Item.Title
			}
		}
	}
	return ""
}

// Untouched says that the attempt was planned and nothing came of it yet: it takes a line, not its stages.
func (a *AttemptSheet) Untouched() bool {
	return a.State == decision.Planned && len(a.Entries) == 0 && len(a.Evidence) == 0 && len(a.Records) == 0
}

// Strays is what belongs to no place of the brief: it is shown all the same.
type Strays struct {
	Entries  []Entry
	Findings []marking.Finding
	Files    []File
}

// StageSheet is one stage. Releases are those of its hold point, in order; none means that it was not released.
type StageSheet struct {
	Number   int
	Anchor   string
	Stage    *brief.Stage
	Needs    []Ref // items that must be right before the hold point is released
	Releases []Act
	Items    []ItemSheet
	Helped   Line  // who helped, or did part of it, in the trainee's words
	Notes    []Act // what the tutor saw and asked aloud, of the stage or an item of it, in order
}

// InstrumentSheet is an instrument with the photos of its label.
type InstrumentSheet struct {
	decision.Instrument
	Files []File
}

// ItemSheet is one evidence item with everything that was handed in for it, found and decided.
type ItemSheet struct {
	Number   int // counted through the brief
	Anchor   string
	Item     *brief.Item
	Criteria []string // codes; those of another unit with that unit's code before them
	Lines    []Line
	Findings []Finding
	// Explained is a figure or choice worked out step by step; nil for all else, and where nothing was marked.
	Explained *marking.Explanation
	// Diagnosis is what a functional test's wrong cells point at; nil where they point nowhere, and where nothing was marked.
	Diagnosis *marking.Diagnosis
	Checks    []Act // the tutor's check readings, in order
	Files     []File
}

// Filled says whether anything was handed in for the item.
func (it *ItemSheet) Filled() bool {
	for _, l := range it.Lines {
		if l.Current != nil {
			return true
		}
	}
	return len(it.Files) > 0
}

// Line is one slot of an item with what stands in it and what stood in it before, the oldest first.
type Line struct {
	brief.Slot
	Current *Entry // nil where nothing stands
	Earlier []Entry
}

// Finding is the marker's word on a line with what people put in its place, the last of which counts.
type Finding struct {
	marking.Finding
	Overrides []Act
}

// Standing is the override that counts; nil where the marker's own word stands.
func (f *Finding) Standing() *Act {
	if n := len(f.Overrides); n > 0 {
		return &f.Overrides[n-1]
	}
	return nil
}

// CriterionSheet is one criterion in one attempt: the decisions on it, the last of which counts, and what they rest on.
type CriterionSheet struct {
	Ref      string // "UNIT/1.2"
	Code     string // as ItemSheet.Criteria
	Text     string // "" for a criterion of another unit
	Anchor   string
	Evidence []Ref // that the decision names; without any, what was handed in and bears on the criterion
	Named    bool  // the decision names its evidence
	Current  *Act
	Earlier  []Act
	Behind   *Act  // the countersignature behind the current decision; nil where there is none
	Asked    []Act // what the trainee was asked about it and answered, or is still to be asked
	Heard    []Act // what the trainee was asked aloud about its evidence, which stands at its stage too
}

// Act is one thing that a person decided.
type Act struct {
	decision.Record
	Superseded bool
	Rests      []Ref // Evidence, as places in this document
}

// File is one file of an attempt, numbered through the document.
type File struct {
	Number int
	Anchor string
	Evidence
	Where  Ref    // the item that it belongs to
	Show   Show   // how it stands in the document
	Shown  string // the digest of what is shown, "" for a file that is listed alone
	SameAs int    // number of an earlier file with the same bytes, such as one carried over; 0: none
}

// Show says how a file stands in a portfolio.
type Show int

// The ways.
const (
	Listed   Show = iota // by name, kind, size and digest
	Original             // the picture, byte for byte as received
	Preview              // the upright JPEG preview in the picture's place
	Covered              // the upright JPEG with the covers, without what the camera wrote
	Bare                 // the picture as received, every pixel, without what the camera wrote beside it
)

// Picture says whether the file is a picture, shown or not.
func (f *File) Picture() bool { return picture(f.MediaType) }

func picture(mediaType string) bool {
	switch mediaType {
	case mediaJPEG, mediaPNG, mediaHEIC:
		return true
	}
	return false
}

// The media types that are treated apart.
const (
	mediaJPEG = "image/jpeg"
	mediaPNG  = "image/png"
	mediaHEIC = "image/heic"
)
