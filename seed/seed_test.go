package seed

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/marking"
	"witnessmark/internal/trade"
)

func functions() map[string]formula.Function {
	fs := map[string]formula.Function{}
	for _, f := range trade.Functions() {
		fs[f.Name] = f
	}
	return fs
}

// known is the centre's criteria by unit.
func known() map[string][]string {
	codes := map[string][]string{}
	for _, u := range Demonstration().Units {
		for _, o := range u.Outcomes {
			for _, c := range o.Criteria {
				codes[u.Code] = append(codes[u.Code], c.Code)
			}
		}
	}
	return codes
}

// compiled gives every brief, compiled under the centre's rule sets.
func compiled(t *testing.T) []*brief.Compiled {
	t.Helper()
	sources, err := Briefs()
	if err != nil {
		t.Fatal(err)
	}
	var out []*brief.Compiled
	book := rulebook(t)
	for _, s := range sources {
		b, err := brief.Read(s.Source)
		if err != nil {
			t.Fatalf("%s: %v", s.File, err)
		}
		b, lacking := b.Under(book)
		c, ps := brief.Compile(b, functions())
		if c == nil || lacking.Err() != nil {
			t.Fatalf("%s: %v %v", s.File, lacking, ps)
		}
		out = append(out, c)
	}
	return out
}

func TestBriefsAreClean(t *testing.T) {
	for _, c := range compiled(t) {
		if ps := brief.Check(c.Brief, functions(), known()); len(ps) > 0 {
			t.Errorf("%s: %v", c.Brief.Key, ps)
		}
	}
}

func TestModelAnswersMarkThemselvesFull(t *testing.T) {
	for _, c := range compiled(t) {
		for _, f := range marking.ModelFull(c) {
			t.Errorf("%s: %s %s is %s: %s %v", c.Brief.Key, f.Item, f.Phase, f.Verdict, f.Tutor, f.Flags)
		}
	}
}

func TestBriefsPrintAndReadBack(t *testing.T) {
	for _, c := range compiled(t) {
		printed, err := brief.Print(c.Brief)
		if err != nil {
			t.Fatal(err)
		}
		again, err := brief.Read(printed)
		if err != nil {
			t.Fatalf("%s: %v", c.Brief.Key, err)
		}
		twice, err := brief.Print(again)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(printed, twice) {
			t.Errorf("%s: printed twice it differs", c.Brief.Key)
		}
	}
}

// plainSpaces undoes the thin space between number and unit.
var plainSpaces = strings.NewReplacer("\u2009", " ")

// TestEveryDrawCanBeAnswered works the model answer's readings with the values of sixty trainees: every figure has
// a reference and every choice an answer among its options, and within each choice that rests on drawn values alone, itself
// or through figures, more than one answer comes up.
func TestEveryDrawCanBeAnswered(t *testing.T) {
	for _, c := range compiled(t) {
		answers := map[string]map[string]bool{}
		for seed := range int64(60) {
			sheet := marking.ModelSheet(c)
			sheet.Given = brief.Draw(c.Brief, seed)
			r := marking.Mark(c, sheet)
			for _, f := range r.Findings {
				it, _, _ := c.Brief.Item(f.Item)
				switch {
				case it.Figure != nil && f.FromGiven == nil:
					t.Fatalf("%s, seed %d: %s has no reference: %s", c.Brief.Key, seed, f.Item, f.Tutor)
				case it.Choice != nil && !slices.Contains(it.Choice.Words(), plainSpaces.Replace(f.Expected)):
					t.Fatalf("%s, seed %d: %s expects %q, which is no option", c.Brief.Key, seed, f.Item, f.Expected)
				case it.Choice != nil:
					if answers[f.Item] == nil {
						answers[f.Item] = map[string]bool{}
					}
					answers[f.Item][f.Expected] = true
				}
			}
		}
		for item, got := range answers {
			if len(got) < 2 && !measured(c, item) {
				t.Errorf("%s: %s has the same answer for sixty trainees: %v", c.Brief.Key, item, got)
			}
		}
	}
}

// measured reports whether an item rests on a reading, itself or by a figure before it.
func measured(c *brief.Compiled, item string) bool {
	i := slices.IndexFunc(c.Items, func(it brief.CompiledItem) bool { return it.Item.Key == item })
	if c.Items[i].Item.Reading != nil {
		return true
	}
	return slices.ContainsFunc(c.Items[i].Needs(), func(n int) bool { return c.Names[n].Item >= 0 && measured(c, c.Names[n].Name) })
}

func TestEveryCriterionIsCovered(t *testing.T) {
	covered := map[string]bool{}
	for _, c := range compiled(t) {
		for _, ref := range c.Brief.CriterionRefs() {
			covered[ref] = true
		}
	}
	for unit, codes := range known() {
		for _, code := range codes {
			if !covered[unit+"/"+code] {
				t.Errorf("no brief covers %s/%s", unit, code)
			}
		}
	}
}

// TestWorkIsRightForEveryDraw lets the careful trainee work with the values of a hundred and twenty others: whatever a new
// attempt is drawn, the demonstration's good work is good, so that no hold point keeps it up.
func TestWorkIsRightForEveryDraw(t *testing.T) {
	for i, c := range compiled(t) {
		if steps(i) == nil {
			continue // the example attempts are what is worked of it
		}
		held := map[string]bool{}
		for _, st := range c.Brief.Stages {
			if st.Hold != nil {
				for _, key := range st.Hold.Needs {
					held[key] = true
				}
			}
		}
		for seed := range int64(120) {
			given := brief.Draw(c.Brief, seed)
			entries, _ := worked(c.Brief, script{brief: i, params: usual(1.03, 68.5, 11, 0.05, 238)}, given)
			sheet := marking.ModelSheet(c)
			sheet.Given, sheet.Entries = given, nil
			for _, e := range entries {
				sheet.Entries = append(sheet.Entries, e)
			}
			for _, f := range marking.Mark(c, sheet).Findings {
				it, _, _ := c.Brief.Item(f.Item)
				if !f.Verdict.Full() && it.Answer == nil || held[f.Item] && f.Verdict == marking.FollowThrough || len(f.Flags) > 0 && it.Sequence == nil && f.Verdict != marking.FollowThrough { // no times stand on this sheet
					t.Errorf("%s, seed %d, %v: %s is %s: %s %v", c.Brief.Key, seed, given, f.Item, f.Verdict, f.Tutor, f.Flags)
				}
			}
			if t.Failed() {
				break
			}
		}
	}
}

// A hold point that asks for a registration needs somebody who has it.
func TestEveryHoldPointCanBeReleased(t *testing.T) {
	registered := map[string]bool{"": true}
	for _, p := range Demonstration().People {
		for _, kind := range p.Registered {
			registered[kind] = true
		}
	}
	for _, c := range compiled(t) {
		for _, st := range c.Brief.Stages {
			if st.Hold != nil && !registered[st.Hold.Entitlement] {
				t.Errorf("%s: nobody has the registration (%s) to release %s", c.Brief.Key, st.Hold.Entitlement, st.Key)
			}
		}
	}
}

func TestPeopleAndCohorts(t *testing.T) {
	c := Demonstration()
	names := map[string]Person{}
	for _, p := range c.People {
		if _, twice := names[p.SignInName]; twice {
			t.Errorf("the sign-in name %q is there twice", p.SignInName)
		}
		names[p.SignInName] = p
	}
	for _, k := range c.Cohorts {
		for _, n := range slices.Concat(k.Tutors, k.Trainees) {
			if _, ok := names[n]; !ok {
				t.Errorf("%s: nobody is called %q", k.Name, n)
			}
		}
	}
	if got := len(c.Cohorts[0].Trainees); got != 12 {
		t.Errorf("the first cohort has %d trainees, want 12", got)
	}
}
