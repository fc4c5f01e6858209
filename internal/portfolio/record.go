package portfolio

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"github.com/gowebpki/jcs"
)

// recordEdition is the edition of a record's form.
const recordEdition = "1"

// Record is a portfolio for programs: everything that its pages say, in canonical JSON (RFC 8785). Text, yes or no, and whole
// numbers alone stand in it: a time is RFC 3339 in UTC, a measured value is what was typed, and a number of the marker's is the
// text that it is kept as. What holds nothing is left out. It is a file of its own within the PDF, and its digest is what the
// portfolio's entry in the decision log commits to.
type Record struct {
	Edition  string          `json:"edition"`
	ID       string          `json:"portfolio"`
	MadeAt   string          `json:"made_at"`
	Centre   Named           `json:"centre"`
	Trainee  Named           `json:"trainee"`
	Cohort   string          `json:"cohort"`
	Photos   Photos          `json:"photos,omitempty"` // the centre's choice
	Unit     json.RawMessage `json:"unit"`
	Standing Standing        `json:"standing"`
	Index    json.RawMessage `json:"index"`
	Tasks    []RecordTask    `json:"tasks"`
	Files    []RecordFile    `json:"files"`
	Samples  json.RawMessage `json:"samples,omitempty"`
}

// Named is somebody's name and the code that tells them from others.
type Named struct {
	Name string `json:"name"`
	Code string `json:"code"`
}

// Standing is how far the unit is, in numbers of criteria.
type Standing struct {
	Criteria  int      `json:"criteria"`
	Met       int      `json:"met"`
	SignedOff int      `json:"signed_off"`
	Judges    []string `json:"judges"`
}

// RecordTask is a task with every attempt at it. The brief is as it was set, without what is for tutors alone.
type RecordTask struct {
	Number   int             `json:"number"`
	Version  int             `json:"version"`
	Digest   string          `json:"brief_sha256"`
	Brief    json.RawMessage `json:"brief"`
	SetBy    string          `json:"set_by"`
	SetAt    string          `json:"set_at"`
	DueOn    string          `json:"due_on,omitempty"`
	Given    json.RawMessage `json:"given"`
	Criteria json.RawMessage `json:"criteria"`
	Attempts []RecordAttempt `json:"attempts"`
}

// RecordAttempt is one attempt. Records are the decisions on it, each the very bytes that the decision log commits to.
type RecordAttempt struct {
	ID           string            `json:"attempt"`
	Number       int               `json:"number"`
	State        string            `json:"state"`
	Brief        json.RawMessage   `json:"brief,omitempty"` // under its rules, where that is not the task's
	Given        json.RawMessage   `json:"given,omitempty"` // where they are not the task's
	OpenedAt     string            `json:"opened_at,omitempty"`
	HandedOverAt string            `json:"handed_over_at,omitempty"`
	Site         string            `json:"site,omitempty"`
	Householder  string            `json:"householder,omitempty"`
	Seal         json.RawMessage   `json:"seal,omitempty"`
	Declaration  string            `json:"declaration,omitempty"`
	Entries      json.RawMessage   `json:"entries"`
	Files        []int             `json:"files"` // by number
	Records      []json.RawMessage `json:"records"`
	Engine       string            `json:"engine,omitempty"` // the marker's edition
	MarkedAt     string            `json:"marked_at,omitempty"`
	Marking      json.RawMessage   `json:"marking,omitempty"`
	Explained    json.RawMessage   `json:"explained,omitempty"`
	Instruments  json.RawMessage   `json:"instruments,omitempty"`
	Rules        json.RawMessage   `json:"rules,omitempty"`
}

// RecordFile is one file with its digests.
type RecordFile struct {
	Number      int    `json:"number"`
	ID          string `json:"evidence"`
	Item        string `json:"item"`
	Name        string `json:"name"`
	Caption     string `json:"caption,omitempty"`
	MediaType   string `json:"media_type"`
	Size        int64  `json:"size"`
	SHA256      string `json:"sha256"` // of the bytes as received
	Shown       string `json:"shown"`  // listed, original, preview or covered
	ShownSHA256 string `json:"shown_sha256,omitempty"`
	CopySHA256  string `json:"copy_sha256,omitempty"` // of the covered copy that alone leaves the centre, whole
	SameAs      int    `json:"same_as,omitempty"`
	Width       int    `json:"width,omitempty"`
	Height      int    `json:"height,omitempty"`
	Orientation int    `json:"orientation,omitempty"`
	TakenAt     string `json:"taken_at,omitempty"`
	TakenZoned  bool   `json:"taken_zoned,omitempty"`
	DeviceAt    string `json:"device_at,omitempty"`
	ReceivedAt  string `json:"received_at"`
	Order       string `json:"order,omitempty"`
	By          string `json:"by"`
	Sealed      bool   `json:"sealed,omitempty"`
	Covers      int    `json:"covers,omitempty"`
	Withdrawn   string `json:"withdrawn,omitempty"` // the id of the record that says so
	Private     bool   `json:"private,omitempty"`   // taken on a private site
	Stays       bool   `json:"stays,omitempty"`     // nothing of it leaves the centre
	Withheld    bool   `json:"withheld,omitempty"`
	Uncarried   bool   `json:"uncarried,omitempty"`
	Card        string `json:"card,omitempty"`
}

// Words names the way in a record.
func (s Show) Words() string {
	switch s {
	case Original:
		return "original"
	case Preview:
		return "preview"
	case Covered:
		return "covered"
	case Bare:
		return "bare"
	}
	return "listed"
}

// JSON is the record in canonical form: the same document gives the same bytes.
func (r Record) JSON() ([]byte, error) {
	raw, err := json.Marshal(r)
	if err != nil {
		return nil, fmt.Errorf("a portfolio's record to JSON: %w", err)
	}
	out, err := jcs.Transform(raw)
	if err != nil {
		return nil, fmt.Errorf("a portfolio's record to canonical JSON: %w", err)
	}
	return out, nil
}

// ReadRecord reads a record. It refuses any other spelling than the canonical one, so that each message within is the bytes that a
// digest was made of.
func ReadRecord(text []byte) (Record, error) {
	canonical, err := jcs.Transform(text)
	if err != nil || !bytes.Equal(canonical, text) {
		return Record{}, errors.New("the portfolio's record is not in its canonical form")
	}
	var r Record
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&r); err != nil {
		return Record{}, fmt.Errorf("the portfolio's record cannot be read: %w", err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) || r.Edition != recordEdition {
		return Record{}, fmt.Errorf("the portfolio's record is of edition %q, which this program does not know", r.Edition)
	}
	return r, nil
}
