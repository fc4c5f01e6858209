package app

import (
	"context"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// Limits on what is typed, in characters.
const (
	textMost    = 4000
	workingMost = 16_000 // forty lines of four hundred
	entriesMost = 500    // lines sent at once
)

// NewEntry is one line as it was typed.
type NewEntry struct {
	ID uuid.UUID // made where it was typed; the same again has no effect
	marking.Entry
	Note       string
	Instrument uuid.UUID // read with; zero where none was named
	CapturedAt time.Time // on the phone; zero where unknown
	PhoneClock
}

// RecordEntries keeps what was typed. It takes any value as it stands, right or wrong; only a place that the brief does
// not have is refused.
func (a *App) RecordEntries(ctx context.Context, c account.Caller, id uuid.UUID, entries []NewEntry) error {
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		l, err := a.lockWork(ctx, t, c, id)
		if err != nil {
			return err
		}
		if err := account.May(c, account.Record, l.standings...); err != nil {
			return err
		}
		if kept, err := keptBefore(l, entries); err != nil || kept {
			return err
		}
		rows, err := a.entryRows(c, l, entries)
		if err != nil {
			return err
		}
		if _, err = t.AddEntries(ctx, id, rows); err != nil {
			return err
		}
		ids := make([]uuid.UUID, len(rows))
		for i, r := range rows {
			ids[i] = r.ID
		}
		return a.arrived(ctx, t, l, ids...)
	})
}

// entryRows checks that the caller may type now, and that every entry has its place.
func (a *App) entryRows(c account.Caller, l loaded, entries []NewEntry) ([]store.Entry, error) {
	if err := account.May(c, account.Record, l.standings...); err != nil {
		return nil, err
	}
	if len(entries) > entriesMost {
		return nil, fault.Invalid("entries", "That is more than %d lines at once. Send them in parts.", entriesMost)
	}
	rows := make([]store.Entry, 0, len(entries))
	for _, e := range entries {
		if err := l.admits(e.ID, decision.SealEntry, decision.EntryDigest(e.Entry), e.moment(e.CapturedAt, a.now())); err != nil {
			return nil, err
		}
		if err := checkEntry(l.brief, e); err != nil {
			return nil, err
		}
		rows = append(rows, store.Entry{
			ID: e.ID, Attempt: l.Attempt.ID, Entry: e.Entry, Note: e.Note, CapturedAt: e.CapturedAt, ReceivedAt: a.now(), By: c.Person,
			Instrument: e.Instrument, Clock: e.clock(a.now()),
		})
	}
	return rows, nil
}

// mustBeOpen is Conflict where nothing can be added to the attempt any more, or not yet.
func mustBeOpen(at store.Attempt) error {
	if at.State == decision.Open {
		return nil
	}
	return fault.Conflict("This attempt is %s, so nothing can be added to it.", at.State.Words())
}

// checkEntry refuses an entry that has no place in the brief or cannot be kept.
func checkEntry(b *brief.Brief, e NewEntry) error {
	title, err := placeOf(b, e.Entry)
	switch {
	case err != nil:
		return err
	case e.ID == uuid.Nil:
		return fault.Invalid("id", "Every line needs an id of its own.")
	case utf8.RuneCountInString(e.Text) > textMost || utf8.RuneCountInString(e.Note) > textMost || len(e.Unit) > 64:
		return fault.Invalid("text", "%s: that is longer than %d characters. Shorten it, or add it as a document.", title, textMost)
	case utf8.RuneCountInString(e.Working) > workingMost:
		return fault.Invalid("working", "%s: the working is longer than %d characters. Shorten it, or add it as a photo.", title, workingMost)
	}
	for _, s := range []string{e.Text, e.Unit, e.Working, e.Note} {
		if strings.ContainsFunc(s, unkept) {
			return fault.Invalid("text", "%s holds characters that cannot be kept. Type it again.", title)
		}
	}
	return nil
}

// placeOf names what an entry is for: an item of the brief, or the line of a stage in which the trainee says who helped.
func placeOf(b *brief.Brief, e marking.Entry) (title string, err error) {
	if stage, ok := decision.HelpAt(e.Item); ok {
		if !slices.ContainsFunc(b.Stages, func(st brief.Stage) bool { return st.Key == stage }) || e.Part != "" || e.Phase != "" || e.Unit != "" || e.Working != "" {
			return "", fault.Invalid("item", "The brief has no stage %q to say that of.", stage)
		}
		return "Who helped", nil
	}
	it, _, ok := b.Item(e.Item)
	if !ok {
		return "", fault.Invalid("item", "The brief has no item %q.", e.Item)
	}
	if !slices.ContainsFunc(it.Slots(), func(s brief.Slot) bool { return s.Part == e.Part && s.Phase == e.Phase }) {
		return "", fault.Invalid("part", "%s has no place for that.", it.Title)
	}
	return it.Title, nil
}
