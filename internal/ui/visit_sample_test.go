package ui

import (
	"testing"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// samplePagesOfVisits adds the pages of a verifier's visit, and of keeping and erasing, with nothing, much and hostile words.
func samplePagesOfVisits(t *testing.T, ps map[string]page) {
	t.Helper()
	for name, n := range map[string]int{"empty": 0, "many": 60, "hostile": 2} {
		word := "Vera Outside"
		if name == "hostile" {
			word = hostile
		}
		sampleVisits(ps, name, word, n)
		ps["visitsheet-"+name] = sampleVisitSheet(t, word, n)
		ps["keeping-"+name], ps["purge-"+name] = sampleKeeping(word, n), samplePurge(word, n)
	}
}

func sampleVisit(word string, i int) app.Visit {
	v := app.Visit{ID: id(i), Verifier: id(1), VerifierName: word, Unit: "H2", UnitTitle: word, Words: word, ArrangedByName: word, ArrangedAt: when, EndsAt: when.AddDate(0, 0, 10), Reach: 80, Listed: 61, Views: 90}
	switch i % 4 {
	case 1:
		v.OpenedAt = when
	case 2:
		v.EndsAt = when.AddDate(0, 0, -1)
	case 3:
		v.EndedAt, v.EndedByName = when, word
	}
	return v
}

// sampleVisits adds the lists of visits, and one as the centre and as its verifier see it.
func sampleVisits(ps map[string]page, name, word string, n int) {
	link, people := &InvitationLink{Name: word, Address: "https://centre.example.org/visit/open/abc", Expires: when}, []Option{{Text: word}}
	row, pages := VisitRow{sampleVisit(word, 1), when}, Paged{Address: "/visit", Page: 2, Of: 3, All: 61}
	all := &VisitsPage{Frame: Frame{Title: "Visits", Here: "/centre"}, Verifiers: people, Units: people, Cohorts: people}
	report := &VisitReportPage{Frame: Frame{Title: "Visit", Here: "/centre"}, Row: row, Report: app.VisitReport{Visit: row.Visit}}
	mine := &VisitPage{Frame: Frame{Title: "Your visit", Here: "/visit"}, Row: row, Owners: people, My: app.MyVisit{Visit: row.Visit}}
	reach := &VisitReachPage{Frame: Frame{Title: "Choose or draw more", Here: "/visit"}, Reach: app.VisitReach{Visit: row.Visit}}
	if n == 0 {
		reach.Reach.Reach = reach.Reach.Listed // nothing is left
	} else {
		report.Report.Sets = []app.PortfolioSet{{ID: id(9), Visit: id(1), VerifierName: word, Unit: "H2", RequestedByName: word, RequestedAt: when, Total: n, Ready: n % 7}}
		all.Link, report.Link, mine.Pages, reach.Pages = link, link, pages, pages
	}
	for i := range n {
		all.Visits = append(all.Visits, VisitRow{sampleVisit(word, i), when})
		at := app.VisitAttempt{ID: id(i), Number: 1 + i%2, State: decision.SignedOff, TraineeName: word, BriefTitle: word, CohortName: word, PickedBy: id(i % 2), Draw: i % 3, Looked: i % 2}
		if i%2 == 0 {
			at.Tutor, at.DecidedAt = word, when
		}
		mine.My.Attempts, reach.Reach.Attempts = append(mine.My.Attempts, at), append(reach.Reach.Attempts, at)
		mine.My.Portfolios = append(mine.My.Portfolios, app.Portfolio{ID: id(i), TraineeName: word, Unit: "H2", Size: 12_400_000, BuiltAt: when})
		note := app.VisitNote{ID: id(i), About: []string{word, ""}[i%2], Finding: []app.VisitFinding{"confirmed", "not_confirmed", "remark"}[i%3], Words: word, At: when}
		draw := app.VisitDraw{Number: i + 1, Seed: "00112233445566778899aabbccddeeff", Digest: "5e88", Listed: 80, Size: 8, At: when}
		mine.My.Notes, report.Report.Notes = append(mine.My.Notes, note), append(report.Report.Notes, note)
		mine.My.Actions, report.Report.Actions = append(mine.My.Actions, sampleAction(word, i)), append(report.Report.Actions, sampleAction(word, i))
		reach.Reach.Draws, report.Report.Draws = append(reach.Reach.Draws, draw), append(report.Report.Draws, draw)
		report.Report.Looked = append(report.Report.Looked, app.VisitView{What: []app.VisitLook{"opened", "list", "attempt", "file", "portfolio"}[i%5], About: word, At: when})
	}
	ps["visits-"+name], ps["visitreport-"+name], ps["visit-"+name], ps["visitreach-"+name] = all, report, mine, reach
	ps["visitopen-"+name] = &VisitOpenPage{Frame: Frame{Title: "Open your visit"}, Visit: row, Token: "abc"}
}

// sampleVisitSheet is an attempt as a verifier sees it; the words of hostile people stand in what was written.
func sampleVisitSheet(t *testing.T, word string, n int) *VisitSheetPage {
	t.Helper()
	s := app.VisitedSheet{Sheet: sampleSheet(t, decision.SignedOff), BriefDigest: "5e88", WrittenBy: word, PublishedBy: word, PublishedAt: when, Engine: "7"}
	s.Trainee = word
	if n == 0 {
		s.Sheet, s.Engine = sampleSheet(t, decision.Planned), ""
	}
	for i := range n {
		s.Notes = append(s.Notes, app.VisitNote{ID: id(i), Finding: []app.VisitFinding{"confirmed", "not_confirmed", "remark"}[i%3], Words: word, At: when})
	}
	v := newSheetView(s.Sheet, Form{})
	v.Tutor, v.Findings = true, true
	return &VisitSheetPage{Frame: Frame{Title: "Attempt", Here: "/visit"}, Visited: s, Sheet: v, Criteria: v.Each(), Owners: []Option{{Text: word}}}
}

func sampleKeeping(word string, n int) *KeepingPage {
	p := &KeepingPage{Frame: Frame{Title: "Keeping and erasing", Here: "/centre"}, Kinds: []Option{{Text: "work"}}, Units: []Option{{Text: "every unit"}}, People: []Option{{Text: word}}}
	p.Keeping.May = n > 0
	for i := range n {
		rule := app.RetentionRule{ID: id(i), Kind: []app.RetentionKind{"decisions", "work", "details"}[i%3], Months: 36, Words: word, At: when}
		hold := app.LegalHold{ID: id(i), PersonName: word, Words: word, PlacedByName: word, PlacedAt: when}
		purge := app.Purge{ID: id(i), ProposedByName: word, ProposedAt: when, Items: 12}
		if i%2 == 0 {
			rule.Unit, rule.ByName = "H2", word
			hold.Attempt, hold.LiftedByName, hold.LiftedAt, hold.LiftedWords = id(i), word, when, word
			purge.ApprovedByName, purge.ApprovedAt, purge.Erased = word, when, 3
		} else if i%3 == 0 {
			purge.DroppedByName, purge.DroppedAt = word, when
		}
		p.Keeping.Rules, p.Keeping.Holds, p.Keeping.Purges = append(p.Keeping.Rules, rule), append(p.Keeping.Holds, hold), append(p.Keeping.Purges, purge)
	}
	return p
}

// samplePurge is a proposal that the reader may approve, or may not yet.
func samplePurge(word string, n int) *PurgePage {
	p := &PurgePage{Frame: Frame{Title: "To be erased", Here: "/centre"}, Pages: Paged{Address: "/keeping/x", Page: 1, Of: 3, All: n}}
	p.Purge.Purge = app.Purge{ID: id(1), ProposedByName: word, ProposedAt: when, Items: n}
	p.Purge.Approve = app.Leave{May: n > 0, Why: "You proposed it, so another person approves it."}
	for i := range n {
		it := app.PurgeItem{PersonName: word, About: word, Due: when, Rule: word, Held: i%3 == 0}
		if i%3 == 1 {
			it.ErasedAt = when
		}
		p.Purge.Items = append(p.Purge.Items, it)
	}
	return p
}
