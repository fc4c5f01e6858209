// Package portfoliotest holds a trainee's evidence for tests: one qualification unit, a task with an attempt after which
// there was more to do and one that was signed off, and a task that nobody has started. Centre, people, figures and
// pictures are invented; nothing comes from a standard.
package portfoliotest

import (
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/decision"
	"witnessmark/internal/formula"
	"witnessmark/internal/marking"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/trade"
)

// Start is when the trainee opened the first attempt: a spring morning in summer time.
var Start = time.Date(2026, time.April, 21, 8, 30, 0, 0, time.UTC)

// Source is a new source with the bytes of its files by digest.
func Source(t testing.TB) (portfolio.Source, map[string][]byte) {
	t.Helper()
	m := maker{t: t, brief: sample.Brief(), files: map[string][]byte{}, people: map[string]uuid.UUID{}}
	src := portfolio.Source{
		ID: m.id("portfolio"), MadeAt: Start.Add(14 * 24 * time.Hour), CentreName: "Harbour Lane Training Centre", CentreCode: "HLT",
		Trainee: "Ines Okafor-Lindqvist", TraineeCode: "ines.okafor", Cohort: "Evening group, spring 2026", Unit: Unit(),
		Photos: portfolio.UploadedWithPlace,
	}
	src.Tasks = []portfolio.Task{
		{Brief: m.brief, Version: 2, Digest: digest([]byte("brief 1")), SetBy: "Marit Solheim", SetAt: Start.Add(-72 * time.Hour), DueOn: Start.Add(10 * 24 * time.Hour)},
		{Brief: sealBrief(), Version: 1, Digest: digest([]byte("brief 2")), SetBy: "Marit Solheim", SetAt: Start,
			Attempts: []portfolio.Attempt{{ID: m.id("planned"), Number: 1, State: decision.Planned}}},
	}
	src.Tasks[0].Attempts = []portfolio.Attempt{m.first(), m.second()}
	return src, m.files
}

// Unit is the invented unit; nothing that is set bears on its criterion 2.2.
func Unit() portfolio.Unit {
	return portfolio.Unit{
		Code: "H2", Title: "Put a heating system right and prove it", Edition: "3, January 2026",
		Outcomes: []portfolio.Outcome{
			{Code: "1", Title: "Prepare and put right", Criteria: []portfolio.Criterion{
				{Code: "1.1", Text: "Describe the system as found and make the work area safe"},
				{Code: "1.2", Text: "Set and prove the controls and the flow to the maker's instructions"},
				{Code: "1.3", Text: "Seal the system and set the expansion vessel"},
			}},
			{Code: "2", Title: "Prove it by figures", Criteria: []portfolio.Criterion{
				{Code: "2.1", Text: "Work out the heat given from your own readings and say whether it is enough"},
				{Code: "2.2", Text: "Explain to the customer how the system is run"},
			}},
		},
	}
}

func sealBrief() *brief.Brief {
	return &brief.Brief{
		Edition: brief.Edition, Key: "bay-7-seal", Title: "Seal the Bay 7 rig", About: "Take the cistern off and make the rig a sealed system.",
		Criteria: []brief.CriterionRef{{Unit: "H2", Codes: []string{"1.3"}}},
		Stages: []brief.Stage{{Key: "vessel", Title: "Vessel", Items: []brief.Item{
			{Key: "charge", Title: "Charge of the vessel", Criteria: []string{"1.3"}, Photo: &brief.Photo{Visible: []string{"the gauge on the vessel's valve"}}},
		}}},
	}
}

// maker makes attempts; everything it makes is the same each time.
type maker struct {
	t      testing.TB
	brief  *brief.Brief
	files  map[string][]byte
	people map[string]uuid.UUID
}

func (m *maker) id(name string) uuid.UUID { return uuid.NewSHA1(uuid.NameSpaceOID, []byte(name)) }

// first is the attempt after which there was more to do: a reading taken again, a wrong cell, a figure with a slip.
func (m *maker) first() portfolio.Attempt {
	at := portfolio.Attempt{
		ID: m.id("first"), Number: 1, State: decision.MoreToDo, Given: map[string]string{"load": "14.5 kW"},
		OpenedAt: Start, HandedOverAt: Start.Add(9 * time.Hour), MarkedAt: Start.Add(9*time.Hour + 4*time.Second),
		Declaration: "This is my own work. What others helped with is said beside it.",
	}
	at.Entries = m.model(Start.Add(time.Hour))
	at.Entries = replace(at.Entries, "tf", "", brief.AsLeft, "58.4", "", "The bypass was still open.")
	at.Entries = append(at.Entries, m.entry("tf", "", brief.AsLeft, "69.8", "", "", "Shut the bypass to a quarter turn, waited ten minutes.", Start.Add(5*time.Hour)))
	at.Entries = replace(at.Entries, "demand", "both/valve", brief.NoPhase, "heating", "", "")
	at.Entries = replace(at.Entries, "heat", "", brief.NoPhase, "948", "kW", "12.4 × 0.988 × 4.18 × 18.5 = 947")
	at.Entries = replace(at.Entries, "lift", "", brief.NoPhase, "16 and a half", "", "")
	at.Evidence = m.evidence(Start.Add(time.Hour))
	at.Records = []decision.Record{
		m.record(at, "release", decision.KindHoldRelease, "wire", "released", "Dead, covers on, gauge glass clean.", Start.Add(3*time.Hour)),
		m.record(at, "seen", decision.KindCheckReading, "continuity", "checked", "", Start.Add(150*time.Minute)),
	}
	at.Records[1].Value = "0.13"
	m.mark(&at)
	override := m.record(at, "override", decision.KindOverride, "lift", string(marking.Correct), "Sixteen and a half is 16.5, and she said so when asked.", Start.Add(26*time.Hour))
	met := m.record(at, "met 1.1", decision.KindCriterion, "H2/1.1", string(decision.Met), "Clear pictures, nothing left out.", Start.Add(27*time.Hour))
	met.Evidence = []string{"before", "agreed"}
	not := m.record(at, "not 2.1", decision.KindCriterion, "H2/2.1", string(decision.NotYetMet), "Look at the unit of the flow: the meter shows litres a minute. Work the heat out again.", Start.Add(28*time.Hour))
	not.Reason, not.Evidence = "valid", []string{"heat", "enough"}
	controls := m.record(at, "not 1.2", decision.KindCriterion, "H2/1.2", string(decision.NotYetMet), "The valve did not go to mid when both called.", Start.Add(28*time.Hour))
	controls.Reason, controls.Evidence = "sufficient", []string{"demand", "tf", "tr"}
	electric := m.record(at, "met 1.10", decision.KindCriterion, "H3/1.10", string(decision.Met), "", Start.Add(28*time.Hour))
	electric.Evidence = []string{"isolation", "continuity"}
	more := m.record(at, "more", decision.KindMoreToDo, "", "more to do", "Good pictures and a clean sheet. Set the valve, run the grid again, and work the heat out in kilowatts.", Start.Add(29*time.Hour))
	more.Value = "2026-04-30"
	at.Records = append(at.Records, override, met, not, controls, electric, more)
	return at
}

// second is the attempt that was signed off.
func (m *maker) second() portfolio.Attempt {
	day := Start.Add(7 * 24 * time.Hour)
	at := portfolio.Attempt{
		ID: m.id("second"), Number: 2, State: decision.SignedOff, Given: map[string]string{"load": "14.5 kW"},
		OpenedAt: day, HandedOverAt: day.Add(6 * time.Hour), MarkedAt: day.Add(6*time.Hour + 3*time.Second),
		Declaration: "This is my own work. What others helped with is said beside it.",
	}
	at.Entries = m.model(day.Add(time.Hour))
	at.Evidence = m.evidence(day.Add(time.Hour))[:2]
	at.Records = []decision.Record{
		m.record(at, "release 2", decision.KindHoldRelease, "wire", "released", "", day.Add(2*time.Hour)),
		m.record(at, "seen 2", decision.KindCheckReading, "continuity", "seen", "", day.Add(90*time.Minute)),
	}
	m.mark(&at)
	carried := m.record(at, "carried 1.1", decision.KindCriterion, "H2/1.1", string(decision.Met), "Carried over from attempt 1, met on 22 April 2026 as judged by Marit Solheim.", Start.Add(29*time.Hour))
	carried.Value, carried.Evidence = "1", []string{"before", "agreed"}
	hasty := m.record(at, "hasty 1.2", decision.KindCriterion, "H2/1.2", string(decision.NotYetMet), "The photo of the valve is missing.", day.Add(23*time.Hour))
	hasty.Reason = "sufficient"
	controls := m.record(at, "met 1.2", decision.KindCriterion, "H2/1.2", string(decision.Met), "Found the photo under item 1. The valve goes to mid with both calling.", day.Add(24*time.Hour))
	controls.Supersedes, controls.Evidence = hasty.ID, []string{"demand", "noise", "qv", "tf", "tr"}
	figures := m.record(at, "met 2.1", decision.KindCriterion, "H2/2.1", string(decision.Met), "", day.Add(24*time.Hour))
	electric := m.record(at, "carried 1.10", decision.KindCriterion, "H3/1.10", string(decision.Met), "Carried over from attempt 1, met on 22 April 2026 as judged by Marit Solheim.", Start.Add(29*time.Hour))
	electric.Value = "1"
	off := m.record(at, "off", decision.KindSignOff, "", "signed off", "Well worked. Take the label of the pump into the picture next time.", day.Add(25*time.Hour))
	at.Records = append(at.Records, carried, electric, hasty, controls, figures, off)
	return at
}

// RecordID is the id of a record by the name that it has here, such as "off" for the sign-off.
func RecordID(name string) uuid.UUID { return uuid.NewSHA1(uuid.NameSpaceOID, []byte("record "+name)) }

func (m *maker) record(at portfolio.Attempt, name string, k decision.Kind, subject, outcome, words string, when time.Time) decision.Record {
	return decision.Record{
		ID: RecordID(name), Attempt: at.ID, Kind: k, Subject: subject, Outcome: outcome, Words: words,
		By: m.id("Marit Solheim"), ByName: "Marit Solheim", Role: "tutor", At: when,
	}
}

// mark has the marker look at the attempt as it stands.
func (m *maker) mark(at *portfolio.Attempt) {
	m.t.Helper()
	functions := map[string]formula.Function{}
	for _, f := range trade.Functions() {
		functions[f.Name] = f
	}
	compiled, problems := brief.Compile(m.brief, functions)
	if err := problems.Err(); err != nil {
		m.t.Fatalf("the brief for tests cannot be compiled: %v", err)
	}
	latest := map[[3]string]portfolio.Entry{}
	for _, e := range at.Entries {
		latest[[3]string{e.Item, e.Part, string(e.Phase)}] = e
	}
	s := marking.Sheet{Given: at.Given}
	for _, e := range at.Entries {
		key := [3]string{e.Item, e.Part, string(e.Phase)}
		if l, ok := latest[key]; ok {
			s.Entries = append(s.Entries, l.Entry)
			delete(latest, key)
		}
	}
	for _, r := range at.Records {
		if r.Kind == decision.KindCheckReading {
			s.Checks = append(s.Checks, marking.CheckReading{Item: r.Subject, Text: r.Value, Seen: r.Value == ""})
		}
	}
	result := marking.Mark(compiled, s)
	at.Marking, at.Explained = &result, marking.ExplainAll(compiled, s)
}
