package ui

import (
	"net/url"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// today is the day of the samples, as a date.
var today = time.Date(2026, 5, 3, 0, 0, 0, 0, time.UTC)

// sampleEdition is an edition of a rule set with the days given as year, month and day apart from May; checked unless draft.
func sampleEdition(n int, name string, from, to time.Time, draft bool) app.RuleEdition {
	e := app.RuleEdition{
		ID: id(n), Key: "bay7-electrical", Edition: name, Title: "Bay 7 electrical limits", Digest: strings.Repeat("ab", 32), ValidFrom: from, LastDay: to,
		Demonstration: true, EntererName: "Morag Ellingham", EnteredAt: when,
	}
	if !draft {
		e.CheckerName, e.CheckedAt = "Kwabena Rathmell", when
	}
	return e
}

// sampleRules is the text of an edition with a rule of every kind.
func sampleRules(t *testing.T) (string, *brief.RuleSet) {
	t.Helper()
	rs, err := brief.ReadRules([]byte(rulesStarter))
	if err != nil {
		t.Fatal(err)
	}
	return rulesStarter, rs
}

// samplePagesOfRules adds the pages of rule sets.
func samplePagesOfRules(t *testing.T, ps map[string]page) {
	t.Helper()
	source, rs := sampleRules(t)
	first := sampleEdition(60, "1, 2026", today.AddDate(0, -4, 0), today.AddDate(0, 1, 0), false)
	next := sampleEdition(61, "2, 2026", today.AddDate(0, 1, 1), time.Time{}, true)
	for name, n := range map[string]int{"empty": 0, "one": 1, "many": 200, "hostile": 2} {
		p := &RulesPage{Frame: Frame{Title: "Rule sets", Here: "/rules"}, MayWrite: true}
		for i := range n {
			set := RuleSetView{Key: "bay7-electrical", Title: first.Title, Demonstration: i%2 == 0, Editions: []RuleRow{{next, today}, {first, today}}}
			if name == "hostile" {
				set.Title, set.Editions[0].Edition, set.Editions[0].EntererName = hostile, hostile, hostile
			}
			p.Sets = append(p.Sets, set)
		}
		ps["rules-"+name] = p
	}
	ends := []app.RuleEnd{{Edition: first, LastDay: "2026-05-31", Cuts: true}}
	text := app.RuleText{RuleEdition: next, Set: rs, Ends: ends, MayCheck: true, Briefs: []app.BriefVersion{{Brief: id(5), Version: 2, Title: "Safe isolation", State: "published", Rules: []string{"bay7-electrical/cpc"}}}}
	text.Source = source
	ps["rule-draft"] = &RulePage{Frame: Frame{Title: next.Title, Here: "/rules"}, Text: text, Row: RuleRow{next, today}, Others: []RuleRow{{first, today}}, MayWrite: true}
	own := text
	own.MayCheck, own.WhyNot = false, "You entered this edition, so somebody else has to check it."
	ps["rule-own"] = &RulePage{Frame: Frame{Title: next.Title, Here: "/rules"}, Text: own, Row: RuleRow{next, today}, MayWrite: true}
	checked := app.RuleText{RuleEdition: first, Set: rs}
	ps["rule-checked"] = &RulePage{Frame: Frame{Title: first.Title, Here: "/rules"}, Text: checked, Row: RuleRow{first, today}}
	problems := brief.Problems{{Line: 5, Column: 13, Path: "valid-from", Text: "No edition of “bay7-electrical” is in force from 1 July 2026 to 14 July 2026.", Source: "valid-from: 2026-07-15"}}
	ps["rule-unread"] = &RulePage{Frame: Frame{Title: "Draft", Here: "/rules"}, Text: app.RuleText{RuleEdition: next, Problems: problems}, Row: RuleRow{next, today}}
	ps["ruleedit"] = &EditRulesPage{Frame: Frame{Title: "A rule set", Here: "/rules"}, Source: source, Checked: true, Problems: problems, Back: "/rules/" + id(61).String()}
	ps["ruleedit-new"] = &EditRulesPage{Frame: Frame{Title: "A new rule set", Here: "/rules"}, Source: source}
	ps["concerned-none"] = &ConcernedPage{Frame: Frame{Title: "What it changes", Here: "/rules"}, Report: app.RuleReport{Edition: first}, Row: RuleRow{first, today}}
	change := app.RuleChange{Key: "cpc", Is: "resistance of the protective conductor", Was: "at most 0.5 Ω", Now: "at most 0.4 Ω"}
	report := app.RuleReport{Edition: next, Before: &first, Changes: []app.RuleChange{change, {Key: "cv", Is: "calorific value", Now: "39 MJ/m³"}}, Hidden: 3,
		Briefs: []app.ConcernedBrief{{BriefVersion: text.Briefs[0], Changes: []app.RuleChange{change}, Problems: []string{"The model answer for share does not mark itself full."}}}}
	for name, n := range map[string]int{"one": 1, "many": 200, "hostile": 5} {
		p := &ConcernedPage{Frame: Frame{Title: "What it changes", Here: "/rules"}, Report: report, Row: RuleRow{next, today}}
		for i := range n {
			p.sort([]app.ConcernedAttempt{sampleConcerned(i, name == "hostile")})
		}
		ps["concerned-"+name] = p
	}
	ruled := sampleView(t, decision.Checked, false)
	ruled.Rules, ruled.Others = []app.RuleEdition{first}, []app.RuleEdition{sampleEdition(62, "3", today, time.Time{}, false)}
	ruled.Records = append(ruled.Records, decision.Record{Kind: decision.KindMarkAgain, Subject: "bay7-electrical", Outcome: "1, 2026", Value: "3", ByName: "Morag Ellingham", At: when, Words: "It held that day."})
	ps["judge-ruled"] = newJudgePage(ruled)
	lacking := sampleView(t, decision.HandedOver, true)
	lacking.Lacking = []string{"No edition of the rule set “bay7-gas” is in force on 3 May 2026."}
	ps["work-lacking"] = &WorkPage{Frame: Frame{Title: lacking.BriefTitle, Here: "/tasks"}, Sheet: lacking}
}

func sampleConcerned(i int, odd bool) app.ConcernedAttempt {
	at := app.ConcernedAttempt{Attempt: id(i), Trainee: "Maya Ellison", Cohort: "Heating, Tuesday evenings", Brief: "Safe isolation", Number: 1 + i%2, State: decision.Checked, HandedAt: when, MarkedAt: when,
		Under: "1, 2026", Late: i%3 == 0, HandedLate: i%6 == 0, MayMark: i%2 == 0,
		Lines: []app.ConcernedLine{{Item: "Continuity of the protective conductor", Stated: "0.45 Ω", Was: "at most 0.5 Ω", Now: "at most 0.4 Ω", Verdict: marking.WithinLimit, Would: marking.OutsideLimit}}}
	if i%4 == 3 {
		at.State, at.Under, at.Lines, at.MayMark, at.HandedAt = decision.Open, "", nil, false, time.Time{}
	}
	if odd {
		at.Trainee, at.Cohort, at.Brief = hostile, hostile, hostile
	}
	return at
}

func TestStateOfAnEditionInWords(t *testing.T) {
	d := func(month time.Month, day int) time.Time { return time.Date(2026, month, day, 0, 0, 0, 0, time.UTC) }
	for _, c := range []struct {
		from, to time.Time
		draft    bool
		want     string
	}{
		{d(1, 1), time.Time{}, true, "draft, waits to be checked"},
		{d(1, 1), time.Time{}, false, "in force since 1 January 2026"},
		{d(1, 1), d(5, 3), false, "in force since 1 January 2026, to 3 May 2026"},
		{d(1, 1), d(5, 2), false, "was in force from 1 January 2026 to 2 May 2026"},
		{d(5, 4), time.Time{}, false, "from 4 May 2026"},
		{d(5, 4), d(5, 31), false, "from 4 May 2026 to 31 May 2026"},
		{d(5, 4), d(5, 3), false, "never came into force"},
	} {
		if got := (RuleRow{sampleEdition(1, "1", c.from, c.to, c.draft), today}).Words(); got != c.want {
			t.Errorf("from %v to %v: %q, want %q", c.from, c.to, got, c.want)
		}
	}
}

// An edition on the pages: entered, checked by somebody else, changed; a brief that names it says where its limits come from.
func TestRuleSetsOnThePages(t *testing.T) {
	s := newSite(t)
	tutor, manager, trainee := s.in(t, "tutor"), s.in(t, "manager"), s.in(t, "trainee")
	tutor.get(t, "/rules").want(t, 200, "No rule set is entered yet.", `href="/rules/new"`)
	trainee.get(t, "/rules").want(t, 403, "This is for a tutor")
	tutor.get(t, "/rules/new").want(t, 200, "rule-set: 1")
	tutor.post(t, "/rules", url.Values{"source": {rulesStarter}, "do": {"check"}}).want(t, 200, "It can be checked by somebody else")
	ended := strings.Replace(rulesStarter, "source:", "valid-to: 2025-12-31\nsource:", 1)
	tutor.post(t, "/rules", url.Values{"source": {ended}, "do": {"save"}}).want(t, 422, "ends on 31 December 2025, before it starts on 1 January 2026", "Line 6")
	a := tutor.post(t, "/rules", url.Values{"source": {rulesStarter}, "do": {"save"}})
	at := a.header.Get("Location")
	if a.status != 303 || !strings.HasPrefix(at, "/rules/") {
		t.Fatalf("saving went to %q with %d", at, a.status)
	}
	digest := brief.Digest([]byte(rulesStarter))
	tutor.get(t, at).want(t, 200, "The draft is kept", "somebody else has to", "At most", "0.5\u202fΩ", "39\u202fMJ/m³", "Only its rows", "No brief names a rule of this set yet")
	tutor.post(t, at+"/check", url.Values{"digest": {digest}}).want(t, 403, "somebody else has to")
	manager.get(t, at).want(t, 200, "I have checked it")
	manager.post(t, at+"/check", url.Values{"digest": {strings.Repeat("0", 64)}}).want(t, 409, "saved this edition after you opened it")
	manager.post(t, at+"/check", url.Values{"digest": {digest}}).sent(t, at)
	manager.get(t, at).want(t, 200, "never changes", "In force since 1 January 2026", "Write the next edition")
	next := strings.NewReplacer(`"1"`, `"2"`, "0.5 Ω", "0.4 Ω").Replace(rulesStarter)
	next = strings.Replace(next, "valid-from", "valid-to: 2026-12-31\nvalid-from", 1)
	tutor.post(t, "/rules", url.Values{"source": {next}, "over": {digest}, "do": {"save"}}).want(t, 303)
	b := sample.Brief()
	b.Key, b.Stages[0].Items[2].Reading.Limit = "ruled", &brief.Limit{Rule: "my-limits/cpc"}
	ruled, err := brief.Print(b)
	must(t, err)
	page := tutor.post(t, "/briefs", url.Values{"source": {string(ruled)}, "do": {"save"}}).header.Get("Location")
	tutor.get(t, page).want(t, 200, `<a href="`+at+`">Limits of our own, edition 1</a>`, "Limits of our own, edition 1, the standard&#39;s name")
	tutor.get(t, page+"/blank").want(t, 200, "Limits and values as they are today, from Limits of our own, edition 1")
	manager.get(t, at).want(t, 200, `<a href="`+page+`">`, "cpc")
	list := tutor.get(t, "/rules")
	list.want(t, 200, "Draft, waits to be checked", "Edition 2", "Edition 1")
}
