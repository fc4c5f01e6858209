package store_test

import (
	"errors"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/golang-migrate/migrate/v4"
	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
	"witnessmark/migrations"
)

// awardCounts is the migration from which on the award counts.
const awardCounts = 40

// Who holds no assessor's award in date on the day decides nothing alone, stands behind nobody's decision, and decides no prior learning,
// whatever an application forgets to ask.
func TestTheDatabaseAsksForAnAward(t *testing.T) {
	b := newBench(t)
	ctx, unit := t.Context(), b.unit
	lapsed, none := b.newPerson(t, "Lapsed Tutor", account.Tutor), newID(t)
	last := time.Date(2026, 7, 1, 0, 0, 0, 0, time.UTC)
	prior, decided := newID(t), b.record(t, decision.KindCriterion, unit+"/1.1", string(decision.Met))
	b.write(t, func(tx *store.Tx) error {
		return errors.Join(
			tx.EndRegistration(ctx, lapsed, account.AssessorAward, storetest.Award().Number, last),
			tx.AddPerson(ctx, store.Person{ID: none, Name: "No Award", SignInName: none.String(), Roles: []account.Role{account.Tutor}, CreatedAt: monday}),
			tx.AddPrior(ctx, store.Prior{ID: prior, Trainee: b.ann, Unit: unit, Criteria: []string{unit + "/1.1", unit + "/1.2"}, Words: "Two years with a firm.", By: b.ann, At: monday}),
			tx.AppendRecord(ctx, decided))
	})
	said := func(by uuid.UUID, at time.Time, change func(r *decision.Record)) error {
		r := b.byAt(t, b.bobDoes, by, decision.KindCriterion, unit+"/1.2", string(decision.Met))
		r.At = at
		change(&r)
		return b.appended(t, r)
	}
	const stands = fault.Kind(0) // nothing is against it
	plain := func(*decision.Record) {}
	countersign := func(r *decision.Record) {
		r.Attempt, r.Kind, r.Subject, r.Outcome, r.Value = b.annDoes, decision.KindCountersign, unit+"/1.1", "countersigned", decided.ID.String()
	}
	night := last.Add(22*time.Hour + 59*time.Minute) // a minute before midnight in London, in summer
	for _, c := range []struct {
		what   string
		by     uuid.UUID
		at     time.Time
		change func(r *decision.Record)
		want   fault.Kind
	}{
		{"alone without an award", none, monday, plain, fault.KindConflict},
		{"alone before the award began", lapsed, time.Date(2019, 12, 31, 23, 59, 0, 0, time.UTC), plain, fault.KindConflict},
		{"alone after its last day", lapsed, night.Add(time.Minute), plain, fault.KindConflict},
		{"countersigning without an award", none, monday, countersign, fault.KindForbidden},
		{"countersigning after its last day", lapsed, night.Add(time.Minute), countersign, fault.KindForbidden},
		{"subject to a countersignature", none, monday, func(r *decision.Record) { r.Role = decision.RoleCountersigned }, stands},
		{"taken back", none, monday, func(r *decision.Record) { r.Outcome = decision.TakenBack }, stands},
		{"said to be carried over, in a first attempt", none, monday, func(r *decision.Record) { r.Value = "1" }, fault.KindConflict},
		{"alone on its last day", lapsed, night, plain, stands},
		{"countersigning on its last day", lapsed, night, countersign, stands},
	} {
		if err := said(c.by, c.at, c.change); (err == nil) != (c.want == stands) || err != nil && fault.KindOf(err) != c.want {
			t.Errorf("%s: %v, want kind %v", c.what, err, c.want)
		}
	}
	decide := func(by uuid.UUID, criterion string) error {
		return b.Write(ctx, b.centre, func(tx *store.Tx) error {
			return tx.DecidePrior(ctx, prior, store.PriorDecision{Criterion: criterion, Outcome: decision.Met, Words: "The letter says so.", By: by, At: monday})
		})
	}
	kind(t, "prior learning without an award", decide(none, unit+"/1.1"), fault.KindForbidden)
	if err := decide(lapsed, unit+"/1.1"); err != nil {
		t.Errorf("prior learning with an award in date that day: %v", err)
	}
}

// The upgrade changes nobody's standing unseen: where the flag and the award say different things, the flag holds for three months more,
// or until an award is entered. Going down, the flag says what holds.
func TestTheUpgradeToAwardsKeepsHowEverybodyStands(t *testing.T) {
	db := storetest.Empty(t)
	conn := connect(t, db.Super)
	const who = `SELECT coalesce(string_agg(sign_in_name, ' ' ORDER BY sign_in_name), '') FROM person WHERE `
	people := []struct {
		name, role     string
		flagged, award bool
		before         string
	}{
		{"a-flagged", "tutor", true, false, ""}, {"b-flagged-award", "tutor", true, true, "waits"}, {"c-plain", "tutor", false, false, "alone"}, {"d-award", "tutor", false, true, ""},
		{"e-assurer", "internal_quality_assurer", false, false, "alone"}, {"f-manager", "centre_manager", false, false, ""},
	}
	if err := step(t, db.Owner, migrations.FS, func(m *migrate.Migrate) error {
		run(t, conn, `CREATE TABLE migration_done (version bigint PRIMARY KEY)`)
		run(t, conn, `ALTER TABLE migration_done OWNER TO witnessmark_test_owner`)
		if err := m.Migrate(awardCounts - 1); err != nil {
			return err
		}
		run(t, conn, `INSERT INTO centre (centre_id, code, name, created_at) OVERRIDING SYSTEM VALUE VALUES (1, 'N', 'North', now())`)
		for i, p := range people {
			id := "00000000-0000-7000-8000-00000000000" + strconv.Itoa(i)
			run(t, conn, `INSERT INTO person (centre_id, person_id, name, sign_in_name, created_at, countersigned) VALUES (1, $1, $2, $2, now(), $3)`, id, p.name, p.flagged)
			run(t, conn, `INSERT INTO person_role VALUES (1, $1, $2)`, id, p.role)
			if p.award {
				run(t, conn, `INSERT INTO registration VALUES (1, $1, 'assessor', 'A', '2020-01-01', '9999-12-31')`, id)
			}
		}
		if err := m.Migrate(awardCounts); err != nil {
			return err
		}
		var alone, waits []string
		for _, p := range people {
			switch p.before {
			case "alone":
				alone = append(alone, p.name)
			case "waits":
				waits = append(waits, p.name)
			}
			now := value[bool](t, conn, `SELECT decides_alone(1, person_id, now()) FROM person WHERE sign_in_name = $1`, p.name)
			later := value[bool](t, conn, `SELECT decides_alone(1, person_id, now() + interval '3 months 2 days') FROM person WHERE sign_in_name = $1`, p.name)
			if p.role != "centre_manager" && now == p.flagged || later != p.award {
				t.Errorf("%s decides alone: %v, and %v three months later", p.name, now, later)
			}
		}
		for word, want := range map[string][]string{"before_alone": alone, "NOT before_alone": waits} {
			if got := value[string](t, conn, who+word); got != strings.Join(want, " ") {
				t.Errorf("%s of %q, want %q", word, got, want)
			}
		}
		run(t, conn, `INSERT INTO registration SELECT 1, person_id, 'assessor', 'B', '2020-01-01', '9999-12-31' FROM person WHERE sign_in_name = 'c-plain'`)
		run(t, conn, `UPDATE registration SET valid_to = current_date - 1 WHERE number = 'A' AND person_id = (SELECT person_id FROM person WHERE sign_in_name = 'b-flagged-award')`)
		run(t, conn, `INSERT INTO registration SELECT 1, person_id, 'gas', 'B', '2020-01-01', '9999-12-31' FROM person WHERE sign_in_name = 'e-assurer'`)
		if got := value[string](t, conn, who+`before_until IS NOT NULL`); got != "e-assurer" {
			t.Errorf("of %q what the flag said still holds, want e-assurer alone", got)
		}
		if err := m.Migrate(awardCounts - 1); err != nil {
			return err
		}
		if got := value[string](t, conn, who+`countersigned`); got != "a-flagged b-flagged-award" {
			t.Errorf("gone down, %q are flagged", got)
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
}
