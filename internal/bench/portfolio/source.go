package main

import (
	"crypto/sha256"
	"fmt"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/portfolio"
)

// How much stands around the photos, which makes 150 pages of 120 of them: each photo has an item of its own, some with a reading, and
// a decision rests on it.
const (
	perStage = 12
	measured = 3 // one in so many has a reading
	about    = "Stand back so that the whole of it is in, with its label. "
)

var began = time.Date(2026, 4, 21, 8, 0, 0, 0, time.UTC)

// source is a portfolio of one task with an item and a decision for each photo.
func source(shots []shot, photos portfolio.Photos) portfolio.Source {
	b := &brief.Brief{Edition: brief.Edition, Key: "bench", Title: "Put the heating of Bay 7 right", About: strings.Repeat(about, 3)}
	unit := portfolio.Unit{Code: "H2", Title: "Put a heating system right and prove it", Edition: "3"}
	at := portfolio.Attempt{ID: id("attempt"), Number: 1, State: decision.SignedOff, OpenedAt: began, HandedOverAt: began.Add(8 * time.Hour)}
	ref := brief.CriterionRef{Unit: unit.Code}
	outcome := portfolio.Outcome{Code: "1", Title: "Prove what was put right"}
	for i, s := range shots {
		if i%perStage == 0 {
			b.Stages = append(b.Stages, brief.Stage{Key: fmt.Sprintf("stage-%d", i), Title: fmt.Sprintf("Part %d of the rig", i/perStage+1)})
		}
		st := &b.Stages[len(b.Stages)-1]
		key, code := fmt.Sprintf("photo-%d", i), fmt.Sprintf("1.%d", i+1)
		ref.Codes, outcome.Criteria = append(ref.Codes, code), append(outcome.Criteria, portfolio.Criterion{Code: code, Text: "Shows that part " + code + " is as the drawing has it."})
		st.Items = append(st.Items, brief.Item{Key: key, Title: "Part " + code + " as you leave it", About: about, Criteria: []string{unit.Code + "/" + code}, Photo: &brief.Photo{Visible: []string{"the whole part"}}})
		when := began.Add(time.Duration(i) * 4 * time.Minute)
		at.Evidence = append(at.Evidence, evidence(s, key, i, when))
		if i%measured == 0 {
			item := fmt.Sprintf("reading-%d", i)
			st.Items = append(st.Items, brief.Item{Key: item, Title: "Temperature of part " + code, Criteria: []string{unit.Code + "/" + code}, Reading: &brief.Reading{Is: "temperature", Unit: "°C"}})
			at.Entries = append(at.Entries, portfolio.Entry{Entry: marking.Entry{Item: item, Text: fmt.Sprintf("%d.5", 40+i%30), Unit: "°C"}, By: "Ines Okafor", CapturedAt: when, ReceivedAt: when})
		}
		at.Records = append(at.Records, decision.Record{ID: id("record " + key), Attempt: at.ID, Kind: decision.KindCriterion, Subject: unit.Code + "/" + code, Outcome: string(decision.Met),
			Words: "Seen on the rig as well.", Evidence: []string{key}, By: id("tutor"), ByName: "Marit Solheim", Role: "tutor", At: began.Add(9 * time.Hour)})
	}
	b.Criteria, unit.Outcomes = []brief.CriterionRef{ref}, []portfolio.Outcome{outcome}
	return portfolio.Source{ID: id("portfolio"), MadeAt: began.AddDate(0, 0, 14), CentreName: "Harbour Lane Training Centre", CentreCode: "HLT", Trainee: "Ines Okafor", TraineeCode: "ines.okafor",
		Cohort: "Spring 2026", Unit: unit, Photos: photos, Tasks: []portfolio.Task{{Brief: b, Version: 1, Digest: digestOf([]byte("brief")), SetBy: "Marit Solheim", SetAt: began, Attempts: []portfolio.Attempt{at}}}}
}

func evidence(s shot, item string, i int, when time.Time) portfolio.Evidence {
	return portfolio.Evidence{ID: id("photo " + item), Item: item, Name: fmt.Sprintf("IMG_%04d.jpg", i), Caption: fmt.Sprintf("Part 1.%d from the left, with its label and the valve beside it.", i+1),
		MediaType: "image/jpeg", Digest: s.Digest, BareDigest: s.Bare, PreviewDigest: s.Preview, Size: s.Size, Width: s.Wide, Height: s.High, Orientation: 1,
		TakenAt: when, DeviceAt: when, ReceivedAt: when.Add(time.Minute), By: "Ines Okafor", Sealed: true}
}

// id is the same for the same word.
func id(word string) uuid.UUID {
	sum := sha256.Sum256([]byte(word))
	return uuid.UUID(sum[:16])
}
