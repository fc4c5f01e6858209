package app_test

import (
	"database/sql"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

const outline = `1 Make it safe
  1.1 Find the hazards.
    - at a live terminal
    - in a loft
  1.2 Isolate.
2 Prove it
  P1 Test in order.
`

func outcomes() []store.Outcome {
	return []store.Outcome{
		{Code: "1", Title: "Make it safe", Criteria: []store.Criterion{{Code: "1.1", Text: "Find the hazards.", Range: []string{"at a live terminal", "in a loft"}}, {Code: "1.2", Text: "Isolate."}}},
		{Code: "2", Title: "Prove it", Criteria: []store.Criterion{{Code: "P1", Text: "Test in order."}}},
	}
}

func TestUnitTextThereAndBack(t *testing.T) {
	got, err := app.ReadUnitText(outline)
	must(t, err)
	if d := cmp.Diff(outcomes(), got); d != "" {
		t.Errorf("read (-want +got):\n%s", d)
	}
	if back := app.UnitText(got); back != outline {
		t.Errorf("written as %q", back)
	}
	flat, err := app.ReadUnitText("1 Make it safe\n1.1 Find the hazards.\n- at a live terminal\n- in a loft\n1.2 Isolate.\n2 Prove it\n  P1 Test in order.")
	must(t, err)
	if d := cmp.Diff(outcomes(), flat); d != "" {
		t.Errorf("without indents (-want +got):\n%s", d)
	}
	for _, bad := range []string{"- at first", "1\n"} {
		_, err := app.ReadUnitText(bad)
		wantKind(t, bad, err, fault.KindInvalid)
	}
	list := "Outcome,Outcome title,Criterion,Text,Range\n1,Make it safe,1.1,Find the hazards.,at a live terminal; in a loft\n1,,1.2,Isolate.,\n2,Prove it,P1,Test in order.,\n"
	of, problems := app.ReadUnitList([]byte(list))
	if d := cmp.Diff(outcomes(), of); d != "" || len(problems) > 0 {
		t.Errorf("from a list (-want +got):\n%s%v", d, problems)
	}
	if _, problems = app.ReadUnitList([]byte("Outcome,Criterion,Text\n1,1.1,x\n")); len(problems) != 1 || problems[0].Line != 2 {
		t.Errorf("an outcome without a title: %+v", problems)
	}
}

func TestUnitsChangeByEditionsAlone(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	u := store.Unit{Code: "H4", Title: "Controls", Edition: "1", Outcomes: outcomes()}
	must(t, c.EnterUnit(ctx, c.manager, u))
	u.Edition = "2"
	wantKind(t, "without a first day", c.EnterUnit(ctx, c.manager, u), fault.KindInvalid)
	next := c.now.AddDate(0, 1, 0).UTC().Truncate(24 * time.Hour)
	u.ValidFrom, u.Title = next, "Controls and their proof"
	u.Outcomes = u.Outcomes[:1]
	must(t, c.EnterUnit(ctx, c.manager, u))
	u.ValidFrom = next.AddDate(0, 1, 0)
	wantKind(t, "the same edition once more", c.EnterUnit(ctx, c.manager, u), fault.KindInvalid)
	wantKind(t, "a tutor", c.EnterUnit(ctx, c.tutor, u), fault.KindForbidden)

	on := func(day time.Time) store.Unit {
		got, err := c.db.UnitOn(ctx, c.id, "H4", day)
		must(t, err)
		return got
	}
	if now, then := on(c.now), on(next); now.Edition != "1" || len(now.Outcomes) != 2 || then.Edition != "2" || len(then.Outcomes) != 1 {
		t.Errorf("in force are %+v today and %+v then", now, then)
	}
	for what, bad := range map[string]store.Unit{
		"a slash": {Code: "H/5", Title: "x", Edition: "1", Outcomes: outcomes()}, "no title": {Code: "H5", Edition: "1", Outcomes: outcomes()},
		"nothing": {Code: "H5", Title: "x", Edition: "1"}, "a bare outcome": {Code: "H5", Title: "x", Edition: "1", Outcomes: []store.Outcome{{Code: "1", Title: "x"}}},
		"a code twice": {Code: "H5", Title: "x", Edition: "1", Outcomes: append(outcomes(), outcomes()...)},
	} {
		wantKind(t, what, c.EnterUnit(ctx, c.manager, bad), fault.KindInvalid)
	}
	db, err := sql.Open("pgx", c.super)
	must(t, err)
	defer db.Close()
	if _, err := db.ExecContext(ctx, `UPDATE unit_edition SET title = 'x'`); err == nil || !strings.Contains(err.Error(), "only ever added") {
		t.Errorf("changing an edition in the database: %v", err)
	}
}
