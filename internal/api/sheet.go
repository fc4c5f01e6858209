package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// Sheet is one attempt as a job sheet: the brief's stages and items in order, with what was recorded, found and decided
// beside each. To the trainee it shows the marker's findings once a person has decided, and never the values that the
// marker held theirs against: the next attempt has the same ones.
type Sheet struct {
	ID           uuid.UUID        `json:"id"`
	Number       int              `json:"number"`
	State        decision.State   `json:"state"`
	Revision     int              `json:"revision" about:"Goes back with every judging action, so that a stale page is refused."`
	Trainee      uuid.UUID        `json:"trainee"`
	TraineeName  string           `json:"trainee_name"`
	Cohort       uuid.UUID        `json:"cohort"`
	CohortName   string           `json:"cohort_name"`
	BriefKey     string           `json:"brief_key"`
	Title        string           `json:"title"`
	Version      int              `json:"version"`
	SetBy        string           `json:"set_by"`
	SetAt        time.Time        `json:"set_at"`
	FromOn       Date             `json:"from_on,omitzero" about:"The day before which it cannot be started."`
	DueOn        Date             `json:"due_on,omitzero"`
	Attempts     int              `json:"attempts,omitzero" about:"How many the trainee has; left out for as many as it takes."`
	Observer     string           `json:"observer,omitzero" about:"The tutor who was named to observe; left out for any of the cohort."`
	OpenedAt     time.Time        `json:"opened_at,omitzero"`
	HandedOverAt time.Time        `json:"handed_over_at,omitzero"`
	MarkedAt     time.Time        `json:"marked_at,omitzero"`
	SignedOffAt  time.Time        `json:"signed_off_at,omitzero"`
	About        string           `json:"about"`
	Cautions     []string         `json:"cautions"`
	Conventions  []string         `json:"conventions"`
	Given        []Given          `json:"given"`
	Stages       []Stage          `json:"stages"`
	Criteria     []SheetCriterion `json:"criteria"`
	Site         string           `json:"site,omitzero" about:"The code of the private site; left out at the centre."`
	Householder  string           `json:"householder,omitzero" about:"Who told the householder that photos will be taken."`
	Card         uuid.UUID        `json:"card,omitzero" about:"The id on the attempt's code card."`
	Declaration  string           `json:"declaration,omitzero" about:"The words agreed to when handing over."`
	Missing      []Missing        `json:"missing" about:"What has to be there before handing over."`
	Flags        []Flag           `json:"flags"`
	Marks        int              `json:"marks,omitzero"`
	Available    int              `json:"available,omitzero"`
	Records      []Record         `json:"records" about:"Everything decided, oldest first."`
	Rules        []RuleEdition    `json:"rules" about:"The editions of rule sets that limits and values come from: those it was marked with, else those of the day it was handed over, else today's."`
	Lacking      []string         `json:"lacking" about:"Why a rule is not in force, in sentences: the marker waits for it."`
	Seal         *SheetSeal       `json:"seal,omitempty" about:"What was handed over; left out before."`
	Held         []Held           `json:"held" about:"What came after handing over without being on the sealed list: no part of the set until a tutor takes it in."`
	Waits        string           `json:"waits,omitzero" about:"Why what the caller decides waits for a countersignature; left out where it stands by itself."`
	May          May              `json:"may"`
}

// SheetSeal is the list of what was handed over.
type SheetSeal struct {
	SealedAt   time.Time `json:"sealed_at" about:"By the phone's clock."`
	ReceivedAt time.Time `json:"received_at"`
	Listed     int       `json:"listed" about:"Things on the list."`
	Awaited    int       `json:"awaited" about:"Things on the list that have not come yet; the marker waits for them."`
	Without    *Record   `json:"gone_on_without,omitempty" about:"A tutor had it go on without them."`
}

// Held is something that is held back.
type Held struct {
	ID         uuid.UUID `json:"id"`
	Item       string    `json:"item"`
	Line       string    `json:"line,omitzero" about:"item#part@phase; left out of a file."`
	Text       string    `json:"text,omitzero" about:"As typed, with its unit."`
	File       *File     `json:"file,omitempty"`
	CapturedAt time.Time `json:"captured_at,omitzero" about:"By the phone's clock."`
	ReceivedAt time.Time `json:"received_at"`
}

// May is what the caller may do with a sheet now.
type May struct {
	Record bool `json:"record" about:"Type, and add evidence."`
	Judge  bool `json:"judge"`
}

// Given is one given quantity with the trainee's own value.
type Given struct {
	Name   string `json:"name"`
	Is     string `json:"is"`
	Value  string `json:"value"`
	Source string `json:"source,omitzero" about:"Where the value comes from, where the brief says so."`
}

// Stage is one stage of a sheet.
type Stage struct {
	Number    int        `json:"number"`
	Key       string     `json:"key"`
	Title     string     `json:"title"`
	About     string     `json:"about,omitzero"`
	Cautions  []string   `json:"cautions"`
	HoldPoint *HoldPoint `json:"hold_point,omitempty"`
	Items     []Item     `json:"items"`
	// What the readings are taken with, and by whom the work was done.
	Instruments []Instrument `json:"instruments,omitempty" about:"The latest chosen of each kind."`
	Helped      *Entry       `json:"helped,omitempty" about:"Who helped, or did part of it, in the trainee's words: the entry of the item helped/KEY."`
	Questions   []Question   `json:"questions,omitempty" about:"To ask at the bench; not for the trainee."`
}

// HoldPoint stands before a stage: work may not pass until it is released.
type HoldPoint struct {
	Show        string  `json:"show" about:"What must be shown before it is released."`
	Entitlement string  `json:"entitlement,omitzero" about:"The registration or approval that the releaser needs."`
	Release     *Record `json:"release,omitempty" about:"Left out while it holds."`
	MayRelease  bool    `json:"may_release" about:"By the caller, now."`
	WhyNot      string  `json:"why_not,omitzero"`
}

// Item is one item with its lines or files.
type Item struct {
	Number     int        `json:"number"`
	Key        string     `json:"key"`
	Title      string     `json:"title"`
	About      string     `json:"about,omitzero"`
	Form       brief.Form `json:"form"`
	Ask        string     `json:"ask,omitzero" about:"What is asked for, in words."`
	Visible    []string   `json:"visible" about:"What a photo must show."`
	AtLeast    int        `json:"at_least,omitzero" about:"How many files are asked for."`
	Working    bool       `json:"working" about:"The written calculation is asked for."`
	Optional   bool       `json:"optional"`
	MustBeSeen bool       `json:"must_be_seen" about:"The tutor has to watch this being done."`
	Safety     bool       `json:"safety_critical"`
	Criteria   []string   `json:"criteria" about:"UNIT/code."`
	Done       bool       `json:"done" about:"What is required is there."`
	Lines      []Line     `json:"lines"`
	Files      []File     `json:"files"`
	Diagnosis  *Diagnosis `json:"diagnosis,omitempty" about:"What the wrong cells of a functional test point at."`
}

// Line is one thing to type, tick or choose.
type Line struct {
	Part     string      `json:"part,omitzero"`
	Phase    brief.Phase `json:"phase,omitzero"`
	Label    string      `json:"label,omitzero"`
	Unit     string      `json:"unit,omitzero"`
	Options  []string    `json:"options"`
	Entry    *Entry      `json:"entry,omitempty" about:"The latest; left out while the line is empty."`
	Earlier  []Entry     `json:"earlier" about:"Superseded ones, oldest first."`
	Finding  *Finding    `json:"finding,omitempty"`
	Override *Record     `json:"override,omitempty"`
	Check    *Record     `json:"check_reading,omitempty"`
}

// Entry is what somebody put into a line.
type Entry struct {
	Text       string         `json:"text"`
	Unit       string         `json:"unit,omitzero"`
	Working    string         `json:"working,omitzero"`
	Note       string         `json:"note,omitzero"`
	Instrument *Instrument    `json:"instrument,omitempty" about:"What it was read with."`
	CapturedAt time.Time      `json:"captured_at,omitzero" about:"By the phone's clock."`
	ReceivedAt time.Time      `json:"received_at"`
	Sealed     bool           `json:"sealed" about:"On the list that was handed over."`
	Order      decision.Order `json:"order,omitzero" about:"Captured before or after the release of the hold point that it stands behind; left out where there is none."`
	HoldOf     int            `json:"hold_of_stage,omitzero" about:"The number of the stage whose hold point that is, where it is not the line's own."`
}

// File is one photo or document.
type File struct {
	ID         uuid.UUID      `json:"id"`
	Name       string         `json:"name,omitzero"`
	Caption    string         `json:"caption,omitzero"`
	MediaType  string         `json:"media_type"`
	Size       int            `json:"size" about:"In bytes."`
	Width      int            `json:"width,omitzero" about:"In pixels, held upright."`
	Height     int            `json:"height,omitzero"`
	SHA256     string         `json:"sha256" about:"Of the bytes as received, in hexadecimal digits."`
	TakenAt    time.Time      `json:"taken_at,omitzero" about:"By the camera's clock."`
	DeviceAt   time.Time      `json:"device_at,omitzero" about:"By the phone's clock."`
	ReceivedAt time.Time      `json:"received_at"`
	Order      decision.Order `json:"order,omitzero" about:"Captured before or after the release of the hold point that it stands behind; left out where there is none, and of a file that was just sent."`
	HoldOf     int            `json:"hold_of_stage,omitzero" about:"The number of the stage whose hold point that is, where it is not the file's own."`
	Preview    bool           `json:"preview" about:"A small picture is there."`
	Covers     int            `json:"covers,omitzero" about:"Rectangles laid over it."`
	Unlooked   bool           `json:"unlooked,omitzero" about:"Taken on a private site, and nobody has said yet what is to be covered: nothing of it leaves the centre."`
	Copy       bool           `json:"copy,omitzero" about:"A covered copy, without what the camera wrote, stands in for the original wherever it is shown."`
	Withdrawn  bool           `json:"withdrawn,omitzero" about:"The original was taken away; a record says by whom and why."`
	Card       string         `json:"card,omitzero" about:"What was read of the code card in it: read, other (another attempt's) or not_read, which proves nothing; left out where it was not looked for."`
	Sealed     bool           `json:"sealed" about:"On the list that was handed over."`
}

// Finding is what the marker says of a line. It advises; a person decides. What only a tutor sees is left out for others.
type Finding struct {
	Verdict     marking.Verdict `json:"verdict"`
	Code        string          `json:"code" about:"The reason, for programs."`
	Sentence    string          `json:"sentence"`
	Marks       int             `json:"marks"`
	Available   int             `json:"available"`
	Blocks      bool            `json:"blocks" about:"It keeps its criteria from being met."`
	Tutor       string          `json:"tutor,omitzero" about:"The sentence for the tutor."`
	FromGiven   *float64        `json:"from_given,omitempty" about:"The reference from given or measured values, in the asked unit."`
	FromOwn     *float64        `json:"from_own,omitempty" about:"The reference from the trainee's own earlier answers."`
	Converted   *float64        `json:"converted,omitempty" about:"What was stated, in the asked unit."`
	Expected    string          `json:"expected,omitzero" about:"What is right in words, for a choice or the cell of a grid."`
	ExpectedOwn string          `json:"expected_own,omitzero" about:"The same from the trainee's own earlier answers."`
	Tolerance   string          `json:"tolerance,omitzero"`
	Limit       string          `json:"limit,omitzero"`
	Slip        string          `json:"slip,omitzero" about:"The known wrong way of working whose value it has."`
	Mistakes    []string        `json:"candidates,omitempty" about:"Known wrong ways of working, where more than one has its value."`
	Expanded    *float64        `json:"expanded_uncertainty,omitempty" about:"Of the reading, or of the reference from given values, in the asked unit; covers 95.45 %."`
	Keeps       *float64        `json:"keeps_limit,omitempty" about:"The probability that the true value keeps the limit."`
	Flags       []Flag          `json:"flags"`
}

// Flag is a question for the tutor to ask, never a mark.
type Flag struct {
	Code string   `json:"code"`
	Text string   `json:"text"`
	At   *Passage `json:"at,omitempty" about:"What it is about in the written working."`
}

// Passage is a stretch of the written working.
type Passage struct {
	From  int    `json:"from" about:"Where it begins, in bytes of the working as typed."`
	To    int    `json:"to" about:"Where it ends."`
	Quote string `json:"quote"`
}

// SheetCriterion is one criterion that the brief covers, with its decision.
type SheetCriterion struct {
	Criterion string   `json:"criterion" about:"UNIT/code."`
	Text      string   `json:"text,omitzero"`
	Items     []string `json:"items" about:"Keys of the items that bear on it."`
	Blocked   []string `json:"blocked" about:"Why it cannot be met as things stand; not for the trainee."`
	Decision  *Record  `json:"decision,omitempty"`
	Earlier   []Record `json:"earlier"`
}

// Missing is something that has to be there before handing over.
type Missing struct {
	Item string `json:"item"`
	Text string `json:"text"`
}

// Record is one thing that a person decided. Records are appended, never changed.
type Record struct {
	ID         uuid.UUID       `json:"id"`
	Kind       decision.Kind   `json:"kind"`
	Subject    string          `json:"subject,omitzero"`
	Outcome    string          `json:"outcome,omitzero"`
	Reason     decision.Reason `json:"reason,omitzero"`
	Words      string          `json:"words,omitzero"`
	Value      string          `json:"value,omitzero"`
	Evidence   []string        `json:"evidence"`
	By         uuid.UUID       `json:"by"`
	ByName     string          `json:"by_name"`
	Role       string          `json:"role"`
	At         time.Time       `json:"at"`
	Supersedes uuid.UUID       `json:"supersedes,omitzero"`
}

func (s *service) sheet(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (Sheet, error) {
	at, err := s.app.Sheet(ctx, who, p.ID)
	return sheetOf(at), err
}
