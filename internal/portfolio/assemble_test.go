package portfolio_test

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/portfolio/portfoliotest"
)

func titles(refs []portfolio.Ref) string {
	var ts []string
	for _, r := range refs {
		ts = append(ts, r.Title+" > "+r.Anchor)
	}
	return strings.Join(ts, "; ")
}

func TestIndex(t *testing.T) {
	src, _ := portfoliotest.Source(t)
	d := portfolio.Assemble(src)
	if d.Criteria != 5 || d.Met != 3 || d.SignedOff != 3 || d.Attempts != 3 {
		t.Errorf("criteria %d, met %d, signed off %d, attempts %d; want 5, 3, 3, 3", d.Criteria, d.Met, d.SignedOff, d.Attempts)
	}
	type row struct {
		parts, attempt, carried int
		outcome, by             string
		evidence, earlier       string
		signed                  bool
	}
	got := map[string]row{}
	var order []string
	for _, o := range d.Index {
		for _, r := range o.Rows {
			g := row{parts: len(r.Parts)}
			if len(r.Parts) == 1 {
				p := r.Parts[0]
				g.attempt, g.carried, g.signed, g.evidence, g.earlier = p.Attempt, p.Carried, p.Signed, titles(p.Evidence), titles(p.Earlier)
				if p.Decision != nil {
					g.outcome, g.by = p.Decision.Outcome, p.Decision.ByName
				}
			}
			got[r.Code] = g
			order = append(order, r.Code)
		}
	}
	if want := []string{"1.1", "1.2", "1.3", "2.1", "2.2"}; !slices.Equal(order, want) {
		t.Errorf("order %v, want %v", order, want)
	}
	const one, two = "task-1-attempt-1", "task-1-attempt-2"
	for _, c := range []struct {
		name, code string
		want       row
	}{
		{"carried over: led back to where it was decided", "1.1", row{parts: 1, attempt: 1, carried: 2, outcome: "met", by: "Marit Solheim", signed: true,
			evidence: "1 The rig as you find it > " + one + "-item-1; 4 Risk assessment > " + one + "-item-4"}},
		{"decided afresh after a decision that is superseded", "1.2", row{parts: 1, attempt: 2, outcome: "met", by: "Marit Solheim", signed: true,
			evidence: "6 Controls do what they should > " + two + "-item-6; 7 Pump noise > " + two + "-item-7; 8 Flow rate > " + two +
				"-item-8; 9 Flow temperature > " + two + "-item-9; 10 Return temperature > " + two + "-item-10",
			earlier: "not yet met in attempt 1 > " + one + "-criterion-2"}},
		{"set, nothing handed in", "1.3", row{parts: 1}},
		{"names no evidence: what bears on it", "2.1", row{parts: 1, attempt: 2, outcome: "met", by: "Marit Solheim", signed: true,
			evidence: "11 Temperature difference > " + two + "-item-11; 12 Heat output > " + two + "-item-12; 13 Pump power for each kilowatt of heat > " + two +
				"-item-13; 14 Heat still missing > " + two + "-item-14; 15 Is it enough? > " + two + "-item-15; 16 Tube size > " + two +
				"-item-16; 17 What you would tell the customer > " + two + "-item-17",
			earlier: "not yet met in attempt 1 > " + one + "-criterion-3"}},
		{"no task bears on it", "2.2", row{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got[c.code] != c.want {
				t.Errorf("got\n%+v, want\n%+v", got[c.code], c.want)
			}
		})
	}
}

// What counts now, and what of it is signed off, over attempts that end differently.
func TestStanding(t *testing.T) {
	for _, c := range []struct {
		name        string
		change      func(s *portfolio.Source)
		met, signed int
	}{
		{"as it is", func(*portfolio.Source) {}, 3, 3},
		{"decided, not signed off", func(s *portfolio.Source) { s.Tasks[0].Attempts[1].State = decision.Decided }, 3, 0},
		{"cleared for claim", func(s *portfolio.Source) { s.Tasks[0].Attempts[1].State = decision.Cleared }, 3, 3},
		{"set aside: the attempt before it counts", func(s *portfolio.Source) { s.Tasks[0].Attempts[1].State = decision.SetAside }, 1, 0},
		{"first attempt alone", func(s *portfolio.Source) { s.Tasks[0].Attempts = s.Tasks[0].Attempts[:1] }, 1, 0},
		{"another task says not yet met", func(s *portfolio.Source) {
			again := s.Tasks[0]
			again.Attempts = again.Attempts[:1]
			s.Tasks = append(s.Tasks, again)
		}, 1, 0},
		{"no task", func(s *portfolio.Source) { s.Tasks = nil }, 0, 0},
		{"no criteria", func(s *portfolio.Source) { s.Unit.Outcomes = nil }, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			src, _ := portfoliotest.Source(t)
			c.change(&src)
			d := portfolio.Assemble(src)
			if d.Met != c.met || d.SignedOff != c.signed {
				t.Errorf("met %d, signed off %d; want %d, %d", d.Met, d.SignedOff, c.met, c.signed)
			}
		})
	}
}

func item(t *testing.T, at *portfolio.AttemptSheet, key string) *portfolio.ItemSheet {
	t.Helper()
	for i := range at.Stages {
		for j := range at.Stages[i].Items {
			if it := &at.Stages[i].Items[j]; it.Item.Key == key {
				return it
			}
		}
	}
	t.Fatalf("no item %q", key)
	return nil
}

// A failed result is never overwritten: it stands before the one that supersedes it.
func TestSupersededEntries(t *testing.T) {
	src, _ := portfoliotest.Source(t)
	at := &src.Tasks[0].Attempts[0]
	at.Entries = append(at.Entries, portfolio.Entry{Entry: marking.Entry{Item: "noise"}}) // cleared again
	sheet := portfolio.Assemble(src).Tasks[0].Attempts[0]
	tf := item(t, &sheet, "tf")
	if len(tf.Lines) != 2 || tf.Lines[0].Phase != brief.AsFound || tf.Lines[1].Phase != brief.AsLeft {
		t.Fatalf("lines %+v, want as found, then as left", tf.Lines)
	}
	left := tf.Lines[1]
	if left.Current == nil || left.Current.Text != "69.8" || len(left.Earlier) != 1 || left.Earlier[0].Text != "58.4" {
		t.Errorf("as left: %+v, want 69.8 after 58.4", left)
	}
	noise := item(t, &sheet, "noise")
	if l := noise.Lines[0]; l.Current != nil || len(l.Earlier) != 2 || l.Earlier[0].Text != "quiet" || l.Earlier[1].Text != "" {
		t.Errorf("cleared line: %+v, want nothing now, quiet and the clearing before", l)
	}
	if noise.Filled() || !tf.Filled() {
		t.Errorf("filled: noise %v, tf %v; want false, true", noise.Filled(), tf.Filled())
	}
}

func TestRecordsFindTheirPlace(t *testing.T) {
	src, _ := portfoliotest.Source(t)
	d := portfolio.Assemble(src)
	first, second := &d.Tasks[0].Attempts[0], &d.Tasks[0].Attempts[1]
	if r := first.Stages[1].Releases; len(r) != 1 || r[0].Outcome != "released" || titles(first.Stages[1].Needs) == "" {
		t.Errorf("releases of the hold point: %+v", r)
	}
	if c := item(t, first, "continuity").Checks; len(c) != 1 || c[0].Value != "0.13" {
		t.Errorf("check readings: %+v, want 0.13", c)
	}
	lift := item(t, first, "lift")
	if len(lift.Findings) != 1 || lift.Findings[0].Verdict != marking.ToRead || lift.Findings[0].Standing() == nil {
		t.Errorf("findings of lift: %+v, want one to read, overridden", lift.Findings)
	}
	if c := first.Closing; len(c) != 1 || c[0].Kind != decision.KindMoreToDo {
		t.Errorf("closing of attempt 1: %+v, want more to do", c)
	}
	controls := second.Decisions[1]
	if controls.Current == nil || controls.Current.Outcome != "met" || len(controls.Earlier) != 1 || !controls.Earlier[0].Superseded {
		t.Errorf("decisions on 1.2 in attempt 2: %+v, want met over one superseded", controls)
	}
	if e := second.Decisions[3]; e.Code != "H3/1.10" || e.Text != "" || !e.Current.Carried() {
		t.Errorf("criterion of another unit: %+v", e)
	}
	if len(d.Judges) != 1 || d.Judges[0] != "Marit Solheim, tutor" {
		t.Errorf("judges %q, want Marit Solheim, tutor", d.Judges)
	}
}

// Nothing that was handed in, found or decided is left out, even where the brief has no place for it.
func TestNothingIsLeftOut(t *testing.T) {
	src, _ := portfoliotest.Source(t)
	at := &src.Tasks[0].Attempts[0]
	at.Entries = append(at.Entries, portfolio.Entry{Entry: marking.Entry{Item: "gone", Text: "12"}})
	at.Evidence = append(at.Evidence, portfolio.Evidence{Item: "gone", Digest: "ab", MediaType: "image/jpeg"})
	at.Marking.Findings = append(at.Marking.Findings, marking.Finding{Item: "gone"})
	at.Records = append(at.Records, decision.Record{Kind: decision.KindOverride, Subject: "gone"}, decision.Record{Kind: "unheard_of"})
	for i, task := range portfolio.Assemble(src).Tasks {
		for j, sheet := range task.Attempts {
			entries, findings, files, records := len(sheet.Strays.Entries), len(sheet.Strays.Findings), len(sheet.Strays.Files), len(sheet.Closing)
			for _, st := range sheet.Stages {
				records += len(st.Releases)
				for _, it := range st.Items {
					files, findings, records = files+len(it.Files), findings+len(it.Findings), records+len(it.Checks)
					for _, f := range it.Findings {
						records += len(f.Overrides)
					}
					for _, l := range it.Lines {
						entries += len(l.Earlier)
						if l.Current != nil {
							entries++
						}
					}
				}
			}
			for _, c := range sheet.Decisions {
				records += len(c.Earlier)
				if c.Current != nil {
					records++
				}
			}
			from := src.Tasks[i].Attempts[j]
			want := 0
			if from.Marking != nil {
				want = len(from.Marking.Findings)
			}
			if entries != len(from.Entries) || files != len(from.Evidence) || records != len(from.Records) || findings != want {
				t.Errorf("task %d, attempt %d: %d entries, %d files, %d records, %d findings; want %d, %d, %d, %d",
					i+1, j+1, entries, files, records, findings, len(from.Entries), len(from.Evidence), len(from.Records), want)
			}
		}
	}
}

func TestFiles(t *testing.T) {
	src, _ := portfoliotest.Source(t)
	again := src.Tasks[0].Attempts[0].Evidence[0] // carried over with the item it belongs to
	src.Tasks[0].Attempts[1].Evidence = append(src.Tasks[0].Attempts[1].Evidence, again)
	for i, c := range []struct {
		name  string
		show  portfolio.Show
		same  int
		where string
	}{
		{"IMG_0412.jpg", portfolio.Original, 0, "task-1-attempt-1-item-1"},
		{"IMG_0413.jpg", portfolio.Original, 0, "task-1-attempt-1-item-1"},
		{"wiring sheet.pdf", portfolio.Listed, 0, "task-1-attempt-1-item-5"},
		{"terminals.png", portfolio.Preview, 0, "task-1-attempt-1-item-5"},
		{"IMG_0414.heic", portfolio.Listed, 0, "task-1-attempt-1-item-5"},
		{"IMG_0412.jpg", portfolio.Original, 0, "task-1-attempt-2-item-1"},
		{"IMG_0413.jpg", portfolio.Original, 0, "task-1-attempt-2-item-1"},
		{"IMG_0412.jpg", portfolio.Original, 1, "task-1-attempt-2-item-1"},
	} {
		f := portfolio.Assemble(src).Files[i]
		if f.Number != i+1 || f.Name != c.name || f.Show != c.show || f.SameAs != c.same || f.Where.Anchor != c.where {
			t.Errorf("file %d: %s, show %d, same as %d, at %s; want %+v", f.Number, f.Name, f.Show, f.SameAs, f.Where.Anchor, c)
		}
	}
}

// Given values are told once for the task, and again only for an attempt that drew others.
func TestGiven(t *testing.T) {
	src, _ := portfoliotest.Source(t)
	src.Tasks[0].Attempts[1].Given = map[string]string{"load": "15 kW"}
	task := portfolio.Assemble(src).Tasks[0]
	if len(task.Given) != 2 || task.Given[0].Drawn != "14.5 kW" || task.Given[1].Drawn != "45 W" {
		t.Errorf("given of the task: %+v", task.Given)
	}
	if task.Attempts[0].Given != nil {
		t.Errorf("attempt 1 repeats %+v", task.Attempts[0].Given)
	}
	if g := task.Attempts[1].Given; len(g) != 2 || g[0].Drawn != "15 kW" {
		t.Errorf("given of attempt 2: %+v, want 15 kW", g)
	}
}

// Each attempt is laid out with the limits and values of the rule sets' editions that hold for it.
func TestEachAttemptHasItsOwnRules(t *testing.T) {
	src, _ := portfoliotest.Source(t)
	task := &src.Tasks[0]
	own := *task.Brief
	own.Given, own.Stages = slices.Clone(own.Given), slices.Clone(own.Stages)
	own.Given[1].Value, own.Given[1].Source = "60 W", "Bay 7 limits, edition 2"
	items := slices.Clone(own.Stages[0].Items)
	at := slices.IndexFunc(items, func(it brief.Item) bool { return it.Key == "continuity" })
	reading := *items[at].Reading
	reading.Limit = &brief.Limit{AtMost: "0.1 Ω", Source: "Bay 7 limits, edition 2"}
	items[at].Reading, own.Stages[0].Items = &reading, items
	task.Attempts[1].Brief = &own
	d := portfolio.Assemble(src)
	for i, want := range []string{"0.5 Ω", "0.1 Ω"} {
		if got := d.Tasks[0].Attempts[i].Stages[0].Items[at].Item.Reading.Limit.AtMost; got != want {
			t.Errorf("attempt %d is laid out with the limit %s, want %s", i+1, got, want)
		}
	}
	if g := d.Tasks[0].Attempts[1].Given; len(g) != 2 || g[1].Drawn != "60 W" || g[1].Source == "" || d.Tasks[0].Given[1].Drawn != "45 W" {
		t.Errorf("the given values are %+v, the task's %+v", g, d.Tasks[0].Given)
	}
}
