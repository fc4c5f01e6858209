package ui

import (
	"testing"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/sampling"
	"witnessmark/internal/store"
)

// samplePagesOfStandards adds the pages of standardisation, rulings and small files, with nothing, much and hostile words.
func samplePagesOfStandards(t *testing.T, ps map[string]page) {
	t.Helper()
	for name, n := range map[string]int{"empty": 0, "many": 20, "hostile": 2} {
		word := "How many readings"
		if name == "hostile" {
			word = hostile
		}
		ps["standardisations-"+name], ps["standardisation-"+name] = sampleStandardisations(word, n), sampleStandardisation(word, n)
		ps["standardise-"+name], ps["blind-"+name] = sampleStandardise(word, n), sampleBlind(t, word, n)
		ps["rulings-"+name], ps["ruling-"+name] = sampleRulings(word, n)
		sampleFiles(ps, name, word, n)
		ps["inquiry-"+name] = sampleInquiry(word, n)
	}
	ruled := sampleView(t, decision.Checked, false)
	ruled.Rulings = map[string]app.RulingRow{ruled.Criteria[0].Ref: sampleRuling(hostile, 0)}
	ps["judge-ruled-hostile"] = tutorsPage(ruled)
	ps["openinquiry"] = &OpenInquiryPage{Frame: Frame{Title: "Open an inquiry", Here: "/centre"}, Form: Form{}.For("open")}
}

func sampleStandard(word string, i int) store.Standardisation {
	s := store.Standardisation{ID: id(i), Title: word, Words: word, Version: 2, Of: word, ByName: word, At: when, Due: 6, Done: i % 7, Sits: i%2 == 0}
	if i%3 == 1 {
		s.ClosedBy, s.ClosedAt = word, when
	}
	return s
}

func sampleStandardisations(word string, n int) *StandardisationsPage {
	p := &StandardisationsPage{Frame: Frame{Title: "Standardisation", Here: "/centre"}, May: n > 0}
	for i := range n {
		p.Rows = append(p.Rows, StandardisationRow{sampleStandard(word, i)})
	}
	return p
}

// sampleStandardisation is one that is shown; with nothing in it, one that is still judged.
func sampleStandardisation(word string, n int) *StandardisationPage {
	p := &StandardisationPage{Frame: Frame{Title: word, Here: "/centre"}}
	p.StandardisationSheet.Standardisation = sampleStandard(word, n%2)
	p.MayClose, p.MayRule = n == 0, n > 0
	p.Judges = []app.BlindJudge{{BlindJudge: store.BlindJudge{Name: word}, Due: 3, Done: 1}, {BlindJudge: store.BlindJudge{Name: "Ruben Marsh"}}}
	p.Own = []app.OwnBlind{{Attempt: id(1), Place: 1, Done: true}, {Attempt: id(2), Place: 2}, {Attempt: id(3), Place: 3, Part: true}}
	if n == 0 {
		return p
	}
	p.Due, p.Done = 6, 6
	said := store.BlindJudgement{Outcome: decision.NotYetMet, Reason: "sufficient", Words: word, At: when}
	met := store.BlindJudgement{Outcome: decision.Met, Words: word, At: when}
	at := app.AttemptAgreement{BlindAttempt: store.BlindAttempt{Attempt: id(1), Place: 1, TraineeName: word}, Said: []*store.BlindJudgement{&said, &met}, Standing: &decision.Record{Outcome: string(decision.Met), ByName: word}}
	none := app.AttemptAgreement{BlindAttempt: store.BlindAttempt{Attempt: id(2), Place: 2, TraineeName: word}, Said: []*store.BlindJudgement{nil, nil}}
	known := func(v float64) sampling.Figure { return sampling.Figure{Value: v, Known: true} }
	p.Agreement = sampling.Agreement{Things: 12, Pairs: 12, Raw: known(.75), Positive: known(.8), Negative: known(.6), Alpha: known(.4), Low: known(-.1), High: known(.8)}
	for i := range n {
		k := app.CriterionAgreement{Ref: []string{"H2/1.1", "H2/1.2"}[i%2] + string(rune('a'+i)), Text: word, Attempts: []app.AttemptAgreement{at, none}}
		k.Things, k.Pairs, k.TooFew = i%3, i%3, true
		if k.Pairs > 0 {
			k.Raw = known(.5)
		}
		p.Criteria = append(p.Criteria, k)
		p.Rulings, p.Actions = append(p.Rulings, sampleRuling(word, i)), append(p.Actions, sampleAction(word, i))
		p.Attempts, p.Owners = append(p.Attempts, at.BlindAttempt), append(p.Owners, app.Assessor{Person: id(i), Name: word})
	}
	return p
}

func sampleStandardise(word string, n int) *NewStandardisationPage {
	p := &NewStandardisationPage{Frame: Frame{Title: "Set a standardisation", Here: "/centre"}, Versions: []Option{{Value: "x 1", Text: word}}, Form: Form{}.For("standardise")}
	if n > 0 {
		p.Chosen = "x 1"
	}
	for i := range n {
		p.Choices.Attempts = append(p.Choices.Attempts, store.BlindChoice{Attempt: id(i), TraineeName: word, CohortName: word, Number: 1 + i%2, State: decision.SignedOff})
		p.Choices.Judges = append(p.Choices.Judges, store.BlindJudge{Person: id(i), Name: word})
	}
	return p
}

// sampleBlind is an attempt that waits for the reader's judgement, or was judged by them.
func sampleBlind(t *testing.T, word string, n int) *BlindPage {
	t.Helper()
	b := app.BlindSheet{Sheet: sampleSheet(t, decision.Checked), Standardisation: id(1), Title: word, Place: 1, Of: 3, May: n == 20}
	for _, k := range b.Sheet.Criteria {
		if n == 2 {
			b.Said = append(b.Said, store.BlindJudgement{Criterion: k.Ref, Outcome: decision.NotYetMet, Reason: "sufficient", Words: word, At: when})
		}
	}
	return newBlindPage(b, Form{}.For("blind"))
}

func sampleRuling(word string, i int) store.Ruling {
	g := store.Ruling{ID: id(i), Criterion: "H2/1.2", Words: word, Doubts: []store.Doubts{store.DoubtsMet, store.DoubtsNone, store.DoubtsBoth}[i%3], EffectiveOn: when, ByName: word, At: when}
	if i%2 == 0 {
		g.Standardisation, g.Since = id(9), when.AddDate(-1, 0, 0)
	}
	return g
}

// sampleRulings is the list of rulings, and one with what it puts in question.
func sampleRulings(word string, n int) (*RulingsPage, *RulingPage) {
	l := &RulingsPage{Frame: Frame{Title: "Rulings", Here: "/centre"}, Criteria: []Option{{Value: "H2/1.2", Text: word}}, Asked: "H2/1.2", Form: Form{}.For("rule"), May: n > 0}
	p := &RulingPage{Frame: Frame{Title: "Ruling", Here: "/centre"}}
	p.RulingSheet.Ruling, p.More, p.MayLook, p.All = sampleRuling(word, n), n > 2, n > 0, n
	for i := range n {
		l.Rulings = append(l.Rulings, sampleRuling(word, i))
		q := store.Questioned{Record: id(i), Attempt: id(i), Number: 1 + i%2, State: decision.SignedOff, TraineeName: word, CohortName: word, Outcome: decision.Met, Words: word, ByName: word, At: when}
		if q.Looked = []string{"", "stands", "afresh"}[i%3]; q.Looked != "" {
			q.LookedWords, q.LookedBy, q.LookedAt = word, word, when
		}
		p.Rows = append(p.Rows, q)
		p.Actions, p.Owners = append(p.Actions, sampleAction(word, 2*i)), append(p.Owners, app.Assessor{Person: id(i), Name: word})
	}
	return l, p
}

// sampleFiles adds the list of small files, and prior learning.
func sampleFiles(ps map[string]page, name, word string, n int) {
	f := &SmallFilesPage{Frame: Frame{Title: "Small files", Here: "/centre"}, MayInquire: n > 0}
	l := &PriorsPage{Frame: Frame{Title: "Prior learning", Here: "/tasks"}, Form: Form{}.For("claim")}
	p := &PriorPage{Frame: Frame{Title: "Prior learning", Here: "/tasks"}}
	prior := store.Prior{ID: id(1), TraineeName: word, Unit: "H2", Criteria: []string{"H2/1.1", "H2/1.2", "H2/2.1"}, Words: word, ByName: word, At: when}
	p.PriorSheet.Prior, p.Texts, p.MayAdd, p.MayDecide = prior, map[string]string{"H2/1.1": word}, n > 0, n > 0
	if n == 0 {
		p.WhyNot = "You made this claim, so another tutor decides it."
	} else {
		unit := app.Unit{Code: "H2", Title: word, Outcomes: []app.Outcome{{Code: "1", Criteria: []app.Criterion{{Code: "1.1", Text: word}, {Code: "1.2", Text: word}}}}}
		l.Trainee, l.Units, l.Unit = "x", []Option{{Value: "H2", Text: word, Chosen: true}}, &unit
		p.Decisions = []store.PriorDecision{{Criterion: "H2/1.1", Outcome: decision.Met, Words: word, ByName: word, At: when}, {Criterion: "H2/1.2", Outcome: decision.Met, Words: word, ByName: word, At: when,
			Look: &store.PriorLook{Outcome: decision.Disagree, Words: word, ByName: word, At: when}}}
		p.MayLook, p.Tutors, p.Actions = true, []store.PriorTutor{{Person: id(1), Name: word}}, []store.Action{sampleAction(word, 1)}
	}
	for i := range n {
		row := prior
		row.ID, row.Decided, row.Unseen = id(i), i%4, i%2
		l.Claims, f.Priors = append(l.Claims, row), append(f.Priors, row)
		f.Inquiries = append(f.Inquiries, sampleInquiry(word, i).Inquiry)
		f.OnAttempts = append(f.OnAttempts, store.SmallFile{Attempt: id(i), TraineeName: word, CohortName: word, Title: word, Number: 1 + i%2, State: decision.SignedOff, Kind: []decision.Kind{decision.KindAdjustment, decision.KindAppeal}[i%2], Words: word, ByName: word, At: when})
		p.Files = append(p.Files, store.PriorFile{ID: id(i), Name: word, MediaType: "application/pdf", Size: 900_000, At: when})
	}
	ps["smallfiles-"+name], ps["priors-"+name], ps["prior-"+name] = f, l, p
}

// sampleInquiry is one that runs; every other one is closed.
func sampleInquiry(word string, n int) *InquiryPage {
	p := &InquiryPage{Frame: Frame{Title: "Inquiry", Here: "/centre"}}
	p.Inquiry = store.Inquiry{ID: id(n), ConcernsOf: word, Words: word, ByName: word, At: when}
	if n%2 == 1 {
		p.Outcome, p.Found, p.ClosedBy, p.ClosedAt = store.FoundUpheld, word, word, when
	}
	p.Named, p.MayAct, p.People = []store.BlindJudge{{Name: word}}, n > 0 && n%2 == 0, []store.BlindJudge{{Person: id(5), Name: word}}
	for i := range n {
		p.Notes = append(p.Notes, store.InquiryNote{Words: word, ByName: word, At: when})
		at := store.InquiryAttempt{Attempt: id(i), Title: word, CohortName: word, Number: 1, State: decision.Suspended}
		p.Attempts = append(p.Attempts, at)
		at.State = decision.SignedOff
		p.Others = append(p.Others, at)
	}
	return p
}
