package app

import (
	"archive/zip"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/blob"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// PersonExport is everything that is kept of one person, ready to be written.
type PersonExport struct {
	Name     string // of the file
	person   exportedPerson
	attempts []exportedAttempt
	priors   []exportedPrior
	inquired []exportedInquiry
	app      *App
}

// exportedPerson is person.json.
type exportedPerson struct {
	ExportedAt    time.Time              `json:"exported_at"`
	BeforeResults bool                   `json:"before_results"` // decisions and findings that are not out are left away
	Centre        string                 `json:"centre"`
	ID            uuid.UUID              `json:"id"`
	Name          string                 `json:"name"`
	SignInName    string                 `json:"sign_in_name"`
	Email         string                 `json:"email,omitempty"`
	Roles         []account.Role         `json:"roles"`
	Registrations []account.Registration `json:"registrations"`
	Cohorts       []string               `json:"cohorts"`
	Withdrawals   []exportedWithdrawal   `json:"withdrawals,omitempty"` // from cohorts, the first first
	CreatedAt     time.Time              `json:"created_at"`
	LeftAway      []string               `json:"left_away"` // sentences, the same for everybody
}

// exportedWithdrawal is that the person left a cohort.
type exportedWithdrawal struct {
	Cohort    string    `json:"cohort"`
	LeftOn    string    `json:"left_on"`
	Words     string    `json:"words"`
	By        string    `json:"by"`
	At        time.Time `json:"at"`
	BackWords string    `json:"taken_back_words,omitempty"`
	BackBy    string    `json:"taken_back_by,omitempty"`
	BackAt    time.Time `json:"taken_back_at,omitzero"`
}

// exportedAttempt is attempts/N/attempt.json.
type exportedAttempt struct {
	ID          uuid.UUID          `json:"id"`
	Brief       string             `json:"brief"`
	Version     int                `json:"version"`
	Number      int                `json:"number"`
	State       decision.State     `json:"state"`
	Cohort      string             `json:"cohort"`
	SetAt       time.Time          `json:"set_at"`
	OpenedAt    time.Time          `json:"opened_at,omitzero"`
	HandedAt    time.Time          `json:"handed_over_at,omitzero"`
	Site        string             `json:"site,omitempty"`
	Householder string             `json:"householder,omitempty"`
	Declaration string             `json:"declaration,omitempty"`
	Given       map[string]string  `json:"given"`
	Entries     []exportedEntry    `json:"entries"`
	Files       []exportedFile     `json:"files"`
	Records     []exportedDecision `json:"decisions"`
	Marking     *marking.Result    `json:"marking,omitempty"`
}

type exportedEntry struct {
	Item       string    `json:"item"`
	Part       string    `json:"part,omitempty"`
	Phase      string    `json:"phase,omitempty"`
	Text       string    `json:"text"`
	Unit       string    `json:"unit,omitempty"`
	Working    string    `json:"working,omitempty"`
	Note       string    `json:"note,omitempty"`
	CapturedAt time.Time `json:"captured_at,omitzero"`
	ReceivedAt time.Time `json:"received_at"`
}

type exportedFile struct {
	Item       string    `json:"item,omitempty"` // of an attempt's brief
	Name       string    `json:"name"`
	Caption    string    `json:"caption,omitempty"`
	File       string    `json:"file,omitempty"` // where its bytes are; absent where they were withdrawn
	SHA256     string    `json:"sha256"`
	ReceivedAt time.Time `json:"received_at"`
}

type exportedDecision struct {
	Kind    decision.Kind   `json:"kind"`
	Subject string          `json:"subject,omitempty"`
	Outcome string          `json:"outcome,omitempty"`
	Reason  decision.Reason `json:"reason,omitempty"`
	Words   string          `json:"words,omitempty"`
	Value   string          `json:"value,omitempty"`
	By      string          `json:"by"`
	At      time.Time       `json:"at"`
}

// ExportPerson gathers everything that is kept of a person, for a request to see it or to take it elsewhere. With beforeResults,
// and for whoever asks for their own, what was decided and found of attempts whose results are not out is left away. That it was
// given out is kept.
func (a *App) ExportPerson(ctx context.Context, c account.Caller, person uuid.UUID, beforeResults bool) (*PersonExport, error) {
	own := person == c.Person
	var st []account.Standing
	if own {
		st = append(st, account.Own)
	}
	if err := account.May(c, account.ExportPerson, st...); err != nil {
		return nil, err
	}
	beforeResults = beforeResults || account.May(c, account.ExportPerson) != nil
	p, err := a.db.Person(ctx, c.Centre, person)
	if err != nil {
		return nil, err
	}
	k, err := a.db.Centre(ctx, c.Centre)
	if err != nil {
		return nil, err
	}
	x := &PersonExport{Name: p.SignInName + ".zip", app: a, person: exportedPerson{
		ExportedAt: a.now(), BeforeResults: beforeResults, Centre: k.Name, ID: p.ID, Name: p.Name, SignInName: p.SignInName, Email: p.Email,
		Roles: p.Roles, Registrations: p.Registrations, CreatedAt: p.CreatedAt, LeftAway: leftAway(),
	}}
	cohorts, err := a.db.CohortsOf(ctx, c.Centre, person, store.PartTrainee)
	if err != nil {
		return nil, err
	}
	for _, h := range cohorts {
		x.person.Cohorts = append(x.person.Cohorts, h.Name)
	}
	left, err := a.db.Withdrawals(ctx, c.Centre, person)
	if err != nil {
		return nil, err
	}
	for _, w := range left {
		x.person.Withdrawals = append(x.person.Withdrawals, exportedWithdrawal{w.CohortName, w.LeftOn.Format(time.DateOnly), w.Words, w.ByName, w.At, w.BackWords, w.BackByName, w.BackAt})
	}
	sheets, err := a.db.JobSheetsOf(ctx, c.Centre, person)
	if err != nil {
		return nil, err
	}
	for i, j := range sheets {
		x.attempts = append(x.attempts, exported(i+1, j, beforeResults))
	}
	if err := a.exportFiles(ctx, c, p, x); err != nil {
		return nil, err
	}
	id, err := newID()
	if err != nil {
		return nil, err
	}
	return x, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		return t.AddPersonExport(ctx, store.PersonExport{ID: id, Person: person, BeforeResults: beforeResults, By: c.Person, At: a.now()})
	})
}

// exported puts an attempt into the words of the export.
func exported(n int, j store.JobSheet, beforeResults bool) exportedAttempt {
	x := exportedAttempt{
		ID: j.Attempt.ID, Brief: j.Brief.Title, Version: j.Brief.Version, Number: j.Attempt.Number, State: j.Attempt.State, Cohort: j.Task.CohortName, SetAt: j.Task.SetAt,
		OpenedAt: j.Attempt.OpenedAt, HandedAt: j.Attempt.HandedOverAt, Site: j.Attempt.Site, Householder: j.Attempt.Householder,
		Declaration: j.Attempt.Declaration, Given: j.Attempt.Given, Entries: []exportedEntry{}, Files: []exportedFile{}, Records: []exportedDecision{},
	}
	for _, e := range j.Entries {
		x.Entries = append(x.Entries, exportedEntry{e.Item, e.Part, string(e.Phase), e.Text, e.Unit, e.Working, e.Note, e.CapturedAt, e.ReceivedAt})
	}
	for i, e := range j.Evidence {
		f := exportedFile{Item: e.Item, Name: e.Name, Caption: e.Caption, SHA256: e.Digest, ReceivedAt: e.ReceivedAt}
		if e.WithdrawnAt.IsZero() {
			f.File = fmt.Sprintf("attempts/%d/%d%s", n, i+1, extension(e.MediaType))
		}
		x.Files = append(x.Files, f)
	}
	records := j.Records
	if beforeResults && !closed(j.Attempt.State) {
		records = withoutJudging(records)
	} else if j.Marking != nil {
		x.Marking = &j.Marking.Result
	}
	for _, r := range records {
		x.Records = append(x.Records, exportedDecision{r.Kind, r.Subject, r.Outcome, r.Reason, r.Words, r.Value, r.ByName, r.At})
	}
	return x
}

// extension is what a file of a media type ends in.
func extension(media string) string {
	if ext, ok := map[string]string{"image/jpeg": ".jpg", "image/png": ".png", "image/heic": ".heic", "application/pdf": ".pdf"}[media]; ok {
		return ext
	}
	return ".bin"
}

// Write writes the zip: person.json, for each attempt a folder with attempt.json and its files as they were received, for each claim
// of prior learning the same with claim.json, and inquiries.json. A file whose bytes are missing is left out, and missing.txt names it.
func (x *PersonExport) Write(w io.Writer) error {
	z := zip.NewWriter(w)
	if err := x.writeJSON(z, "person.json", x.person); err != nil {
		return err
	}
	if err := x.writeJSON(z, "inquiries.json", x.inquired); err != nil {
		return err
	}
	missing := ""
	folder := func(name string, v any, files []exportedFile) error {
		if err := x.writeJSON(z, name, v); err != nil {
			return err
		}
		for _, f := range files {
			err := x.writeFile(z, f)
			if fault.KindOf(err) == fault.KindNotFound {
				missing += f.File + " " + f.SHA256 + "\n"
			} else if err != nil {
				return err
			}
		}
		return nil
	}
	for i, at := range x.attempts {
		if err := folder(fmt.Sprintf("attempts/%d/attempt.json", i+1), at, at.Files); err != nil {
			return err
		}
	}
	for i, p := range x.priors {
		if err := folder(fmt.Sprintf("prior-learning/%d/claim.json", i+1), p, p.Files); err != nil {
			return err
		}
	}
	if err := writeMissing(z, missing); err != nil {
		return err
	}
	return z.Close()
}

// writeMissing names the files that are left out; nothing is written where none is.
func writeMissing(z *zip.Writer, missing string) error {
	if missing == "" {
		return nil
	}
	m, err := z.Create("missing.txt")
	if err != nil {
		return err
	}
	_, err = io.WriteString(m, missing)
	return err
}

func (x *PersonExport) writeJSON(z *zip.Writer, name string, v any) error {
	w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: x.person.ExportedAt})
	if err != nil {
		return err
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// writeFile copies one file's bytes. Pictures are compressed already.
func (x *PersonExport) writeFile(z *zip.Writer, f exportedFile) error {
	if f.File == "" {
		return nil
	}
	d, err := blob.Parse(f.SHA256)
	if err != nil {
		return err
	}
	content, _, err := x.app.blobs.Open(d)
	if err != nil {
		return err
	}
	w, err := z.CreateHeader(&zip.FileHeader{Name: path.Clean(f.File), Method: zip.Store, Modified: f.ReceivedAt})
	if err == nil {
		_, err = io.Copy(w, content)
	}
	return errors.Join(err, content.Close())
}
