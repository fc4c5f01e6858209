package app

import (
	"context"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/blob"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/photo"
	"witnessmark/internal/store"
)

// priorFilesMost is how many files one claim takes (our own value).
const priorFilesMost = 20

// NewPrior is a claim of what somebody learned and showed elsewhere.
type NewPrior struct {
	Trainee  uuid.UUID
	Unit     string
	Criteria []string // UNIT/code
	Words    string   // what, where and when
}

// Prior is a claim as the caller may see it.
type Prior struct {
	store.PriorSheet
	Texts     map[string]string // of the criteria, by UNIT/code
	MayAdd    bool              // the caller may add a file, now
	MayDecide bool              // the caller may decide, now
	MayLook   bool              // the caller may look at what was recognised, now
	WhyNot    string            // why the caller may not decide, or look, in words; "" where they may, or where it is not theirs at all
}

// Decision is what was decided of a criterion; nil while it is open.
func (p Prior) Decision(ref string) *store.PriorDecision {
	i := slices.IndexFunc(p.Decisions, func(d store.PriorDecision) bool { return d.Criterion == ref })
	if i < 0 {
		return nil
	}
	return &p.Decisions[i]
}

// Open says whether a criterion waits for a decision.
func (p Prior) Open() bool { return len(p.Decisions) < len(p.Criteria) }

// Priors is a page of claims of prior learning.
type Priors struct {
	Rows []store.Prior
	Page Page
}

// Priors lists claims of prior learning: a trainee's own, those of a tutor's trainees, or for others the centre's. Page counts from 1;
// one after the last is empty.
func (a *App) Priors(ctx context.Context, c account.Caller, page int) (p Priors, err error) {
	if err := mayAsEither(c, account.SeePrior); err != nil {
		return p, err
	}
	in := 0
	p.Rows, in, err = a.db.Priors(ctx, c.Centre, c.Person, account.May(c, account.SeePrior) != nil, spanOf(page))
	p.Page, _ = pageOf(page, listPage, in)
	return p, err
}

// ClaimPrior claims prior learning for criteria of a unit: the trainee for themselves, or a tutor of theirs for them.
func (a *App) ClaimPrior(ctx context.Context, c account.Caller, n NewPrior) (uuid.UUID, error) {
	st, err := a.standingsWith(ctx, c, n.Trainee)
	if err != nil {
		return uuid.Nil, err
	}
	if err := account.May(c, account.ClaimPrior, st...); err != nil {
		return uuid.Nil, err
	}
	words, err := fileWords(n.Words, "Say what was learned and shown, where and when, and what proves it.")
	if err != nil {
		return uuid.Nil, err
	}
	texts, err := a.unitTexts(ctx, c.Centre, n.Unit)
	if err != nil {
		return uuid.Nil, err
	}
	slices.Sort(n.Criteria)
	n.Criteria = slices.Compact(n.Criteria)
	if len(n.Criteria) == 0 {
		return uuid.Nil, fault.Invalid("criteria", "Choose the criteria that it is claimed for.")
	}
	for _, ref := range n.Criteria {
		if _, ok := texts[ref]; !ok {
			return uuid.Nil, fault.Invalid("criteria", "Unit %s has no criterion %s.", n.Unit, ref)
		}
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	return id, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		return t.AddPrior(ctx, store.Prior{ID: id, Trainee: n.Trainee, Unit: n.Unit, Criteria: n.Criteria, Words: words, By: c.Person, At: a.now()})
	})
}

// unitTexts finds the words of a unit's criteria, by UNIT/code; a unit that is not there is Invalid.
func (a *App) unitTexts(ctx context.Context, centre int64, unit string) (map[string]string, error) {
	u, err := a.db.UnitOn(ctx, centre, unit, date(a.today()))
	if fault.KindOf(err) == fault.KindNotFound {
		return nil, fault.Invalid("unit", "The centre has no unit %s.", unit)
	} else if err != nil {
		return nil, err
	}
	texts := map[string]string{}
	for _, o := range u.Outcomes {
		for _, k := range o.Criteria {
			texts[u.Code+"/"+k.Code] = k.Text
		}
	}
	return texts, nil
}

// mayAsEither says whether there are claims at all of which the caller may do this: their own, or those of whom they teach.
func mayAsEither(c account.Caller, act account.Action) error {
	if err := account.May(c, act, account.Own); err != nil {
		return account.May(c, act, account.Teaches)
	}
	return nil
}

// priorStanding says how the caller stands to a claim; NotFound where they may not see it.
func priorStanding(c account.Caller, p store.PriorSheet) ([]account.Standing, error) {
	var st []account.Standing
	if p.Trainee == c.Person {
		st = append(st, account.Own)
	}
	if p.Teaches(c.Person) {
		st = append(st, account.Teaches)
	}
	return st, hide(account.May(c, account.SeePrior, st...), "claim")
}

// mayDecidePrior says whether the caller may decide on a claim.
func (a *App) mayDecidePrior(c account.Caller, p store.PriorSheet, st []account.Standing) error {
	if err := account.May(c, account.DecidePrior, st...); err != nil {
		return err
	}
	if p.By == c.Person || p.Trainee == c.Person {
		return fault.Forbidden("You made this claim, or it is for yourself, so somebody else decides on it.")
	}
	if slices.Contains(p.Apart, c.Person) {
		return fault.Forbidden("You and this trainee have a conflict of interest on record. Somebody else has to do this.")
	}
	if p.Looked(c.Person) {
		return fault.Forbidden("You looked at what was recognised of this claim, so somebody else decides the rest.")
	}
	if !a.alone(c) {
		return fault.Forbidden("%s One on prior learning cannot be countersigned: another tutor decides on it.", a.WhyAlone(c))
	}
	return nil
}

// Prior reads one claim that the caller may see.
func (a *App) Prior(ctx context.Context, c account.Caller, id uuid.UUID) (Prior, error) {
	sheet, err := a.db.PriorSheet(ctx, c.Centre, id)
	if err != nil {
		return Prior{}, err
	}
	st, err := priorStanding(c, sheet)
	if err != nil {
		return Prior{}, err
	}
	p := Prior{PriorSheet: sheet}
	if p.Texts, err = a.unitTexts(ctx, c.Centre, sheet.Unit); err != nil && fault.KindOf(err) != fault.KindInvalid {
		return Prior{}, err
	}
	if sheet.Trainee == c.Person {
		p.Actions = nil // a tutor's to do
	}
	p.MayAdd = p.Open() && account.May(c, account.ClaimPrior, st...) == nil
	err = a.mayDecidePrior(c, sheet, st)
	p.MayDecide = p.Open() && err == nil
	if account.May(c, account.DecidePrior, st...) == nil {
		_, p.WhyNot = may(err)
	}
	if account.May(c, account.LookAtPrior) == nil && len(p.Unseen()) > 0 {
		p.MayLook, p.WhyNot = may(mayLookAtPrior(c, sheet))
	}
	return p, nil
}

// AddPriorFile keeps what proves a claim: a document or a photo, of the kinds and the size that evidence has.
func (a *App) AddPriorFile(ctx context.Context, c account.Caller, id uuid.UUID, name string, r io.Reader) error {
	p, err := a.Prior(ctx, c, id)
	switch {
	case err != nil:
		return err
	case !p.Open():
		return fault.Conflict("Everything of this claim is decided, so nothing is added to it.")
	case !p.MayAdd:
		return fault.Forbidden("Whoever claims adds what proves it: the trainee, or a tutor of theirs.")
	case len(p.Files) >= priorFilesMost:
		return fault.Conflict("A claim takes %d files at most.", priorFilesMost)
	case name == "" || utf8.RuneCountInString(name) > 255:
		return fault.Invalid("file", "Choose a file with a name of at most 255 letters.")
	}
	var info photo.Info
	digest, size, err := a.blobs.PutChecked(ctx, r, EvidenceLimit, looked(&info))
	if err != nil {
		return err
	}
	file, err := newID()
	if err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		if err := a.stillThere(ctx, t, store.Evidence{Digest: digest.String()}); err != nil {
			return err
		}
		return t.AddPriorFile(ctx, store.PriorFile{ID: file, Prior: id, Name: name, MediaType: string(info.Media), Size: size, Digest: digest.String(), By: c.Person, At: a.now()})
	})
}

// OpenPriorFile opens what proves a claim that the caller may see. Close the content.
func (a *App) OpenPriorFile(ctx context.Context, c account.Caller, id, file uuid.UUID) (File, error) {
	p, err := a.Prior(ctx, c, id)
	if err != nil {
		return File{}, err
	}
	i := slices.IndexFunc(p.Files, func(f store.PriorFile) bool { return f.ID == file })
	if i < 0 {
		return File{}, hidden("file")
	}
	f := p.Files[i]
	d, err := blob.Parse(f.Digest)
	if err != nil {
		return File{}, err
	}
	content, size, err := a.blobs.Open(d)
	return File{Evidence: store.Evidence{Name: f.Name}, Content: content, Size: size, Type: f.MediaType, Shown: f.Digest}, err
}

// DecidePrior says of one criterion whether what was claimed shows it. What is met so counts as met, wherever the trainee's
// criteria are counted; no attempt has it.
func (a *App) DecidePrior(ctx context.Context, c account.Caller, id uuid.UUID, criterion string, outcome decision.Outcome, words string) error {
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		p, err := t.PriorSheet(ctx, id)
		if err != nil {
			return err
		}
		st, err := priorStanding(c, p)
		if err != nil {
			return err
		}
		if err := a.mayDecidePrior(c, p, st); err != nil {
			return err
		}
		said := strings.TrimSpace(words)
		switch {
		case !slices.Contains(p.Criteria, criterion):
			return fault.Invalid("criterion", "Nothing was claimed for this criterion.")
		case outcome != decision.Met && outcome != decision.NotYetMet:
			return fault.Invalid("outcome", "Choose met or not yet met.")
		case outcome == decision.Met && len(p.Files) == 0:
			return fault.Conflict("Nothing that proves it is there yet, so nothing can be met by it.")
		case said == "" || utf8.RuneCountInString(said) > textMost:
			return fault.Invalid("words", "Say what it rests on, in at most %d letters.", textMost)
		}
		return t.DecidePrior(ctx, id, store.PriorDecision{Criterion: criterion, Outcome: outcome, Words: said, By: c.Person, At: a.now()})
	})
}

// UnitsToClaim lists the centre's units for whoever may claim: a trainee, or a tutor for theirs.
func (a *App) UnitsToClaim(ctx context.Context, c account.Caller) ([]store.Unit, error) {
	if err := mayAsEither(c, account.ClaimPrior); err != nil {
		return nil, err
	}
	return a.db.UnitsOn(ctx, c.Centre, date(a.today()))
}
