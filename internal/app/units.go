package app

import (
	"context"
	"fmt"
	"regexp"
	"strings"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// The sizes of a unit: our own values.
const (
	unitMostCriteria = 400
	unitMostText     = 2000 // characters of one text
)

// unitCodes are codes of units, outcomes and criteria. Briefs name a criterion as UNIT/code, so none holds a slash.
var unitCodes = regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N}._-]{0,39}$`)

// UnitEditions lists every edition of every qualification unit, by code, the newest first.
func (a *App) UnitEditions(ctx context.Context, c account.Caller) ([]store.Unit, error) {
	if err := account.May(c, account.SeeBriefs); err != nil {
		return nil, err
	}
	return a.db.UnitEditions(ctx, c.Centre)
}

// EnterUnit keeps an edition of a qualification unit, which then stays as it is: whatever changes is a further edition, that
// begins later than the one before.
func (a *App) EnterUnit(ctx context.Context, c account.Caller, u store.Unit) error {
	if err := account.May(c, account.EnterUnits); err != nil {
		return err
	}
	if err := checkUnit(&u); err != nil {
		return err
	}
	u.EnteredBy, u.EnteredAt = c.Person, a.now()
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		newest, err := t.LockUnit(ctx, u.Code)
		switch {
		case fault.KindOf(err) == fault.KindNotFound:
		case err != nil:
			return err
		case !u.ValidFrom.After(newest):
			return fault.Invalid("valid_from", "Unit %s has an edition already. Say from which day this one is in force: after %s.", u.Code, dayWords(newest))
		}
		return t.SaveUnit(ctx, u)
	})
}

// dayWords is a first day as a sentence names it.
func dayWords(t time.Time) string {
	if t.IsZero() {
		return "the first, which has no day"
	}
	return t.Format("2 January 2006")
}

// checkUnit tidies an edition and refuses what cannot be kept.
func checkUnit(u *store.Unit) error {
	u.Code, u.Title, u.Edition = strings.TrimSpace(u.Code), strings.TrimSpace(u.Title), strings.TrimSpace(u.Edition)
	var fields []fault.Field
	add := func(name, message string, a ...any) {
		fields = append(fields, fault.Field{Name: name, Message: fmt.Sprintf(message, a...)})
	}
	if !unitCodes.MatchString(u.Code) {
		add("code", "Give the unit's code: letters, digits, dots and dashes, at most 40.")
	}
	if u.Title == "" || len([]rune(u.Title)) > unitMostText {
		add("title", "Give the unit's title.")
	}
	if u.Edition == "" || len([]rune(u.Edition)) > 100 {
		add("edition", "Name the edition, in at most 100 letters.")
	}
	if f := span("valid_from", "valid_to", u.ValidFrom, u.ValidTo); f != nil && (!u.ValidFrom.IsZero() || !u.ValidTo.IsZero()) {
		if x, ok := fault.As(f); ok {
			fields = append(fields, x.Fields...)
		}
	}
	if message := checkOutcomes(u.Outcomes); message != "" {
		add("outcomes", "%s", message)
	}
	if len(fields) > 0 {
		return fault.InvalidFields(fields)
	}
	return nil
}

// checkOutcomes says what is wrong with a unit's outcomes; "" where nothing is.
func checkOutcomes(outcomes []store.Outcome) string {
	seen, criteria := map[string]bool{}, 0
	once := func(of, code, text string) string {
		switch {
		case !unitCodes.MatchString(code):
			return fmt.Sprintf("“%s” is no code of %s: letters, digits, dots and dashes, at most 40.", code, of)
		case seen[of+" "+code]:
			return fmt.Sprintf("The code %s stands there twice.", code)
		case strings.TrimSpace(text) == "" || len([]rune(text)) > unitMostText:
			return fmt.Sprintf("Say what %s asks for, in at most %d letters.", code, unitMostText)
		}
		seen[of+" "+code] = true
		return ""
	}
	for _, o := range outcomes {
		if m := once("an outcome", o.Code, o.Title); m != "" {
			return m
		}
		if len(o.Criteria) == 0 {
			return fmt.Sprintf("Outcome %s has no criterion.", o.Code)
		}
		for _, k := range o.Criteria {
			if m := once("a criterion", k.Code, k.Text); m != "" {
				return m
			}
			for _, r := range k.Range {
				if len([]rune(r)) > unitMostText || strings.TrimSpace(r) == "" {
					return fmt.Sprintf("A range statement of %s is empty or longer than %d letters.", k.Code, unitMostText)
				}
			}
			criteria++
		}
	}
	switch {
	case criteria == 0:
		return "Give at least one learning outcome with a criterion."
	case criteria > unitMostCriteria:
		return fmt.Sprintf("A unit has at most %d criteria.", unitMostCriteria)
	}
	return ""
}
