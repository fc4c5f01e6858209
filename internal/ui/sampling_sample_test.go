package ui

import (
	"net/url"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/sampling"
	"witnessmark/internal/store"
)

// samplePagesOfSampling adds the pages of sampling, actions and claims, with nothing, much and hostile words.
func samplePagesOfSampling(ps map[string]page) {
	for name, n := range map[string]int{"empty": 0, "many": 40, "hostile": 2} {
		word := "Spring, new tutors"
		if name == "hostile" {
			word = hostile
		}
		ps["sampling-"+name], ps["samplingplan-"+name] = sampleSampling(word, n), samplePlanned(word, n)
		ps["sample-"+name], ps["sampled-"+name] = sampleSample(word, n), sampleSampled(word, n)
		again := &DrawnAgainPage{Frame: Frame{Title: "Drawn again", Here: "/centre"}, Again: app.DrawnAgain{SampleDrawn: sampleDrawn(word), Same: n == 0, Drawn: make([]uuid.UUID, n)}}
		ps["drawnagain-"+name], ps["actions-"+name] = again, sampleActions(word, n)
		sampleClaims(ps, name, word, n)
	}
}

func sampleDrawn(word string) app.SampleDrawn {
	return app.SampleDrawn{ID: id(1), Plan: id(2), PlanName: word, Stage: app.Final, Share: 20, Number: 1, Seed: "00112233445566778899aabbccddeeff", Digest: "5e88", Listed: 96, Size: 10,
		Words: sampling.Before(96, 10), ByName: word, At: when, Looked: 4, Found: 1}
}

func sampleSampling(word string, n int) *SamplingPage {
	p := &SamplingPage{Frame: Frame{Title: "Sampling", Here: "/centre"}, May: n != 1, Units: []Option{{Text: word}}, Cohorts: []Option{{Text: word}}}
	mend := &fault.Error{Message: "Two things are to be mended.", Fields: []fault.Field{{Name: string(sampling.SafetyWork), Message: "From 0 to 9."}, {Name: "share", Message: "From 1 to 100."}}}
	p.Form = newForm("plan", url.Values{"name": {word}, string(sampling.SafetyWork): {word}}, mend, 422)
	p.Factors = factorFields(p.Form)
	for i := range n {
		plan := app.SamplingPlan{ID: id(i), Name: word, Stage: app.Interim, Unit: "H2", CohortName: word, Share: 20, Words: word, ByName: word, At: when, Samples: i}
		drawn := sampleDrawn(word)
		if i%2 == 0 {
			plan.Stage, plan.Unit, drawn.SettledAt = app.Final, "", when
		}
		p.Sampling.Plans, p.Sampling.Samples = append(p.Sampling.Plans, plan), append(p.Sampling.Samples, drawn)
	}
	return p
}

func samplePlanned(word string, n int) *SamplingPlanPage {
	p := &SamplingPlanPage{Frame: Frame{Title: word, Here: "/centre"}, Ends: true}
	p.Planned = app.PlannedSample{Plan: app.SamplingPlan{ID: id(1), Name: word, Stage: app.Final, Share: 20, CohortName: word, Words: word, ByName: word, At: when}, Listed: n * 3, Size: n, May: true}
	if n == 0 {
		p.Planned.Plan.EndedAt = when
	} else {
		p.Planned.Words, p.Planned.Enough = sampling.Before(n*3, n), sampling.EnoughFor(n*3)
	}
	for i := range n {
		s := app.PlannedStratum{Assessor: word, Units: "H2 + H3", Method: "watched", Site: "on site", Listed: 3, Risk: i}
		if i%2 == 0 {
			s.Why = sampling.Factors()
		}
		p.Planned.Strata = append(p.Planned.Strata, s)
	}
	return p
}

func sampleSample(word string, n int) *SamplePage {
	p := &SamplePage{Frame: Frame{Title: word, Here: "/centre"}, Sample: app.SampleSheet{May: true, Clearable: n, Shows: sampling.After(96, 4, 1)}}
	p.Sample.Sample = sampleDrawn(word)
	if n == 0 {
		p.Sample.Looked, p.Sample.Found, p.Sample.Shows = 0, 0, p.Sample.Words
	}
	outcomes := append(decision.SampleOutcomes(), "")
	for i := range n {
		d := sampleDrawnAttempt(word, i)
		if d.Outcome = outcomes[i%len(outcomes)]; d.Outcome != "" {
			d.ByName, d.At, d.Words = word, when, word
		}
		p.Sample.Drawn = append(p.Sample.Drawn, d)
		p.Sample.Strata = append(p.Sample.Strata, app.SampleStratum{AssessorName: word, Units: "H2", Method: "from evidence", Site: "at the centre", Listed: 9, Drawn: 2, Looked: i % 3, Found: i % 2, Signed: 7})
		p.Sample.Actions = append(p.Sample.Actions, sampleAction(word, i))
	}
	return p
}

func sampleDrawnAttempt(word string, i int) app.Drawn {
	d := app.Drawn{Attempt: id(i), TraineeName: word, Title: word, Number: 1 + i%2, State: decision.SignedOff, Revision: 7, Assessor: id(3), AssessorName: word, Units: "H2", Method: "watched", Site: "on site", Risk: 3, HadPart: i%2 == 1}
	if i%2 == 0 {
		d.Why = []sampling.Factor{sampling.SafetyWork, sampling.NewAssessor}
	}
	return d
}

// sampleSampled is a drawn attempt that the reader may look at, was looked at, or had part in.
func sampleSampled(word string, n int) *SampledPage {
	p := &SampledPage{Frame: Frame{Title: word, Here: "/centre"}, At: app.SampledAttempt{Sample: sampleDrawn(word), Drawn: sampleDrawnAttempt(word, 0)}, Owners: []Option{{Value: "x", Text: word}}}
	switch p.At.Say = (app.Leave{May: n == 40, Why: word}); n {
	case 0:
		p.At.Say.Why = "This sample is settled."
	case 2:
		p.At.Drawn.Outcome, p.At.Drawn.ByName, p.At.Drawn.At, p.At.Drawn.Words = decision.Disagree, word, when, word
	}
	for i := range n {
		k := app.SampledCriterion{Ref: "H2/1.1", Text: word}
		if i%3 > 0 {
			k.Decision = &decision.Record{Outcome: string([]decision.Outcome{decision.Met, decision.NotYetMet}[i%2]), Words: word, ByName: word, At: when}
		}
		p.At.Criteria = append(p.At.Criteria, k)
	}
	return p
}

// sampleAction is an action; every other one is closed.
func sampleAction(word string, i int) app.Action {
	a := app.Action{ID: id(i), Source: []store.ActionSource{app.ActionFromSample, app.ActionFromVisit, app.ActionFromStandardisation}[i%3], SourceID: id(1), Words: word, OwnerName: word, Due: when, RaisedByName: word, RaisedAt: when}
	if i%2 == 1 {
		a.ClosedByName, a.ClosedAt, a.ClosedWords = word, when, word
	}
	return a
}

func sampleActions(word string, n int) *ActionsPage {
	p := &ActionsPage{Frame: Frame{Title: "Actions", Here: "/centre"}, Closes: n > 0, Pages: Paged{Address: "/actions", Page: min(n, 2), Of: 5, All: 212}}
	var rows []app.ActionRow
	for i := range n {
		rows = append(rows, app.ActionRow{Action: sampleAction(word, 2*i), Late: i%2 == 0, May: i%3 > 0})
	}
	p.lines(rows, Form{})
	return p
}

// sampleClaims adds where a claim is chosen, who is ready, and a claim.
func sampleClaims(ps map[string]page, name, word string, n int) {
	l := &ClaimsPage{Frame: Frame{Title: "Claims", Here: "/centre"}}
	c := &ClaimablePage{Frame: Frame{Title: "Ready", Here: "/centre"}, Claimable: app.Claimable{Unit: app.Unit{Code: "H2", Title: word, Edition: word}, Cohorts: []uuid.UUID{id(1)}, Names: []string{word}, May: n > 0}}
	m := &ClaimPage{Frame: Frame{Title: "Claim", Here: "/centre"}, Claim: app.ClaimMade{ID: id(1), Unit: "H2", Title: word, Words: word, ByName: word, At: when, Count: n}}
	for i := range n {
		l.Units, l.Cohorts, l.Made = append(l.Units, Option{Value: "H2", Text: word}), append(l.Cohorts, Option{Text: word}), append(l.Made, m.Claim)
		row := app.ClaimRow{Trainee: id(i), Name: word, At: when, Claim: decision.Claim{Number: word, MetOn: when, Prior: []string{word}}}
		c.Claimable.Ready, c.Claimable.ClaimedAt = append(c.Claimable.Ready, row), append(c.Claimable.ClaimedAt, row)
		row.Why = []string{word, "H2/1.2 is not met yet."}
		c.Claimable.Rest = append(c.Claimable.Rest, row)
		m.Items = append(m.Items, app.ClaimItem{Name: word, Number: word, MetOn: when, Attempts: []uuid.UUID{id(i), id(i + 1)}, Prior: []string{word, word}[:i%3]})
	}
	ps["claims-"+name], ps["claimable-"+name], ps["claim-"+name] = l, c, m
	every := *c
	every.Claimable.Cohorts, every.Claimable.Names, every.Claimable.Without = nil, nil, n
	for range n * 5 { // more than a page shows
		every.Claimable.Ready = append(every.Claimable.Ready, app.ClaimRow{Name: word, Cohorts: []string{word, word}, Claim: decision.Claim{Number: word, MetOn: when}})
	}
	ps["claimable-every-"+name] = &every
}
