package app

import (
	"bytes"
	"context"
	"math"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// What somebody may have found out about two things that are alike. None of them is a verdict.
const (
	AlikeSame      = "same"
	AlikeDifferent = "different"
	AlikeTalked    = "talked"
)

// AlikeOutcomes lists them in the order in which they are offered.
func AlikeOutcomes() []string { return []string{AlikeDifferent, AlikeSame, AlikeTalked} }

// AlikeWords says an outcome as people read it.
func AlikeWords(outcome string) string {
	switch outcome {
	case AlikeSame:
		return "the same, and that is in order"
	case AlikeDifferent:
		return "not the same"
	case AlikeTalked:
		return "talked about with the trainees"
	}
	return ""
}

// alikePage is how many rows a page has (our own value).
const alikePage = 30

// AlikeList is a page of photos that are worth a look.
type AlikeList struct {
	Rows    []store.AlikeRow
	Page    int
	More    bool // there is a page after it
	Setting store.AlikeSetting
	MaySet  bool
}

// AlikeRows lists the photos of different trainees that are worth a look, the newest first, as the caller may see both. It is a list of
// questions.
func (a *App) AlikeRows(ctx context.Context, c account.Caller, page int) (AlikeList, error) {
	if err := account.May(c, account.SeeAlike); err != nil {
		return AlikeList{}, err
	}
	tutor := c.Person
	if c.Has(account.QualityAssurer) {
		tutor = uuid.Nil
	}
	page = max(page, 1)
	rows, err := a.db.AlikeRows(ctx, c.Centre, tutor, (page-1)*alikePage, alikePage+1)
	if err != nil {
		return AlikeList{}, err
	}
	l := AlikeList{Rows: rows[:min(len(rows), alikePage)], Page: page, More: len(rows) > alikePage, MaySet: account.May(c, account.SetAlike) == nil}
	l.Setting, err = a.db.AlikeSetting(ctx, c.Centre)
	return l, err
}

// AlikePair is two photos of different trainees side by side.
type AlikePair struct {
	One, Other store.AlikeSide // the one that came first first
	Exact      bool
	Found      *store.Pair // how near they are; nil where that is not worked out
	Looks      []store.AlikeLook
	MayLook    bool
}

// AlikePair is two photos side by side, where the caller may see both attempts.
func (a *App) AlikePair(ctx context.Context, c account.Caller, one, other uuid.UUID) (AlikePair, error) {
	if err := account.May(c, account.SeeAlike); err != nil {
		return AlikePair{}, err
	}
	k, err := a.db.AlikePair(ctx, c.Centre, one, other)
	if err != nil {
		return AlikePair{}, err
	}
	if len(k.Sides) != 2 || k.Sides[0].Trainee == k.Sides[1].Trainee {
		return AlikePair{}, hidden("pair of photos")
	}
	p := AlikePair{One: k.Sides[0], Other: k.Sides[1], Exact: k.Sides[0].Digest == k.Sides[1].Digest, Looks: k.Looks}
	if len(k.Found) > 0 {
		p.Found = &k.Found[0]
	}
	p.MayLook, err = a.seesBoth(ctx, c, p.One.Attempt, p.Other.Attempt)
	return p, err
}

// seesBoth says whether the caller may say what they found out about two attempts; not to see one of them is NotFound.
func (a *App) seesBoth(ctx context.Context, c account.Caller, one, other uuid.UUID) (mayLook bool, err error) {
	mayLook = true
	for _, id := range []uuid.UUID{one, other} {
		j, err := a.db.SheetHead(ctx, c.Centre, id)
		if err != nil {
			return false, err
		}
		if err := hide(account.May(c, account.SeeAttempt, standings(c, j.Attempt)...), "attempt"); err != nil {
			return false, err
		}
		if j.Attempt.Trainee == c.Person { // not for them to read what is asked of them
			return false, hidden("pair")
		}
		mayLook = mayLook && a.mayLook(c, j.Attempt) == nil
	}
	return mayLook, nil
}

// LookAtPair keeps what the caller found out about two photos.
func (a *App) LookAtPair(ctx context.Context, c account.Caller, one, other uuid.UUID, k Look) error {
	p, err := a.AlikePair(ctx, c, one, other)
	if err != nil {
		return err
	}
	if bytes.Compare(one[:], other[:]) > 0 {
		one, other = other, one
	}
	return a.lookAtAlike(ctx, c, p.MayLook, k, store.NewAlikeLook{Attempt: p.One.Attempt, Other: p.Other.Attempt, Thing: one.String() + " " + other.String()})
}

func (a *App) lookAtAlike(ctx context.Context, c account.Caller, may bool, k Look, l store.NewAlikeLook) (err error) {
	switch {
	case !may:
		return fault.Forbidden("This is for a tutor of both cohorts, or a quality assurer.")
	case k.ID == uuid.Nil:
		return fault.Invalid("id", "Every entry needs an id of its own. Load the page again.")
	case AlikeWords(k.Outcome) == "":
		return fault.Invalid("outcome", "Choose what you found out.")
	}
	l.ID, l.Outcome, l.By, l.At = k.ID, k.Outcome, c.Person, a.now()
	if l.Words, err = needWords(k.Words); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.LookAtAlike(ctx, l) })
}

// AlikeReadings is the readings of two attempts side by side.
type AlikeReadings struct {
	One, Other         uuid.UUID // attempts
	Name, OtherName    string
	Title              string
	Rows               []AlikeReading
	Looks              []store.AlikeLook
	MayLook            bool
	Helped, OtherHelps []string // what each says of who helped
}

// AlikeReading is one reading of both.
type AlikeReading struct {
	Title, Value, Other string
	Same                bool
}

// AlikeReadings is the readings of two attempts at one brief side by side, where the caller may see both.
func (a *App) AlikeReadings(ctx context.Context, c account.Caller, one, other uuid.UUID) (AlikeReadings, error) {
	if err := account.May(c, account.SeeAlike); err != nil {
		return AlikeReadings{}, err
	}
	may, err := a.seesBoth(ctx, c, one, other)
	if err != nil {
		return AlikeReadings{}, err
	}
	sheets, err := a.db.JobSheets(ctx, c.Centre, []uuid.UUID{one, other})
	if err != nil {
		return AlikeReadings{}, err
	}
	if len(sheets) != 2 || sheets[0].Attempt.Trainee == sheets[1].Attempt.Trainee || sheets[0].Task.Brief != sheets[1].Task.Brief {
		return AlikeReadings{}, hidden("pair of attempts")
	}
	l, err := a.load(c, sheets[0], nil)
	if err != nil {
		return AlikeReadings{}, err
	}
	p := AlikeReadings{One: one, Other: other, Name: sheets[0].Trainee.Name, OtherName: sheets[1].Trainee.Name, Title: sheets[0].Task.Title, MayLook: may}
	p.Rows = readingsBeside(l.brief, sheets[0], sheets[1])
	p.Helped, p.OtherHelps = helpSaid(sheets[0]), helpSaid(sheets[1])
	p.Looks, err = a.db.ReadingsLooks(ctx, c.Centre, one, other)
	return p, err
}

// readingsBeside lays the readings of two attempts beside each other, in the order of the brief.
func readingsBeside(b *brief.Brief, one, other store.JobSheet) []AlikeReading {
	type place struct{ item, part, phase string }
	theirs := map[place]string{}
	for _, e := range other.Latest() {
		theirs[place{e.Item, e.Part, string(e.Phase)}] = typed(e)
	}
	mine := map[place]string{}
	for _, e := range one.Latest() {
		mine[place{e.Item, e.Part, string(e.Phase)}] = typed(e)
	}
	var rows []AlikeReading
	for i := range b.Stages {
		for j := range b.Stages[i].Items {
			it := &b.Stages[i].Items[j]
			if it.Reading == nil {
				continue
			}
			for _, s := range it.Slots() {
				at := place{it.Key, s.Part, string(s.Phase)}
				r := AlikeReading{Title: it.Title, Value: mine[at], Other: theirs[at], Same: mine[at] != "" && mine[at] == theirs[at]}
				if s.Phase != brief.NoPhase {
					r.Title += ", " + s.Phase.Words()
				}
				rows = append(rows, r)
			}
		}
	}
	return rows
}

// helpSaid is what a trainee says of who helped.
func helpSaid(j store.JobSheet) []string {
	var said []string
	for _, e := range j.Latest() {
		if strings.HasPrefix(e.Item, "helped/") && e.Text != "" {
			said = append(said, e.Text)
		}
	}
	return said
}

// LookAtReadings keeps what the caller found out about the readings of two attempts.
func (a *App) LookAtReadings(ctx context.Context, c account.Caller, one, other uuid.UUID, k Look) error {
	p, err := a.AlikeReadings(ctx, c, one, other)
	if err != nil {
		return err
	}
	return a.lookAtAlike(ctx, c, p.MayLook, k, store.NewAlikeLook{Attempt: one, Other: other, Thing: "readings"})
}

// SetAlike says from where on two photos are worth a look in this centre. How near hashes lie counts for photos that come from now
// on; how well two correlate for all that were found.
func (a *App) SetAlike(ctx context.Context, c account.Caller, k store.AlikeSetting) error {
	if err := account.May(c, account.SetAlike); err != nil {
		return err
	}
	switch {
	case k.Pattern < 0 || k.Pattern > 10:
		return fault.Invalid("pattern", "Choose from 0 to 10 bits.")
	case k.Edges < 0 || k.Edges > 8:
		return fault.Invalid("edges", "Choose from 0 to 8 bits.")
	case math.IsNaN(k.Correlation) || k.Correlation < 0.5 || k.Correlation > 1:
		return fault.Invalid("correlation", "Choose from 0.5 to 1.")
	}
	var err error
	if k.Words, err = needWords(k.Words); err != nil {
		return err
	}
	id, err := newID()
	if err != nil {
		return err
	}
	k.At = a.now()
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.SetAlike(ctx, id, c.Person, k) })
}
