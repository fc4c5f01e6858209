package ui

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// WorkshopPage is an attempt that is being worked on, as everybody but its trainee sees it.
type WorkshopPage struct {
	Frame
	Sheet *SheetView
}

func (*WorkshopPage) template() string { return "workshop" }

func newWorkshopPage(v *SheetView) *WorkshopPage {
	v.Tutor = true
	return &WorkshopPage{Frame: Frame{Title: v.Trainee + ": " + v.BriefTitle, Here: "/cohorts"}, Sheet: v}
}

// tutorsPage is the page of an attempt for everybody but its trainee: at work until it is handed over, then as it is judged.
func tutorsPage(v *SheetView) page {
	if v.HandedAt.IsZero() {
		return newWorkshopPage(v)
	}
	return newJudgePage(v)
}

// At is the stage that the trainee has come to: the first with something missing; nil where nothing is.
func (v *SheetView) At() *StageView {
	for i := range v.Stages {
		if v.Stages[i].Left() > 0 {
			return &v.Stages[i]
		}
	}
	return nil
}

// Waits says whether the trainee has come to the stage and waits at its hold point.
func (s StageView) Waits() bool {
	at := s.On.At()
	return s.Holding() && at != nil && at.Number == s.Number
}

// Observed lists what was noted of the stage, or of something in it, and what was asked about it, the first first.
func (s StageView) Observed() []NoteView {
	about := map[string]NoteView{}
	whole := NoteView{}
	for _, it := range s.Items {
		about[it.Key] = NoteView{Of: it.Title, Safety: it.Safety()}
		whole.Safety = whole.Safety || it.Safety()
	}
	about[s.Key] = whole
	var notes []NoteView
	for _, r := range s.On.Records {
		if n, ok := about[r.Subject]; ok && r.Kind.Apart() {
			n.Record = r
			notes = append(notes, n)
		}
	}
	return notes
}

// SteppedIn says whether somebody noted that they stepped in at the stage, or at something in it.
func (s StageView) SteppedIn() bool {
	return slices.ContainsFunc(s.Observed(), func(n NoteView) bool { return n.Outcome == string(decision.SteppedIn) })
}

// NoteView is what a tutor noted of something they watched or asked about.
type NoteView struct {
	decision.Record
	Of     string // the title of the item; "" for the whole stage
	Safety bool   // it is safety-critical, or something in the stage is
}

// After is what follows for the trainee, in words; "" for most.
func (n NoteView) After() string {
	if n.Outcome == string(decision.SteppedIn) && n.Safety {
		return "Stepping in is there so that nobody comes to harm. What is safety-critical here is not yet met this time: it is shown again another time."
	}
	return ""
}

// Oral says whether it is a question with its answer.
func (n NoteView) Oral() bool { return n.Kind == decision.KindOral }

// Said is the outcome in words.
func (n NoteView) Said() string {
	if n.Oral() {
		return decision.Heard(n.Outcome).Words()
	}
	return decision.Observed(n.Outcome).Words()
}

// Mark is how the outcome is drawn.
func (n NoteView) Mark() string {
	switch n.Outcome {
	case string(decision.Seen), string(decision.Understood):
		return "good"
	case string(decision.SteppedIn):
		return "bad"
	}
	return "look"
}

// Took is how long it was watched, in words; "" where it was not timed.
func (n NoteView) Took() string {
	if n.Oral() {
		return ""
	}
	var s int
	if _, err := fmt.Sscanf(n.Value, "%d s", &s); err != nil {
		return n.Value
	}
	if s < 60 {
		return count(s, "second", "seconds")
	}
	return strings.TrimSuffix(fmt.Sprintf("%d min %d s", s/60, s%60), " 0 s")
}

// Subjects are the things of a stage that may be watched or asked about, the whole stage first.
func (s StageView) Subjects() []Option {
	os := []Option{{Value: s.Key, Text: "The whole stage"}}
	for _, it := range s.Items {
		text := fmt.Sprintf("%d %s", it.Number, it.Title)
		if it.Safety() {
			text += " (safety-critical)"
		}
		os = append(os, Option{Value: it.Key, Text: text})
	}
	return os
}

// ObserveForm names the form that notes what was seen at the stage, and OralForm the one for what was asked.
func (s StageView) ObserveForm() Form { return s.On.Form.For("observe-" + s.Key) }

// OralForm is the form for what was asked.
func (s StageView) OralForm() Form { return s.On.Form.For("oral-" + s.Key) }

// InPlace is the field in which somebody says why they observe in the place of whoever was named to.
func (v *SheetView) InPlace(f Form) Field {
	return f.Field("in_place", "Why you do it in place of "+v.InsteadOf).Hinted("It stands with what you put down, wherever that is shown.").Needed()
}

type releaseForm struct {
	Stage string `form:"stage" validate:"required"`
	Words string `form:"words" validate:"max=4000" say:"Shorten this to 4000 letters."`
}

func (u *UI) releaseHold(c echo.Context, who account.Caller) error {
	var f releaseForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.ReleaseHold(c.Request().Context(), who, id, f.Stage, strings.TrimSpace(f.Words))
	}
	return u.sheetForm(c, who, err, "release-"+f.Stage, "#hold-"+url.PathEscape(f.Stage), "Released. The trainee may go on.")
}

type checkForm struct {
	Line     string `form:"line" validate:"required"`
	How      string `form:"how" validate:"oneof=seen own" say:"Say whether you saw the instrument or read it yourself."`
	Text     string `form:"text" validate:"required_if=How own,max=200" say:"Type what you read."`
	InPlace  string `form:"in_place" validate:"max=500" say:"Shorten this to 500 letters."`
	Password string `form:"password" validate:"required,max=1024" say:"Type your password: your name stands beside the reading."`
}

func (u *UI) checkReading(c echo.Context, who account.Caller) error {
	var f checkForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	err = u.read(c, &f)
	e := lineEntry(f.Line)
	if f.How == "seen" {
		f.Text = ""
	}
	if err == nil {
		r := app.CheckReading{Item: e.Item, Phase: e.Phase, Text: f.Text, InPlace: f.InPlace}
		err = u.app.EnterCheckReading(c.Request().Context(), who, id, r, f.Password)
	}
	return u.sheetForm(c, who, err, "check-"+f.Line, "#item-"+url.PathEscape(e.Item), "Your check is kept.")
}

type observeForm struct {
	Stage   string            `form:"stage"` // whose form it is
	Subject string            `form:"subject" validate:"required" say:"Choose what you watched."`
	Outcome decision.Observed `form:"outcome" validate:"required" say:"Choose seen, not seen or stepped in."`
	Seconds int               `form:"seconds" say:"This page is too old to be sent. Load it again."`
	Words   string            `form:"words" validate:"max=4000" say:"Shorten this to 4000 letters."`
	InPlace string            `form:"in_place" validate:"max=500" say:"Shorten this to 500 letters."`
}

func (u *UI) observe(c echo.Context, who account.Caller) error {
	var f observeForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		o := decision.Observation{Subject: f.Subject, Outcome: f.Outcome, Took: time.Duration(f.Seconds) * time.Second, Words: f.Words, InPlace: f.InPlace}
		err = u.app.Observe(c.Request().Context(), who, id, o)
	}
	return u.sheetForm(c, who, err, "observe-"+f.Stage, "#watch-"+url.PathEscape(f.Stage), "Noted: "+f.Outcome.Words()+".")
}

type oralForm struct {
	Stage   string         `form:"stage"`
	Subject string         `form:"subject" validate:"required" say:"Choose what you asked about."`
	Asked   string         `form:"asked" validate:"max=4000" say:"Shorten this to 4000 letters."`
	Other   string         `form:"other" validate:"max=4000" say:"Shorten this to 4000 letters."` // in place of one of the brief's
	Gist    string         `form:"gist" validate:"required,max=4000" say:"Say in a few words what was answered."`
	Outcome decision.Heard `form:"outcome" validate:"required" say:"Choose understood, understood in part or not yet understood."`
	InPlace string         `form:"in_place" validate:"max=500" say:"Shorten this to 500 letters."`
}

func (u *UI) askOrally(c echo.Context, who account.Caller) error {
	var f oralForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		if other := strings.TrimSpace(f.Other); other != "" {
			f.Asked = other
		}
		q := decision.OralQuestion{Subject: f.Subject, Asked: f.Asked, Gist: f.Gist, Outcome: f.Outcome, InPlace: f.InPlace}
		err = u.app.AskOrally(c.Request().Context(), who, id, q)
	}
	return u.sheetForm(c, who, err, "oral-"+f.Stage, "#watch-"+url.PathEscape(f.Stage), "The question and the answer are kept.")
}
