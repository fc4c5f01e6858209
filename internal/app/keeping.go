package app

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// UsualRetention is how long records are kept where a centre has said nothing: decisions and details for three years, which two
// awarding organisations' published guidance for centres asks of them; work for one, our own value, since its time ends with
// the external review and the time for an appeal, which differ.
func UsualRetention() []store.RetentionRule {
	return []store.RetentionRule{
		{Kind: store.KeepDecisions, Months: 36, Words: "Awarding organisations' guidance for centres: three years."},
		{Kind: store.KeepDetails, Months: 36, Words: "Awarding organisations' guidance for centres: three years."},
		{Kind: store.KeepWork, Months: 12, Words: "Until the external review and the time for an appeal are past."},
	}
}

// inForce puts a centre's own rules in place of the usual ones of the same unit and kind.
func inForce(own []store.RetentionRule) []store.RetentionRule {
	rules := UsualRetention()
	for _, o := range own {
		i := slices.IndexFunc(rules, func(r store.RetentionRule) bool { return r.Unit == o.Unit && r.Kind == o.Kind })
		if i < 0 {
			rules = append(rules, o)
			continue
		}
		rules[i] = o
	}
	return rules
}

// longest is the rule that keeps an attempt whose brief bears on the units: of all that apply the one with the most months.
func longest(rules []store.RetentionRule, units []string) store.RetentionRule {
	var most store.RetentionRule
	for _, r := range rules {
		if r.Kind != store.KeepDetails && (r.Unit == "" || slices.Contains(units, r.Unit)) && r.Months > most.Months {
			most = r
		}
	}
	return most
}

// ruleWords is a rule in words, as an erasure names it.
func ruleWords(r store.RetentionRule) string {
	of := ""
	if r.Unit != "" {
		of = " of unit " + r.Unit
	}
	return fmt.Sprintf("%s%s: %d months", r.Kind, of, r.Months)
}

// Keeping is how a centre keeps and erases.
type Keeping struct {
	Rules  []store.RetentionRule // in force, the usual ones among them
	Holds  []store.LegalHold
	Purges []store.Purge
	People []store.Named // trainees, who can be held and of whom everything can be given out
	Units  []store.Unit
	May    bool // the caller may change rules, hold and give out
}

// Keeping says how the caller's centre keeps and erases.
func (a *App) Keeping(ctx context.Context, c account.Caller) (k Keeping, err error) {
	if err := account.May(c, account.Erase); err != nil {
		return k, err
	}
	k.May = account.May(c, account.KeepRecords) == nil
	own, err := a.db.RetentionRules(ctx, c.Centre)
	if err != nil {
		return k, err
	}
	k.Rules = inForce(own)
	if k.Holds, err = a.db.Holds(ctx, c.Centre); err != nil {
		return k, err
	}
	if k.Purges, err = a.db.Purges(ctx, c.Centre); err != nil {
		return k, err
	}
	if k.People, err = a.db.WhoHas(ctx, c.Centre, account.Trainee); err != nil {
		return k, err
	}
	k.Units, err = a.db.UnitsOn(ctx, c.Centre, date(a.today()))
	return k, err
}

// SetRetention puts a rule in place of the one before of the same unit and kind.
func (a *App) SetRetention(ctx context.Context, c account.Caller, r store.RetentionRule) (err error) {
	if err := account.May(c, account.KeepRecords); err != nil {
		return err
	}
	r.Words = strings.TrimSpace(r.Words)
	switch {
	case r.Kind != store.KeepDecisions && r.Kind != store.KeepWork && r.Kind != store.KeepDetails:
		return fault.Invalid("kind", "Choose what is kept.")
	case r.Kind == store.KeepDetails && r.Unit != "":
		return fault.Invalid("unit", "A person's details belong to no unit: leave it empty.")
	case r.Months < 1 || r.Months > 600:
		return fault.Invalid("months", "Say for how many months: from 1 to 600.")
	case r.Words == "" || utf8.RuneCountInString(r.Words) > textMost:
		return fault.Invalid("words", "Say where the rule comes from.")
	}
	if r.Unit != "" {
		if _, err := a.db.UnitOn(ctx, c.Centre, r.Unit, date(a.today())); err != nil {
			return err
		}
	}
	if r.ID, err = newID(); err != nil {
		return err
	}
	r.By, r.At = c.Person, a.now()
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.AddRetentionRule(ctx, r) })
}

// PlaceHold keeps what is kept of a person, or one attempt of theirs, from being erased until somebody lifts it.
func (a *App) PlaceHold(ctx context.Context, c account.Caller, h store.LegalHold) (err error) {
	if err := account.May(c, account.KeepRecords); err != nil {
		return err
	}
	if h.Words = strings.TrimSpace(h.Words); h.Words == "" || utf8.RuneCountInString(h.Words) > textMost {
		return fault.Invalid("words", "Say why it is held.")
	}
	if _, err := a.db.Person(ctx, c.Centre, h.Person); err != nil {
		return err
	}
	if h.Attempt != uuid.Nil {
		at, err := a.db.Attempt(ctx, c.Centre, h.Attempt)
		if err != nil || at.Trainee != h.Person {
			return fault.Invalid("attempt", "That is no attempt of this person's.")
		}
	}
	if h.ID, err = newID(); err != nil {
		return err
	}
	h.PlacedBy, h.PlacedAt = c.Person, a.now()
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.AddHold(ctx, h) })
}

// LiftHold lets go what was held.
func (a *App) LiftHold(ctx context.Context, c account.Caller, id uuid.UUID, words string) error {
	if err := account.May(c, account.KeepRecords); err != nil {
		return err
	}
	if words = strings.TrimSpace(words); words == "" || utf8.RuneCountInString(words) > textMost {
		return fault.Invalid("words", "Say why it is let go.")
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.LiftHold(ctx, id, c.Person, a.now(), words) })
}

// upOn is the day on which a time of months after a moment is up.
func upOn(ended time.Time, months int) time.Time { return date(dayOf(ended)).AddDate(0, months, 0) }
