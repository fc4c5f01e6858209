package app

import (
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/store"
)

// Sheet is one attempt as a job sheet: the brief's stages and items in order, with what was recorded, found and decided
// beside each. The trainee's page, the tutor's page and the API all show it.
type Sheet struct {
	ID         uuid.UUID
	Number     int
	State      decision.State
	Revision   int // goes back with every judging action, so that a stale page is refused
	Trainee    string
	TraineeID  uuid.UUID
	Cohort     string
	CohortID   uuid.UUID
	BriefKey   string
	BriefTitle string
	Version    int
	SetBy      string
	SetAt      time.Time
	DueOn      time.Time // this trainee's; zero where no date was set
	SheetSetting
	OpenedAt time.Time // zero before, as the times below
	HandedAt time.Time
	MarkedAt time.Time
	SignedAt time.Time

	Site        string    // code of the private site; "" at the centre
	Householder string    // who told the householder that photos will be taken
	Card        uuid.UUID // on the printed code card

	About       string
	Cautions    []string
	Conventions []string
	Given       []GivenRow
	Stages      []SheetStage
	Criteria    []SheetCriterion
	Declaration string // the words agreed to when handing over; "" before
	Missing     []Missing
	Flags       []marking.Flag // about the whole sheet
	Asks        []Ask          // what there is to ask the trainee, for whoever judges; none before it was handed over
	Marks       int
	Available   int
	Records     []decision.Record // everything decided, oldest first
	Remark      *decision.Record  // the latest more-to-do or sign-off, with the tutor's words

	Seal *SheetSeal // what was handed over; nil before
	Held []HeldThing

	Rules   []store.RuleEdition // the editions that its limits, values and tables come from, in the brief's order
	Others  []store.RuleEdition // of the same sets, checked: it could be marked again under one of these
	Lacking []string            // why a rule that the brief names cannot be put in, in sentences: the marker waits until it can

	Deciding

	Own    bool // the caller is the trainee
	Judge  bool // the caller may judge it
	Record bool // the caller may type and add evidence now

	MaySetAside bool // the caller may have it count for nothing, now
}

// SheetSeal is the list of what was handed over.
type SheetSeal struct {
	MadeAt     time.Time // by the phone
	ReceivedAt time.Time
	Listed     int              // things on it
	Awaited    int              // of these not here yet; the marker waits for them
	Without    *decision.Record // a tutor had it go on without what was awaited; nil where nobody did
}

// HeldThing is something that came after handing over without being on the sealed list: no part of the set until a tutor takes
// it in.
type HeldThing struct {
	ID         uuid.UUID
	Item       string // its key
	Title      string // of the item
	Line       string // "" for a file
	Text       string // as typed, with its unit
	File       *SheetFile
	CapturedAt time.Time
	ReceivedAt time.Time
}

// GivenRow is one given quantity with the trainee's own value, and where that comes from if the brief says so.
type GivenRow struct{ Name, Is, Value, Source string }

// SheetStage is one stage of the sheet.
type SheetStage struct {
	Number   int // from 1
	Key      string
	Title    string
	About    string
	Cautions []string
	Hold     *SheetHold
	Behind   int // the number of an earlier stage whose hold point stands, and before whose release nothing is to be done here; 0 for none
	Items    []SheetItem
	// Instruments are the kinds that its readings name, each with the one in hand.
	Instruments []SheetInstrument
	Helped      SheetLine // who helped, or did part of it, in the trainee's words
	// Questions are what the tutor asks aloud; none where a trainee looks whose attempt is not decided.
	Questions []brief.Question
}

// SheetHold is the hold bar at the start of a stage.
type SheetHold struct {
	Show        string
	Entitlement string           // "gas", "electrical", "unvented" or ""
	Release     *decision.Record // nil while it holds
	MayRelease  bool             // by the caller, now
	WhyNot      string           // why the caller may not, in words; "" where they may or where it is released
	Spots       []SheetSpot      // what was told of releases on the spot and is not confirmed
}

// SheetSpot is a release on the spot as one of the two phones tells of it, waiting or refused.
type SheetSpot struct {
	ID uuid.UUID // made on the phone that tells
	decision.SpotVerdict
	By string    // the releaser; "" where only the trainee's phone tells of it
	At time.Time // by the phone that tells
}

// SheetItem is one item with its lines or files.
type SheetItem struct {
	*brief.Item
	Number   int // within the sheet, from 1
	Lines    []SheetLine
	Files    []SheetFile
	Criteria []string // "UNIT/code", resolved
	Done     bool     // what is required is there
	// Otherwise is how it is shown in another way, as was agreed for this trainee; nil for most.
	Otherwise *decision.Record
	// Diagnosis is what a functional test's wrong cells point at; nil where they point nowhere, and where findings are withheld.
	Diagnosis *marking.Diagnosis
}

// takesFiles says whether files are what the item asks for; those of any other are photos of the sheet that it was written on.
func (it SheetItem) takesFiles() bool { return it.Photo != nil || it.Document != nil }

// SheetLine is one thing to type, tick or choose.
type SheetLine struct {
	brief.Slot
	Item     string
	Entry    *LineEntry  // the latest; nil while empty
	Earlier  []LineEntry // superseded ones, oldest first
	Finding  *marking.Finding
	Override *decision.Record // the latest override of the finding
	Check    *decision.Record // the latest check reading
	// Explained is the finding of a figure or choice worked out step by step; nil where the finding itself is withheld, and where the
	// figure comes out differently now than when it was marked.
	Explained *marking.Explanation
}

// LineEntry is what somebody put into a line.
type LineEntry struct {
	Text, Unit, Working    string
	Note                   string
	With                   portfolio.ReadWith
	CapturedAt, ReceivedAt time.Time      // on the phone (zero where unknown), by the server
	Sealed                 bool           // on the list that was handed over
	Order                  decision.Order // as of a file
	HoldOf                 int            // as of a file
}

// SheetFile is one photo or document.
type SheetFile struct {
	ID            uuid.UUID
	Name          string
	Caption       string
	MediaType     string
	Size          int64
	Width, Height int // upright
	Digest        string
	TakenAt       time.Time // by the camera; zero where unknown
	DeviceAt      time.Time
	ReceivedAt    time.Time
	Order         decision.Order   // of its capture and the release of the hold point that it stands behind; "" where there is none
	HoldOf        int              // the number of the stage whose hold point that is, where it is an earlier one; 0 else
	Preview       bool             // a preview is there to be shown
	Covers        int              // rectangles laid over it
	Unlooked      bool             // taken on a private site, and nobody has said yet what is to be covered: nothing of it leaves the centre
	Copy          bool             // a covered copy stands in for the original, wherever it is shown
	Withdrawn     *decision.Record // who took the original away, and why; nil where it is kept
	Card          string           // what was read of the code card in it: "" not looked for, CardRead, CardOther, CardNotRead
	Sealed        bool             // on the list that was handed over
}

// SheetCriterion is one criterion that the brief covers, with its current decision.
type SheetCriterion struct {
	Ref      string // "UNIT/1.2"
	Text     string
	Items    []string         // keys of the items that bear on it
	Blocked  []string         // why it cannot be met as things stand, in words
	Decision *decision.Record // the current one; nil while open
	Earlier  []decision.Record
}

// Missing is something that has to be there before handing over.
type Missing struct {
	Item string // its key, for a link
	Text string // in words
}
