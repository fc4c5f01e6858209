package decision

import (
	"testing"
	"time"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// twoHolds is the sample brief with a second hold point, before its stage of measuring; the stage of working out has none.
func twoHolds() *brief.Brief {
	b := sample.Brief()
	b.Stages[2].Hold = &brief.Hold{Show: "Every cover on."}
	b.Stages = append(b.Stages, brief.Stage{Key: "leave", Title: "Leave it", Items: []brief.Item{
		{Key: "left", Title: "As you leave it", Criteria: []string{"H2/1.1"}, Photo: &brief.Photo{Visible: []string{"the rig"}, AtLeast: 1}},
		{Key: "off", Title: "Off", Criteria: []string{"H2/1.1"}, Observation: &brief.Observation{Options: []string{"off", "on"}, Expect: "off", Safety: true}},
	}})
	return b
}

func TestBehind(t *testing.T) {
	at := func(stage string, minute int) Record {
		return Record{Kind: KindHoldRelease, Subject: stage, At: time.Date(2026, 5, 4, 9, minute, 0, 0, time.UTC)}
	}
	spot := Record{Kind: KindHoldRelease, Subject: "wire", Outcome: ReleasedOnTheSpot, Value: "2026-05-04T08:00:00Z", At: at("wire", 50).At}
	for _, c := range []struct {
		name    string
		b       *brief.Brief
		item    string
		records []Record
		passed  map[string]bool
		stage   string // "" where none stands before it
		stands  bool
		of      int
	}{
		{name: "before every hold point", b: sample.Brief(), item: "before"},
		{name: "of no item", b: sample.Brief(), item: "nothing"},
		{name: "its own", b: sample.Brief(), item: "noise", stage: "wire", stands: true},
		{name: "its own, released", b: sample.Brief(), item: "noise", records: []Record{at("wire", 0)}, stage: "wire"},
		{name: "an earlier stage's", b: sample.Brief(), item: "qv", stage: "wire", stands: true, of: 2},
		{name: "an earlier stage's, released", b: sample.Brief(), item: "qv", records: []Record{at("wire", 0)}, stage: "wire", of: 2},
		{name: "a figure of a later stage", b: sample.Brief(), item: "dt"},
		{name: "a choice of a later stage", b: sample.Brief(), item: "tube"},
		{name: "an answer of a later stage", b: sample.Brief(), item: "why"},
		{name: "the nearest of two that stand", b: twoHolds(), item: "left", stage: "measure", stands: true, of: 3},
		{name: "the one that stands behind one that was released", b: twoHolds(), item: "left", records: []Record{at("measure", 0)}, stage: "wire", stands: true, of: 2},
		{name: "an earlier one that stands, before its own", b: twoHolds(), item: "qv", records: []Record{at("measure", 0)}, stage: "wire", stands: true, of: 2},
		{name: "the later release of two", b: twoHolds(), item: "left", records: []Record{at("wire", 0), at("measure", 10)}, stage: "measure", of: 3},
		{name: "released the other way round", b: twoHolds(), item: "qv", records: []Record{at("measure", 0), at("wire", 10)}, stage: "wire", of: 2},
		{name: "released on the spot counts from there", b: twoHolds(), item: "qv", records: []Record{at("measure", 0), spot}, stage: "measure"},
		{name: "one that was passed in an earlier attempt", b: twoHolds(), item: "left", passed: map[string]bool{"measure": true}, stage: "wire", stands: true, of: 2},
		{name: "all passed in an earlier attempt", b: twoHolds(), item: "left", passed: map[string]bool{"measure": true, "wire": true}},
		{name: "done again at a stage that was passed", b: twoHolds(), item: "qv", passed: map[string]bool{"measure": true, "wire": true}, stage: "measure", stands: true},
	} {
		h := Behind(c.b, c.item, c.records, c.passed)
		key := ""
		if h.Stage != nil {
			key = h.Stage.Key
		}
		if key != c.stage || h.Stands() != c.stands || h.Of() != c.of {
			t.Errorf("%s: behind %q (stands: %t, of stage %d), want %q (%t, %d)", c.name, key, h.Stands(), h.Of(), c.stage, c.stands, c.of)
		}
	}
}

// What was captured at a stage without a hold point of its own, before that of an earlier one was released, does not carry "met", and the
// words name the stage whose hold point is meant.
func TestEarlyBehindAnEarlierStage(t *testing.T) {
	released := []Record{{Kind: KindHoldRelease, Subject: "wire"}, {Kind: KindHoldRelease, Subject: "measure"}}
	safe := sample.Brief()
	safe.Stages[2].Items[0].Reading.Safety = true
	for _, c := range []struct {
		name, criterion string
		st              Standing
		want            string
	}{
		{"a line", "H2/1.1", Standing{Brief: twoHolds(), Records: released, Typed: map[string]Order{"off": Before}},
			"Off is safety-critical, and it was put down before the hold point of stage 3 (Measure) was released: have it done again, or accept it with a reason."},
		{"a line that nothing proves", "H2/1.1", Standing{Brief: twoHolds(), Records: released, Typed: map[string]Order{"off": NotProved}},
			"Off is safety-critical, and nothing proves that it was put down after the hold point of stage 3 (Measure) was released, since the phone's clock was not known, or was set meanwhile: have it done again, or accept it with a reason."},
		{"photos", "H2/1.1", Standing{Brief: twoHolds(), Records: released, Order: map[string]Order{"left": Before}},
			"As you leave it: all of it was captured before the hold point of stage 3 (Measure) was released."},
		{"photos that nothing proves", "H2/1.1", Standing{Brief: twoHolds(), Records: released, Order: map[string]Order{"left": NotProved}},
			"As you leave it: nothing proves that it was captured after the hold point of stage 3 (Measure) was released, since the phone's clock was not known, or was set meanwhile."},
		{"a choice worked from a reading", "H2/2.1", Standing{Brief: sample.Brief(), Records: released, Typed: map[string]Order{"qv": Before}},
			"Tube size is safety-critical and is worked from Flow rate, of which it was put down before the hold point of stage 2 (Controls) was released: have that measured again, or accept either with a reason."},
		{"one that was never released", "H2/1.1", Standing{Brief: twoHolds(), Records: released[:1], Typed: map[string]Order{"off": Before}},
			"The hold point before stage 3 (Measure) was never released."},
		{"never released, of a safety-critical reading", "H2/1.2", Standing{Brief: safe, Typed: map[string]Order{"qv": Before}},
			"The hold point before stage 2 (Controls) was never released."},
		{"never released in this attempt, and passed in the one before", "H2/1.1", Standing{Brief: twoHolds(), Passed: map[string]bool{"wire": true, "measure": true}}, ""},
	} {
		got := c.st.Blocked(c.criterion)
		if c.want == "" && len(got) > 0 || c.want != "" && (len(got) != 1 || got[0] != c.want) {
			t.Errorf("%s:\ngot  %q\nwant %q", c.name, got, c.want)
		}
	}
}

func TestOrderInWords(t *testing.T) {
	for _, c := range []struct {
		o    Order
		of   int
		want string
	}{
		{After, 0, ""}, {After, 2, ""}, {"", 0, ""}, {Before, 0, "before release"}, {Before, 2, "before release of stage 2"},
		{NotProved, 0, "after release: not proved"}, {NotProved, 2, "after release of stage 2: not proved"},
	} {
		if got := c.o.Words(c.of); got != c.want {
			t.Errorf("%q of stage %d: %q, want %q", c.o, c.of, got, c.want)
		}
	}
}
