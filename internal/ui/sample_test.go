package ui

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/decision"
	"witnessmark/internal/formula"
	"witnessmark/internal/marking"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/quantity"
	"witnessmark/internal/store"
	"witnessmark/internal/trade"
)

// when is the moment at which the samples were made.
var when = time.Date(2026, 5, 3, 13, 5, 0, 0, time.UTC)

// hostile is what somebody types who means no good, or has an unusual name.
var hostile = `<script>alert("x")</script>` + "\u202e" + `'"><img src=x onerror=alert(1)>` + strings.Repeat("Wölfe", 40)

func id(n int) uuid.UUID { return uuid.NewSHA1(uuid.NameSpaceOID, []byte{byte(n), byte(n >> 8)}) }

// sampleSheet is an attempt at the sample brief in the state; the later the state, the more is in it.
func sampleSheet(t *testing.T, state decision.State) app.Sheet {
	t.Helper()
	b := sample.Brief()
	s := blankSheet(b).Sheet
	s.ID, s.Number, s.State, s.Revision = id(1), 1, state, 7
	s.Trainee, s.TraineeID, s.Cohort, s.CohortID, s.Version = "Maya Ellison", id(2), "Heating, Tuesday evenings", id(3), 2
	s.SetBy, s.SetAt, s.DueOn = "Owen Tranter", when.AddDate(0, 0, -12), when.AddDate(0, 0, 7)
	for _, ref := range b.CriterionRefs() {
		c := app.SheetCriterion{Ref: ref, Text: "Measure and prove what the installation does, as the brief asks"}
		for _, st := range s.Stages {
			for _, it := range st.Items {
				if slices.Contains(it.Criteria, ref) {
					c.Items = append(c.Items, it.Key)
				}
			}
		}
		s.Criteria = append(s.Criteria, c)
	}
	if state == decision.Planned {
		return s
	}
	s.OpenedAt = when.AddDate(0, 0, -10)
	fillSheet(&s)
	s.Missing = []app.Missing{{Item: "agreed", Text: "Risk assessment: still empty."}, {Item: "why", Text: "What you would tell the customer: still empty."}}
	if state == decision.Open {
		watchSheet(&s)
		return s
	}
	s.HandedAt, s.MarkedAt, s.Declaration, s.Missing = when, when, app.OwnWork, nil
	markSheet(t, b, &s)
	if state == decision.HandedOver || state == decision.Checked {
		return s
	}
	decideSheet(&s)
	return s
}

// fillSheet puts in what a trainee would; the heat output has two digits changed round.
func fillSheet(s *app.Sheet) {
	texts := map[string]string{
		"continuity": "0.12", "qv#1": "12.3", "qv#2": "12.4", "qv#3": "12.5", "tf@as-found": "58.0", "tf@as-left": "69.8", "tr@as-left": "51.3",
		"dt": "18.5", "heat": "18.5", "share": "0.28", "lift": "16.5", "enough": "it gives the load", "tube": "13.6 mm",
		"isolation#prove": brief.Done, "isolation#test": brief.Done, "demand#heat/pump": "runs", "demand#heat/valve": "heating",
		"demand#both/pump": "runs", "demand#both/valve": "hot water", "demand#none/pump": "stands", "noise": "rattles",
	}
	for i := range s.Stages {
		for j := range s.Stages[i].Items {
			it := &s.Stages[i].Items[j]
			for k := range it.Lines {
				l := &it.Lines[k]
				text, ok := texts[decision.Line(l.Item, l.Part, string(l.Phase))]
				if !ok {
					continue
				}
				l.Entry = &app.LineEntry{Text: text, CapturedAt: when.Add(-2 * time.Hour), ReceivedAt: when.Add(-time.Hour)}
				it.Done = true
				if it.Key == "heat" {
					l.Entry.Unit, l.Entry.Working = "kW", "12.4 ÷ 60 × 0.988 × 4.18 × 18.5 = 18.5"
				}
			}
			if it.Reading != nil {
				takenWith(s, i, it)
			}
			if it.Photo != nil {
				it.Done = true
				it.Files = []app.SheetFile{
					{ID: id(20), Name: "bay7-front.jpg", Caption: "The whole rig from the door", MediaType: "image/jpeg", Size: 3_412_000, Width: 4032, Height: 3024, TakenAt: when.Add(-3 * time.Hour), ReceivedAt: when.Add(-time.Hour), Preview: true},
					{ID: id(21), Name: "bay7-pump.jpg", MediaType: "image/jpeg", Size: 2_100_000, Width: 3024, Height: 4032, DeviceAt: when.Add(-3 * time.Hour), ReceivedAt: when.Add(-time.Hour), Preview: true, Order: decision.Before},
				}
			}
		}
	}
}

// takenWith puts an instrument into the trainee's hand whose calibration has run out, and says who helped.
func takenWith(s *app.Sheet, stage int, it *app.SheetItem) {
	in := decision.Instrument{ID: id(60 + stage), Kind: it.Reading.Instrument, Serial: "TC-4471", Due: "2026-04-30"}
	s.Stages[stage].Helped.Entry = &app.LineEntry{Text: "Jo held the lamp.\nI read the meter.", ReceivedAt: when}
	if in.Kind == "" {
		return
	}
	s.Stages[stage].Instruments = []app.SheetInstrument{{Instrument: in, OutOfDate: true, Labels: []app.SheetFile{
		{ID: id(80 + stage), Name: "label.jpg", MediaType: "image/jpeg", Size: 900_000, Width: 3024, Height: 4032, ReceivedAt: when, Preview: true},
	}}}
	it.Files = []app.SheetFile{{ID: id(90 + stage), Name: "sheet.jpg", MediaType: "image/jpeg", Size: 900_000, Width: 3024, Height: 4032, ReceivedAt: when, Preview: true}}
	for k := range it.Lines {
		if it.Lines[k].Entry != nil {
			it.Lines[k].Entry.With = portfolio.ReadWith{Instrument: in, OutOfDate: true}
		}
	}
}

// markSheet has the real marker look at the sheet.
func markSheet(t *testing.T, b *brief.Brief, s *app.Sheet) {
	t.Helper()
	functions := map[string]formula.Function{}
	for _, f := range trade.Functions() {
		functions[f.Name] = f
	}
	compiled, problems := brief.Compile(b, functions)
	if problems.Err() != nil {
		t.Fatalf("compile the sample: %v", problems)
	}
	sheet := marking.Sheet{Given: brief.Draw(b, 1)}
	for _, st := range s.Stages {
		for _, it := range st.Items {
			for _, l := range it.Lines {
				if l.Entry != nil {
					sheet.Entries = append(sheet.Entries, marking.Entry{Item: l.Item, Part: l.Part, Phase: l.Phase, Text: l.Entry.Text, Unit: l.Entry.Unit, Working: l.Entry.Working})
				}
			}
		}
	}
	r := marking.Mark(compiled, sheet)
	s.Flags, s.Marks, s.Available = r.Flags, r.Marks, r.Available
	for i := range s.Stages {
		for j := range s.Stages[i].Items {
			it := &s.Stages[i].Items[j]
			it.Diagnosis = r.Diagnosis(it.Key)
			for k := range it.Lines {
				for n, f := range r.Findings {
					if f.Item == it.Lines[k].Item && f.Part == it.Lines[k].Part && f.Phase == it.Lines[k].Phase {
						it.Lines[k].Finding = &r.Findings[n]
						if e, err := marking.Explain(compiled, sheet, f.Item); err == nil {
							it.Lines[k].Explained = &e
						}
					}
				}
			}
		}
	}
}

// decideSheet stamps every criterion, the last of them "not yet met".
func decideSheet(s *app.Sheet) {
	for i := range s.Criteria {
		r := decision.Record{ID: id(40 + i), Kind: decision.KindCriterion, Subject: s.Criteria[i].Ref, Outcome: string(decision.Met), ByName: "Owen Tranter", At: when}
		if i == len(s.Criteria)-1 {
			r.Outcome, r.Reason, r.Words = string(decision.NotYetMet), "sufficient", "Prove the tester again at the end and say so."
			s.Criteria[i].Blocked = []string{"Safe isolation is safety-critical: step 3 is not ticked."}
		}
		s.Criteria[i].Decision = &r
	}
	if s.State == decision.MoreToDo {
		s.Remark = &decision.Record{Kind: decision.KindMoreToDo, ByName: "Owen Tranter", At: when, Words: "The flow figures are sound.\nProve the tester again, and look at the valve when both call.", Value: "2026-05-20"}
	}
	if s.State == decision.SignedOff {
		s.SignedAt = when
		s.Remark = &decision.Record{Kind: decision.KindSignOff, ByName: "Owen Tranter", At: when, Words: "A tidy job."}
	}
}

// samplePages is every page, named, with nothing, one and many in it, and with hostile text.
func samplePages(t *testing.T) map[string]page {
	t.Helper()
	ps := map[string]page{
		"verify": &VerifyPage{Frame: Frame{Title: "Check a portfolio"}}, "verify-genuine": verifySample(app.VerifiedCentreTime), "verify-altered": verifySample(app.VerifiedAltered),
		"forgotten": &ForgottenPage{Frame: Frame{Title: "I cannot sign in"}, Letters: true}, "forgotten-asked": &ForgottenPage{Frame: Frame{Title: "I cannot sign in"}, Letters: true, Asked: true},
		"forgotten-no-letters": &ForgottenPage{Frame: Frame{Title: "I cannot sign in"}},
		"sign-in":              &SignInPage{Frame: Frame{Title: "Sign in"}, Next: "/"}, "fault": &FaultPage{Frame: Frame{Title: "This has changed since you looked"}, Message: "Somebody else decided this criterion while you were writing.", Again: true, Back: "/"},
		"invitation": &InvitationPage{Frame: Frame{Title: "Choose your password"}, Token: "abc", Invited: "Maya Ellison", SignInName: "maya"},
		"plan":       &PlanPage{Frame: Frame{Title: "Plan", Here: "/tasks"}, Sheet: sampleView(t, decision.Planned, true)},
	}
	for _, st := range []decision.State{decision.Open, decision.HandedOver, decision.MoreToDo, decision.SignedOff} {
		v := sampleView(t, st, true)
		v.Findings = v.Closed()
		ps["work-"+string(st)] = &WorkPage{Frame: Frame{Title: v.BriefTitle, Here: "/tasks"}, Sheet: v, Next: id(9)}
	}
	for _, st := range []decision.State{decision.Planned, decision.Open, decision.Checked, decision.Decided, decision.SignedOff} {
		ps["judge-"+string(st)] = tutorsPage(sampleView(t, st, false))
	}
	decidingPages(t, ps)
	for name, n := range map[string]int{"empty": 0, "one": 1, "many": 200, "hostile": 2} {
		sampleLists(ps, name, n)
	}
	b := sample.Brief()
	text := app.BriefText{Brief: b}
	text.BriefVersion.Title, text.BriefVersion.Version, text.State, text.WrittenAt, text.WriterName, text.Key = b.Title, 2, "draft", when, "Owen Tranter", b.Key
	text.Problems = brief.Problems{{Line: 12, Column: 18, Text: "This figure's formula uses tf, which comes later.", Hint: "Did you mean “tr”?", Source: "          formula: tf − tr"}, {Line: 3, Column: 1, Text: "The title is short.", Warning: true, Source: "title: A"}}
	ps["brief"] = &BriefPage{Frame: Frame{Title: b.Title, Here: "/briefs"}, Text: text, Sheet: blankSheet(b), MayWrite: true}
	ps["brief-unread"] = &BriefPage{Frame: Frame{Title: "Draft", Here: "/briefs"}, Text: app.BriefText{Problems: text.Problems}}
	ps["blank"] = &BlankPage{Frame: Frame{Title: b.Title, Here: "/briefs"}, Text: text, Sheet: blankSheet(b)}
	ps["blank-tutor"] = &BlankPage{Frame: Frame{Title: b.Title, Here: "/briefs"}, Text: text, Sheet: blankSheet(b), Tutor: true}
	samplePagesOfWriting(t, ps, text.Problems)
	samplePagesOfPeople(ps)
	ps["centre"] = &CentrePage{Frame: Frame{Title: "The centre", Here: "/centre"}, Entries: []CentrePlace{{"/people", "People", "Who belongs to the centre.", "2 people have no password yet."}}, Photos: "previews", Choices: photoChoices()}
	samplePagesOfRules(t, ps)
	samplePagesOfRegister(ps)
	samplePagesOfSampling(ps)
	samplePagesOfVisits(t, ps)
	samplePagesOfTheLog(ps)
	samplePagesOfStandards(t, ps)
	samplePagesOfSeeing(ps)
	samplePagesOfSeals(t, ps)
	samplePagesOfMarking(t, ps)
	for name, tried := range map[string]bool{"trial": false, "trial-marked": true} {
		v := sampleView(t, decision.Checked, false)
		v.Trying, v.Tutor, v.Findings = true, true, tried
		p := &TrialPage{Frame: Frame{Title: "Try it: " + v.BriefTitle, Here: "/briefs"}, Sheet: v, Back: "/briefs/x/1", Draw: 7, Other: 8, Tried: tried}
		p.count()
		ps[name] = p
	}
	ps["reference"] = &ReferencePage{Frame: Frame{Title: "Functions for formulas", Here: "/briefs"}, Subjects: []SubjectView{{Key: "tube", Title: "Tube", Functions: sampleFunctions()}}, Builtins: formula.Builtins()}
	ps["reference-none"] = &ReferencePage{Frame: Frame{Title: "Functions for formulas", Here: "/briefs"}, Search: "no such thing"}
	return ps
}

// sampleFunctions is one function with all that can be said of it, and one with nothing.
func sampleFunctions() []FunctionView {
	mm := quantity.MustUnit("mm")
	double := formula.Function{
		Name: "twice", About: "Twice a length.", Source: "arithmetic", Params: []formula.Param{{Name: "l", Unit: mm, About: "a length"}}, Result: mm,
		Call: func(x []float64) (float64, error) { return 2 * x[0], nil },
	}
	full := app.TradeEntry{Function: double, Formula: "2 l", Range: "Any length.", Example: []string{"4 mm"}, Gives: "8 mm"}
	full.Chart.Over, full.Chart.From, full.Chart.To = "l", "1 mm", "10 mm"
	bare := app.TradeEntry{Function: double, Method: "addition"}
	bare.Name = "again"
	return []FunctionView{newFunctionView(full), newFunctionView(bare)}
}

func sampleView(t *testing.T, st decision.State, own bool) *SheetView {
	s := sampleSheet(t, st)
	s.Own, s.Judge, s.Record = own, !own, own && st == decision.Open
	for i := range s.Stages {
		if h := s.Stages[i].Hold; h != nil {
			h.MayRelease = !own
			if st != decision.Open && st != decision.Planned {
				h.Release = &decision.Record{ByName: "Owen Tranter", At: when.AddDate(0, 0, -2), Words: "Covers on, tested dead."}
			}
		}
	}
	return newSheetView(s, Form{})
}

// sampleLists makes the pages that are lists, with n rows each.
func sampleLists(ps map[string]page, name string, n int) {
	person, title := "Maya Ellison", "Prove the heat output of Bay 7"
	if name == "hostile" {
		person, title = hostile, hostile
	}
	tasks := &TasksPage{Frame: Frame{Title: "My tasks", Here: "/tasks", Notice: "Kept."}}
	people := &PeoplePage{Frame: Frame{Title: "People", Here: "/people"}, Roles: account.Roles(), Searched: name == "hostile", Pages: Paged{Address: "/people?find=a", Page: 2, Of: 3, All: 410},
		Find: findFields(url.Values{"find": {person}, "cohort": {"k"}}, app.PeopleFound{PeopleFound: store.PeopleFound{Cohorts: []app.Titled{{Key: "k", Title: title}}, Units: []app.Titled{{Key: "H2", Title: title}}}})}
	stop := &StopPage{Frame: Frame{Title: "Stop somebody's work", Here: "/centre"}, Find: Field{ID: "find", Name: "find", Label: "Trainee or cohort", Kind: "text", Value: person}, Shown: n, All: 2 * n}
	bench := &BenchPage{Frame: Frame{Title: "Bench", Here: "/bench"}}
	folios := &PortfoliosPage{Frame: Frame{Title: "Portfolios", Here: "/portfolios"}, MayAsk: true, SetForm: Form{Which: "portfolios"}, Sets: portfolioSets()}
	briefs := &BriefsPage{Frame: Frame{Title: "Briefs", Here: "/briefs"}, MayWrite: true}
	members := &MembersPage{Frame: Frame{Title: "Members", Here: "/cohorts"}, May: true}
	board := &BoardPage{Frame: Frame{Title: "Heating", Here: "/cohorts"}, MaySet: true, Briefs: []Option{{Text: "choose"}}}
	board.Board.Name, members.Cohort.Name = "Heating, Tuesday evenings", "Heating, Tuesday evenings"
	task := app.BoardTask{Unset: []app.Member{{Person: id(400), Name: "Dai Late"}}}
	task.ID, task.FromOn, task.DueOn, task.Attempts, task.ObserverName = id(5), when, when.AddDate(0, 0, 14), 2, "Owen Tranter"
	task.Title, task.Version, task.SetByName, task.SetAt = title, 2, "Owen Tranter", when
	for i, st := range sample.Brief().Stages {
		task.Stages = append(task.Stages, app.BoardStage{Number: i + 1, Key: st.Key, Title: st.Title, Hold: st.Hold != nil})
	}
	states := []decision.State{decision.Planned, decision.Open, decision.Checked, decision.SignedOff}
	for i := range n {
		st := states[i%len(states)]
		tasks.sort(TaskRow{Attempt: id(i), Number: 1 + i%2, Title: title, Cohort: "Heating", SetBy: "Owen Tranter", SetAt: when, DueOn: when, State: st, OpenedAt: when, HandedOverAt: when, SignedOffAt: when, Late: i%3 == 1})
		people.People = append(people.People, PersonRow{ID: id(i), Name: person, SignInName: fmt.Sprintf("maya.%d", i), Email: "maya@example.org", Roles: []account.Role{account.Trainee, account.Manager}, Invited: i%2 == 1, Registrations: []account.Registration{{Kind: "gas", Number: "77", ValidTo: when}}})
		bench.Waiting = append(bench.Waiting, WaitingRow{Attempt: id(i), Trainee: person, Title: title, Cohort: "Heating", Number: 1, State: decision.Checked, At: when.Add(-time.Duration(i) * time.Hour), Now: when})
		bench.Cohorts = append(bench.Cohorts, CohortRow{ID: id(i), Name: title, Trainees: 12, Tasks: 3, Waiting: 2})
		folios.Rows = append(folios.Rows, PortfolioRow{ID: id(i), Trainee: person, Unit: "H2", Title: title, By: "Ada Quill", At: when, BuiltAt: when, State: []string{"ready", "building", "failed"}[i%3], Size: 12_400_000})
		briefs.Briefs = append(briefs.Briefs, BriefRow{ID: id(i), Version: 2, Title: title, By: person, Units: []string{"H2", "H3"}, State: "published", PublishedAt: when})
		stop.Cohorts = append(stop.Cohorts, AtWorkCohort{ID: id(i), Name: title, Rows: []AtWorkRow{{app.AtWork{Attempt: id(i), TraineeName: person, Title: title, State: st, LastAt: when}}}})
		row := app.BoardRow{Stamps: []app.Stamp{{Done: 4, Total: 4}, {Done: i % 3, Total: 2, Holding: i%2 == 0}, {Total: 3}, {Total: 7}}, Where: "started 24 April, waiting at the hold point before stage 2"}
		row.TraineeName, row.Trainee, row.Attempt, row.Number, row.State, row.DueOn = person, id(i), id(i), 1+i%3, st, when.AddDate(0, 0, 20)
		if i%2 == 0 {
			row.Hold = 2
		}
		task.Rows = append(task.Rows, row)
	}
	members.Cohort.Trainees = slices.Grow(members.Cohort.Trainees, n)[:n]
	for i := range members.Cohort.Trainees {
		members.Cohort.Trainees[i].Name, members.Cohort.Trainees[i].Person = person, id(i)
	}
	if n > 0 {
		board.Board.Tasks = append(board.Board.Tasks, task)
		people.Invitation = &InvitationLink{Name: person, Address: "https://centre.example.org/invitation/abc", Expires: when}
	}
	ps["stop-"+name] = stop
	ps["tasks-"+name], ps["people-"+name], ps["bench-"+name], ps["portfolios-"+name] = tasks, people, bench, folios
	ps["briefs-"+name], ps["members-"+name], ps["board-"+name] = briefs, members, board
	ps["cohorts-"+name] = &CohortsPage{Frame: Frame{Title: "Cohorts", Here: "/cohorts"}, Cohorts: bench.Cohorts, MayAdd: true}
}
