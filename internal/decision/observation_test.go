package decision

import (
	"strings"
	"testing"
	"time"

	"witnessmark/internal/brief/sample"
	"witnessmark/internal/fault"
)

func TestObservations(t *testing.T) {
	b := sample.Brief()
	seen := []Record{{Kind: KindObservation, Subject: "wire", Outcome: string(Seen)}}
	for _, c := range []struct {
		name    string
		o       Observation
		records []Record
		field   string // that is refused; "" where nothing is
		value   string
	}{
		{"a stage, timed", Observation{Subject: "wire", Outcome: Seen, Took: 160*time.Second + 400*time.Millisecond}, nil, "", "160 s"},
		{"an item, not timed", Observation{Subject: "continuity", Outcome: NotSeen}, nil, "", ""},
		{"stepped in, with words", Observation{Subject: "continuity", Outcome: SteppedIn, Words: " The lead was live. "}, nil, "", ""},
		{"stepped in, without", Observation{Subject: "continuity", Outcome: SteppedIn, Words: " "}, nil, "words", ""},
		{"no such thing", Observation{Subject: "roof", Outcome: Seen}, nil, "subject", ""},
		{"no outcome", Observation{Subject: "wire"}, nil, "outcome", ""},
		{"longer than a day", Observation{Subject: "wire", Outcome: Seen, Took: 13 * time.Hour}, nil, "took", ""},
		{"back in time", Observation{Subject: "wire", Outcome: Seen, Took: -time.Second}, nil, "took", ""},
		{"taken back without a word", Observation{Subject: "wire", Outcome: TakenBack}, seen, "words", ""},
		{"taken back", Observation{Subject: "wire", Outcome: TakenBack, Words: "The wrong trainee."}, seen, "", ""},
	} {
		r, err := c.o.Record(b, c.records)
		f, _ := fault.As(err)
		switch {
		case c.field == "" && (err != nil || r.Value != c.value || r.Outcome != string(c.o.Outcome) || r.Words != strings.TrimSpace(c.o.Words)):
			t.Errorf("%s: %+v, %v", c.name, r, err)
		case c.field != "" && (f == nil || len(f.Fields) != 1 || f.Fields[0].Name != c.field):
			t.Errorf("%s: %v, want %s refused", c.name, err, c.field)
		}
	}
	if _, err := (Observation{Subject: "wire", Outcome: TakenBack, Words: "x"}).Record(b, nil); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("taking back what was never noted: %v, want a Conflict", err)
	}
}

// Stepping in keeps a safety-critical thing from being met in this attempt; only taking it back undoes that.
func TestSteppingInBlocks(t *testing.T) {
	b := sample.Brief()
	note := func(subject string, o Observed) Record {
		return Record{Kind: KindObservation, Subject: subject, Outcome: string(o), ByName: "Tess"}
	}
	for _, c := range []struct {
		name      string
		records   []Record
		criterion string
		want      string
	}{
		{"at the item", []Record{note("continuity", SteppedIn)}, "H3/1.10", "Tess stepped in there: it is shown again another time."},
		{"at its stage", []Record{note("prepare", SteppedIn)}, "H3/1.10", "Tess stepped in there"},
		{"seen later does not undo it", []Record{note("continuity", SteppedIn), note("continuity", Seen)}, "H3/1.10", "Tess stepped in there"},
		{"taken back does", []Record{note("continuity", SteppedIn), note("continuity", TakenBack)}, "H3/1.10", ""},
		{"not seen does not block", []Record{note("continuity", NotSeen)}, "H3/1.10", ""},
		{"at something else", []Record{note("before", SteppedIn)}, "H3/1.10", ""},
		{"at what is not safety-critical", []Record{note("before", SteppedIn)}, "H2/1.1", ""},
	} {
		got := strings.Join(Standing{Brief: b, Records: c.records}.Blocked(c.criterion), " ")
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestOralQuestions(t *testing.T) {
	b := sample.Brief()
	whole := OralQuestion{Subject: "wire", Asked: "Why dead first?", Gist: "So that nobody is hurt.", Outcome: Understood}
	if r, err := whole.Record(b); err != nil || r.Value != whole.Asked || r.Words != whole.Gist || r.Outcome != "understood" {
		t.Errorf("a whole one: %+v, %v", r, err)
	}
	for field, spoil := range map[string]func(*OralQuestion){
		"subject": func(q *OralQuestion) { q.Subject = "roof" },
		"asked":   func(q *OralQuestion) { q.Asked = " " },
		"gist":    func(q *OralQuestion) { q.Gist = "" },
		"outcome": func(q *OralQuestion) { q.Outcome = "well" },
	} {
		q := whole
		spoil(&q)
		_, err := q.Record(b)
		if f, ok := fault.As(err); !ok || len(f.Fields) != 1 || f.Fields[0].Name != field {
			t.Errorf("without its %s: %v", field, err)
		}
	}
	if Superseded([]Record{{ID: [16]byte{1}, Kind: KindOral, Subject: "wire"}}, KindOral, "wire") != [16]byte{} {
		t.Error("a second question supersedes the first")
	}
}

func TestAdjustments(t *testing.T) {
	b := sample.Brief()
	due, later := time.Date(2026, 5, 10, 0, 0, 0, 0, time.UTC), time.Date(2026, 5, 20, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name  string
		a     Adjustment
		due   time.Time
		field string
	}{
		{"extra time", Adjustment{What: ExtraTime, Until: later, Words: "Reads slowly."}, due, ""},
		{"extra time where none was set", Adjustment{What: ExtraTime, Until: later, Words: "Reads slowly."}, time.Time{}, ""},
		{"no day", Adjustment{What: ExtraTime, Words: "Reads slowly."}, due, "until"},
		{"no later", Adjustment{What: ExtraTime, Until: due, Words: "Reads slowly."}, due, "until"},
		{"past", Adjustment{What: ExtraTime, Until: due.AddDate(0, 0, -9), Words: "x"}, time.Time{}, "until"},
		{"no reason", Adjustment{What: ExtraTime, Until: later}, due, "words"},
		{"another way", Adjustment{What: OtherEvidence, Item: "why", Instead: "Told aloud.", Words: "Dyslexia."}, due, ""},
		{"for no item", Adjustment{What: OtherEvidence, Item: "roof", Instead: "Told aloud.", Words: "x"}, due, "item"},
		{"another way, which", Adjustment{What: OtherEvidence, Item: "why", Words: "x"}, due, "instead"},
		{"nothing", Adjustment{Words: "x"}, due, "what"},
	} {
		_, err := c.a.Record(b, c.due, "2026-05-04")
		f, _ := fault.As(err)
		if c.field == "" && err != nil || c.field != "" && (f == nil || len(f.Fields) != 1 || f.Fields[0].Name != c.field) {
			t.Errorf("%s: %v, want %q refused", c.name, err, c.field)
		}
	}
}

// Another way to show something lets it be handed over without, and still asks for something before it is met.
func TestOtherEvidenceIsStillEvidence(t *testing.T) {
	b := sample.Brief()
	agreed := Record{Kind: KindAdjustment, Subject: "why", Outcome: string(OtherEvidence)}
	heard := Record{Kind: KindOral, Subject: "why", Outcome: string(Understood)}
	poorly := Record{Kind: KindOral, Subject: "why", Outcome: string(InPart)}
	elsewhere := Record{Kind: KindObservation, Subject: "before", Outcome: string(Seen)}
	for _, c := range []struct {
		name       string
		records    []Record
		gap, empty bool
	}{
		{"nothing agreed", nil, true, true},
		{"heard, but nothing agreed", []Record{heard}, true, true},
		{"agreed, nothing shown", []Record{agreed}, false, true},
		{"agreed, something else shown", []Record{agreed, elsewhere}, false, true},
		{"agreed, shown in part", []Record{agreed, poorly}, false, true},
		{"agreed and shown", []Record{agreed, heard}, false, false},
	} {
		h := Handover{Brief: b, Records: c.records}
		gap := false
		for _, g := range h.Gaps() {
			gap = gap || g.Item == "why"
		}
		if gap != c.gap || h.Empty()["why"] != c.empty {
			t.Errorf("%s: gap %v, empty %v; want %v, %v", c.name, gap, h.Empty()["why"], c.gap, c.empty)
		}
	}
}
