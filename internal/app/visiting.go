package app

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/blob"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// VisitInvited says which visit a link opens, and changes nothing: a mail scanner may follow it as often as it likes.
func (a *App) VisitInvited(ctx context.Context, token string) (store.Visit, error) {
	_, v, err := a.visitByToken(ctx, token)
	return v, err
}

func (a *App) visitByToken(ctx context.Context, token string) (centre int64, v store.Visit, err error) {
	l, err := a.linkOf(ctx, token)
	if err == nil && l.Purpose == purposeVisit {
		v, err = a.db.VisitByLink(ctx, l.Centre, l.ID)
	}
	switch {
	case fault.KindOf(err) == fault.KindNotFound || err == nil && l.Purpose != purposeVisit:
		return 0, v, fault.NotFound("This link opens no visit. Check that all of it was copied, or ask the centre for a new one.")
	case err != nil:
		return 0, v, err
	}
	return l.Centre, v, a.running(v)
}

// running refuses, kindly, what comes after a visit's time.
func (a *App) running(v store.Visit) error {
	switch {
	case !v.EndedAt.IsZero():
		return fault.Forbidden("The centre ended this visit on %s. Your record of it is kept. Ask the centre if you need to see more.", v.EndedAt.In(London()).Format("2 January 2006"))
	case !v.Runs(a.now()):
		return fault.Forbidden("This visit ended on %s. Your record of it is kept. Ask the centre if you need to see more.", v.EndsAt.Add(-time.Minute).In(London()).Format("2 January 2006"))
	}
	return nil
}

// OpenVisit opens a visit and gives the verifier as a caller who can reach nothing else.
func (a *App) OpenVisit(ctx context.Context, token string) (account.Caller, error) {
	centre, v, err := a.visitByToken(ctx, token)
	if err != nil {
		return account.Caller{}, err
	}
	who, err := a.Caller(ctx, centre, v.Verifier)
	if err != nil {
		return account.Caller{}, err
	}
	who = who.Visiting(v.ID)
	err = a.db.Write(ctx, centre, func(t *store.Tx) error {
		if err := t.OpenVisit(ctx, v.ID, a.now()); err != nil {
			return err
		}
		return a.noteView(ctx, t, who, store.LookedOpened, uuid.Nil)
	})
	return who, err
}

// visit is the caller's visit, while it runs. Whoever is on none is told of none.
func (a *App) visit(ctx context.Context, c account.Caller) (store.Visit, error) {
	if err := account.May(c, account.Visit); err != nil {
		return store.Visit{}, err
	}
	if c.Visit == uuid.Nil {
		return store.Visit{}, fault.Forbidden("A visit is opened by the link that the centre sent you.")
	}
	v, err := a.db.Visit(ctx, c.Centre, c.Visit)
	if err != nil {
		return v, err
	}
	if v.Verifier != c.Person {
		return v, hidden("visit")
	}
	return v, a.running(v)
}

// noteView keeps that the verifier looks at something.
func (a *App) noteView(ctx context.Context, t *store.Tx, c account.Caller, what store.VisitLook, subject uuid.UUID) error {
	id, err := newID()
	if err != nil {
		return err
	}
	return t.AddVisitView(ctx, c.Visit, store.VisitView{ID: id, What: what, Subject: subject, By: c.Person, At: a.now()})
}

// looks keeps that the verifier looks at something, before it is shown.
func (a *App) looks(ctx context.Context, c account.Caller, what store.VisitLook, subject uuid.UUID) error {
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return a.noteView(ctx, t, c, what, subject) })
}

// VisitedSheet is an attempt as a verifier reads it: who decided what, on which evidence, when, under which rules.
type VisitedSheet struct {
	Sheet
	BriefDigest string // SHA-256 of the version's text, hex
	WrittenBy   string
	PublishedBy string // who checked and published it
	PublishedAt time.Time
	Engine      string // the marker's edition; "" where it did not run
	Notes       []store.VisitNote
	Owners      []store.Named // who can be asked to do something
}

// VisitSheet is an attempt on the list. That it is looked at is kept.
func (a *App) VisitSheet(ctx context.Context, c account.Caller, id uuid.UUID) (v VisitedSheet, err error) {
	if err := a.onList(ctx, c, id); err != nil {
		return v, err
	}
	j, err := a.db.JobSheet(ctx, c.Centre, id)
	if err != nil {
		return v, err
	}
	r, err := a.forAttempt(j)
	if err != nil {
		return v, err
	}
	if v.Sheet, err = a.sheet(ctx, c, loaded{JobSheet: j, ruled: r, attempt: attemptOf(j, r.brief)}); err != nil {
		return v, err
	}
	v.BriefDigest, v.WrittenBy, v.PublishedBy, v.PublishedAt = j.Brief.Digest, j.Brief.WriterName, j.Brief.PublisherName, j.Brief.PublishedAt
	if j.Marking != nil {
		v.Engine = j.Marking.Result.Engine
	}
	notes, err := a.db.VisitNotes(ctx, c.Centre, c.Visit)
	if err != nil {
		return v, err
	}
	for _, n := range notes {
		if n.Attempt == id {
			v.Notes = append(v.Notes, n)
		}
	}
	if v.Owners, err = a.db.WhoHas(ctx, c.Centre, account.Manager, account.QualityAssurer, account.Tutor); err != nil {
		return v, err
	}
	return v, a.looks(ctx, c, store.LookedAttempt, id)
}

// onList refuses an attempt that is not on the list of the caller's visit.
func (a *App) onList(ctx context.Context, c account.Caller, attempt uuid.UUID) error {
	if _, err := a.visit(ctx, c); err != nil {
		return err
	}
	listed, err := a.db.VisitLists(ctx, c.Centre, c.Visit, attempt)
	if err == nil && !listed {
		return hidden("attempt")
	}
	return err
}

// VisitFile opens a file of an attempt on the list, its covered copy where it has one. The small picture belongs to the page
// that shows it; that the file itself is looked at is kept. Close the content.
func (a *App) VisitFile(ctx context.Context, c account.Caller, id uuid.UUID, preview bool) (File, error) {
	if _, err := a.visit(ctx, c); err != nil {
		return File{}, err
	}
	e, err := a.db.Evidence(ctx, c.Centre, id)
	if err != nil {
		return File{}, err
	}
	if listed, err := a.db.VisitLists(ctx, c.Centre, c.Visit, e.Attempt); err != nil || !listed {
		if err == nil {
			err = hidden("file")
		}
		return File{}, err
	}
	digest, media, err := a.shown(e, preview)
	if err != nil {
		return File{}, err
	}
	if !preview {
		if err := a.looks(ctx, c, store.LookedFile, id); err != nil {
			return File{}, err
		}
	}
	return a.openBytes(e, digest, media)
}

// VisitPortfolio opens the finished portfolio of a trainee on the list, for the visit's unit. Close the content.
func (a *App) VisitPortfolio(ctx context.Context, c account.Caller, id uuid.UUID) (OpenedPortfolio, error) {
	if _, err := a.visit(ctx, c); err != nil {
		return OpenedPortfolio{}, err
	}
	p, err := a.db.VisitPortfolio(ctx, c.Centre, c.Visit, id)
	if err != nil {
		return OpenedPortfolio{}, err
	}
	d, err := blob.Parse(p.Digest)
	if err != nil {
		return OpenedPortfolio{}, err
	}
	if err := a.looks(ctx, c, store.LookedPortfolio, id); err != nil {
		return OpenedPortfolio{}, err
	}
	content, _, err := a.blobs.Open(d)
	return OpenedPortfolio{Portfolio: p, Content: content}, err
}

// MyVisit is the visit as its verifier sees it.
type MyVisit struct {
	store.Visit
	Attempts   []store.VisitAttempt // a page of the list
	Portfolios []store.Portfolio
	Notes      []store.VisitNote
	Actions    []store.Action
	Owners     []store.Named // who can be asked to do something
}

// MyVisit is the caller's visit; page counts from 0.
func (a *App) MyVisit(ctx context.Context, c account.Caller, page int) (m MyVisit, err error) {
	if m.Visit, err = a.visit(ctx, c); err != nil {
		return m, err
	}
	if m.Attempts, err = a.db.VisitListed(ctx, c.Centre, c.Visit, page*store.VisitPage); err != nil {
		return m, err
	}
	if m.Portfolios, err = a.db.VisitPortfolios(ctx, c.Centre, c.Visit); err != nil {
		return m, err
	}
	if m.Notes, err = a.db.VisitNotes(ctx, c.Centre, c.Visit); err != nil {
		return m, err
	}
	if m.Actions, err = a.db.ActionsOf(ctx, c.Centre, store.ActionFromVisit, c.Visit); err != nil {
		return m, err
	}
	if m.Owners, err = a.db.WhoHas(ctx, c.Centre, account.Manager, account.QualityAssurer, account.Tutor); err != nil {
		return m, err
	}
	return m, a.looks(ctx, c, store.LookedList, uuid.Nil)
}

// VisitReach is what the verifier can still choose and draw from.
type VisitReach struct {
	store.Visit
	Attempts []store.VisitAttempt // a page of what is not on the list
	Draws    []store.VisitDraw
}

// Left is how many attempts are not on the list.
func (r VisitReach) Left() int { return r.Reach - r.Listed }

// VisitReach lists what the visit can reach and has not on its list; page counts from 0.
func (a *App) VisitReach(ctx context.Context, c account.Caller, page int) (r VisitReach, err error) {
	if r.Visit, err = a.visit(ctx, c); err != nil {
		return r, err
	}
	if r.Attempts, err = a.db.VisitUnlisted(ctx, c.Centre, c.Visit, page*store.VisitPage); err != nil {
		return r, err
	}
	if r.Draws, err = a.db.VisitDraws(ctx, c.Centre, c.Visit); err != nil {
		return r, err
	}
	return r, a.looks(ctx, c, store.LookedList, uuid.Nil)
}
