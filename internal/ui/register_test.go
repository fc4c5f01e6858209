package ui

import (
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// registered puts an instrument into the register that was found wrong.
func (s *site) registered(t *testing.T) (instrument, event uuid.UUID) {
	t.Helper()
	ctx, manager := t.Context(), s.people["manager"]
	instrument, err := s.AddToRegister(ctx, manager, app.NewRegistered{Name: "Ohmmeter 1", Serial: "OM-1", Kinds: []string{"low-resistance ohmmeter"}})
	must(t, err)
	event = uuid.New()
	must(t, s.CheckInHouse(ctx, manager, instrument, app.NewInHouse{ID: event, What: decision.ProvingUnit, Found: "dead", Words: "Its lead is broken."}))
	return instrument, event
}

// registerForms is every form of the pages of instruments.
func (s *site) registerForms(t *testing.T) []forms {
	t.Helper()
	instrument, event := s.registered(t)
	at := "/instruments/" + instrument.String()
	keepers := "303 403 403 403 403 403 . . 403 404"
	none, look := uuid.NewString()+"/"+uuid.NewString(), url.Values{"id": {uuid.NewString()}, "outcome": {"talked"}, "words": {"They share a rig."}}
	return []forms{
		{"/alike/setting", "/alike/setting", url.Values{"pattern": {"6"}, "edges": {"4"}, "correlation": {"0.9"}, "words": {"Bay 7."}}, "303 403 403 403 403 . . 403 403 403"},
		{"/alike/pictures/:one/:other", "/alike/pictures/" + none, look, "303 403 403 404 404 404 403 403 403 404"},
		{"/alike/readings/:one/:other", "/alike/readings/" + none, look, "303 403 403 404 404 404 403 403 403 404"},
		{"/instruments", "/instruments", url.Values{"name": {"Gauge"}, "serial": {"G-1"}, "kinds": {"gauge"}}, "303 403 403 403 403 403 . . 403 403"},
		{"/instruments/list", "/instruments/list", url.Values{"list": {"Name,Serial number,Is a\nGauge,G-1,gauge\n"}}, "303 403 403 403 403 403 . . 403 403"},
		{"/instruments/list/take", "/instruments/list/take", url.Values{"list": {"Name,Serial number,Is a\nGauge,G-1,gauge\n"}, "digest": {"x"}}, "303 403 403 403 403 403 . . 403 403"},
		{"/instruments/:id/calibrate", at + "/calibrate", url.Values{"id": {uuid.NewString()}, "on": {"2026-01-01"}, "good": {"no"}, "certificate": {"C"}, "words": {"Off."}}, keepers},
		{"/instruments/:id/check", at + "/check", url.Values{"id": {uuid.NewString()}, "what": {"gauge_zero"}, "found": {"0"}, "good": {"yes"}}, "303 403 403 . . 403 . . 403 404"},
		{"/instruments/:id/strike", at + "/strike", url.Values{"event": {event.String()}, "words": {"Mistyped."}}, keepers},
		{"/instruments/:id/retire", at + "/retire", url.Values{"words": {"Dropped."}}, keepers},
		{"/instruments/:id/touched/:event/look", touchedAt(instrument, event) + "/look",
			url.Values{"id": {uuid.NewString()}, "attempt": {s.id.String()}, "outcome": {"stands"}, "words": {"Read with another."}}, "303 403 404 . 404 . 403 404 404 404"},
	}
}

// A technician adds an instrument and enters what was found of it; what was typed wrong comes back, and a formula in a name
// leaves the program as text.
func TestRegisterInForms(t *testing.T) {
	s := newSite(t)
	in := s.everybody(t)
	tech := in["technician"]
	a := tech.post(t, "/instruments", url.Values{"name": {"Clamp"}, "serial": {" - "}, "kinds": {"clamp meter"}})
	if a.status != http.StatusUnprocessableEntity || !strings.Contains(a.body, "Type the serial number as it stands on the label") || !strings.Contains(a.body, `value="Clamp"`) {
		t.Errorf("a serial number of dashes: %d %.300s", a.status, a.body)
	}
	a = tech.post(t, "/instruments", url.Values{"name": {"=cmd()"}, "serial": {"OM-1"}, "kinds": {"Low-resistance ohmmeter; insulation tester"}})
	at := a.header.Get("Location")
	if a.status != http.StatusSeeOther || !strings.HasPrefix(at, "/instruments/") {
		t.Fatalf("adding: %d to %q", a.status, at)
	}
	a = tech.post(t, "/instruments", url.Values{"name": {"Again"}, "serial": {"om 1"}, "kinds": {"insulation tester"}})
	if a.status != http.StatusUnprocessableEntity || !strings.Contains(a.body, "has an instrument of this kind with this serial number already") {
		t.Errorf("the same twice: %d", a.status)
	}
	for name, test := range map[string]struct {
		form url.Values
		want string
	}{
		"no day":         {url.Values{"id": {uuid.NewString()}, "good": {"yes"}, "certificate": {"C-1"}, "due": {"2030-01-01"}}, "Choose the day of the calibration"},
		"no such day":    {url.Values{"id": {uuid.NewString()}, "on": {"2026-02-30"}, "good": {"yes"}, "certificate": {"C-1"}}, "Choose the day of the calibration"},
		"due before":     {url.Values{"id": {uuid.NewString()}, "on": {"2026-01-05"}, "good": {"yes"}, "certificate": {"C-1"}, "due": {"2026-01-04"}}, "That is before the calibration"},
		"bad, no words":  {url.Values{"id": {uuid.NewString()}, "on": {"2026-01-05"}, "good": {"no"}, "certificate": {"C-1"}}, "Say what was found"},
		"point, no unit": {url.Values{"id": {uuid.NewString()}, "on": {"2026-01-05"}, "good": {"yes"}, "certificate": {"C-1"}, "due": {"2030-01-01"}, "points": {"fine everywhere"}}, "Write each point on a line of its own"},
	} {
		if a := tech.post(t, at+"/calibrate", test.form); a.status != http.StatusUnprocessableEntity || !strings.Contains(a.body, test.want) {
			t.Errorf("%s: %d without %q", name, a.status, test.want)
		}
	}
	tech.post(t, at+"/calibrate", url.Values{"id": {uuid.NewString()}, "on": {"2026-01-05"}, "good": {"yes"}, "certificate": {"C-1"}, "due": {"2030-01-01"}, "points": {"0.5 Ω: +0.02 Ω"}}).sent(t, at)
	page := tech.get(t, at)
	if !strings.Contains(page.body, "0.02") || !strings.Contains(page.body, "reads true") {
		t.Errorf("the calibration is not there: %.400s", page.body)
	}
}

// samplePagesOfRegister is the pages of instruments with nothing, with much, and with hostile words.
func samplePagesOfRegister(ps map[string]page) {
	hostile := `<script>alert(1)</script>`
	for name, n := range map[string]int{"empty": 0, "many": 60, "hostile": 1} {
		word := "Clamp meter"
		if name == "hostile" {
			word = hostile
		}
		p := &RegisterPage{Frame: Frame{Title: "Instruments", Here: "/centre"}, MayKeep: true}
		l := &TouchedPage{Frame: Frame{Title: "Readings in question", Here: "/centre"}, List: app.TouchedList{Page: app.Page{Number: 1, Of: 3}}}
		l.List.Event.What, l.List.Event.Words, l.List.Instrument.Name = decision.Calibration, word, word
		for i := range n {
			g := app.RegisterRow{Registered: store.Registered{ID: id(i), Name: fmt.Sprintf("%s %d", word, i), Serial: fmt.Sprintf("S-%d", i), Kinds: []string{"clamp meter"}, AddedAt: when}, Due: brief.Day("2026-06-01")}
			g.Doubt = []decision.Doubt{"", decision.Overdue, decision.Failed}[i%3]
			g.Soon, g.Calibration.DoneAt = i%3 == 0, when
			p.Rows, p.Waiting = append(p.Rows, RegisterRow{g}), append(p.Waiting, RegisterRow{g})
			at := app.TouchedAttempt{TouchedAttempt: store.TouchedAttempt{Attempt: id(i), Number: 2, Name: word, Title: word, Cohort: "Tuesday", State: decision.SignedOff}, MayLook: true}
			at.Readings = []app.TouchedReading{{TouchedReading: store.TouchedReading{Text: "0.4", Unit: "Ω", At: when}, Title: word, Safety: true}}
			at.Rests = []decision.Record{{Subject: "H2/1.1", Outcome: "met", ByName: word, At: when}}
			if i%2 == 0 {
				at.Outcome, at.LookedAt, at.LookedName, at.TouchedAttempt.Words = app.TouchedStands, when, word, word
			}
			l.List.Attempts = append(l.List.Attempts, at)
		}
		p.Waits, p.All, p.Pages = app.WaitsIn(rowsOf(p.Rows)), n, Paged{Address: "/instruments", Page: 1, Of: 2, All: n}
		p.Find = Field{ID: "find", Name: "find", Label: "Name", Kind: "text", Value: word}
		ps["register-"+name], ps["touched-"+name], ps["registerlist-"+name] = p, l, sampleRegisterList(word, n)
		ps["alike-"+name], ps["alikepair-"+name], ps["alikereadings-"+name] = sampleAlike(word, n)
		ps["instrument-"+name] = sampleInstrument(word, n)
	}
}

// sampleRegisterList is a list of instruments before it is sent, and with what it would change.
func sampleRegisterList(word string, n int) *RegisterListPage {
	p := &RegisterListPage{Frame: Frame{Title: "Instruments from a list", Here: "/centre"}, Send: ListSender{At: "/instruments/list", Rows: "two thousand", Columns: app.InstrumentColumns(), Checked: n > 0}, Text: word}
	good := app.NewCalibration{On: when, Good: true, Certificate: word, Due: when}
	for i := range n * 5 {
		p.Plan.New = append(p.Plan.New, app.InstrumentRow{Line: i, NewRegistered: app.NewRegistered{Name: word, Serial: word, Kinds: []string{word, "gauge"}}, Calibration: good})
		l := app.ListedCalibration{Line: i, Instrument: id(i), Name: word, Serial: word, Now: app.NewCalibration{On: when, Certificate: word, Words: word}}
		if i%2 == 0 {
			l.Was, l.Now = store.RegisterEvent{DoneAt: when.AddDate(0, 0, 3), Good: true, Certificate: word, DueOn: when}, good
		}
		p.Plan.Calibrations = append(p.Plan.Calibrations, l)
	}
	return p
}

// sampleAlike is the pages of what is alike.
func sampleAlike(word string, n int) (*AlikePage, *AlikePairPage, *AlikeReadingsPage) {
	l := &AlikePage{Frame: Frame{Title: "Look at these two", Here: "/centre"}, List: app.AlikeList{Page: 1, More: n > 1, MaySet: true, Setting: app.AlikeSetting{Pattern: 6, Edges: 4, Correlation: 0.95}}}
	l.Form = l.Form.For("alike")
	side := store.AlikeSide{TraineeName: word, CohortName: word, Title: word, Number: 2}
	side.ID, side.PreviewDigest, side.Caption, side.ReceivedAt = id(1), "x", word, when
	p := &AlikePairPage{Frame: Frame{Title: "Look at these two", Here: "/centre"}, Pair: app.AlikePair{One: side, Other: side, MayLook: true, Found: &store.Pair{Correlation: 0.97}}, At: "/alike/pictures/a/b"}
	r := &AlikeReadingsPage{Frame: Frame{Title: "Look at these readings", Here: "/centre"}, Readings: app.AlikeReadings{Name: word, OtherName: word, Title: word, MayLook: true, Helped: []string{word}}, At: "/alike/readings/a/b"}
	for i := range n {
		l.List.Rows = append(l.List.Rows, store.AlikeRow{One: id(i), Other: id(i + 1), Name: word, OtherName: word, Title: word, Exact: i%2 == 0, FoundAt: when})
		p.Pair.Looks = append(p.Pair.Looks, app.AlikeLook{Outcome: app.AlikeTalked, Words: word, ByName: word, At: when})
		r.Readings.Rows = append(r.Readings.Rows, app.AlikeReading{Title: word, Value: "1.2", Other: "1.2", Same: true})
	}
	return l, p, r
}

func rowsOf(rows []RegisterRow) []app.RegisterRow {
	var out []app.RegisterRow
	for _, r := range rows {
		out = append(out, r.RegisterRow)
	}
	return out
}

func sampleInstrument(word string, n int) *InstrumentPage {
	p := &InstrumentPage{Frame: Frame{Title: word, Here: "/centre"}, SeesWork: true, Sheet: app.RegisterSheet{MayKeep: true, MayCheck: true}}
	p.Sheet.Registered = store.Registered{ID: id(1), Name: word, Serial: word, Kinds: []string{word}, Measures: word, Accuracy: word, ByName: word, AddedAt: when}
	for i := range n {
		e := app.RegisterEvent{RegisterEvent: store.RegisterEvent{ID: id(i), What: decision.Calibration, DoneAt: when, Good: i%3 > 0, Certificate: word, Words: word, ByName: word, EnteredAt: when,
			Points: []store.RegisterPoint{{At: "60 °C", Error: "+0.3 K"}}}}
		if i%5 == 4 {
			e.StruckAt, e.StruckName, e.StruckWords = when, word, word
		}
		e.Touched = store.TouchedSum{Readings: i, Attempts: i, Waiting: 1}
		p.Sheet.Events = append(p.Sheet.Events, e)
	}
	p.Row = RegisterRow{p.Sheet.RegisterRow}
	return p
}

// A technician takes a list in, by way of a page that shows what it changes; the register leaves as a list without formulas,
// which may be taken in again.
func TestRegisterListInForms(t *testing.T) {
	s := newSite(t)
	tech := s.everybody(t)["technician"]
	if a := tech.get(t, "/instruments/list"); a.status != http.StatusOK || !strings.Contains(a.body, "two thousand rows") {
		t.Errorf("the form: %d %.300s", a.status, a.body)
	}
	wrong := tech.post(t, "/instruments/list", url.Values{"list": {"Name,Serial number,Is a,Holds to\n=cmd(),S-1,gauge,\nGauge 2,,gauge,soon\n"}})
	if !strings.Contains(wrong.body, "Nothing is taken in yet: 2 things are to be mended") || !strings.Contains(wrong.body, "“soon” is no day") {
		t.Errorf("a list that is not right: %.600s", wrong.body)
	}
	const list = "Name,Serial number,Is a,Calibrated on,Certificate,Holds to\n=cmd(),S-1,gauge,2026-01-05,C-1,2036-01-04\n"
	plan := tech.post(t, "/instruments/list", url.Values{"list": {list}})
	digest := regexp.MustCompile(`name="digest" value="([0-9a-f]{64})"`).FindStringSubmatch(plan.body)
	if digest == nil || !strings.Contains(plan.body, "1 instrument is new") || !strings.Contains(plan.body, "certificate C-1: holds to 4 January 2036") {
		t.Fatalf("the plan: %.900s", plan.body)
	}
	tech.post(t, "/instruments/list/take", url.Values{"list": {list}, "digest": {"another"}}).want(t, http.StatusConflict, "Look at it again")
	tech.post(t, "/instruments/list/take", url.Values{"list": {list}, "digest": {digest[1]}}).sent(t, "/instruments")
	file := tech.get(t, "/instruments/file")
	if !strings.Contains(file.body, "\n'=cmd(),S-1,gauge,") {
		t.Errorf("the register leaves as %q", file.body)
	}
	if again := tech.post(t, "/instruments/list", url.Values{"list": {file.body}}); !strings.Contains(again.body, `id="nothing"`) {
		t.Errorf("its own list once more: %.600s", again.body)
	}
}

// What a calibration puts in question is listed for those who may see it, and leaves as a table without formulas.
func TestTouchedInPages(t *testing.T) {
	s := newSite(t)
	in := s.everybody(t)
	ctx, trainee := t.Context(), s.people["trainee"]
	instrument, event := s.registered(t)
	must(t, s.OpenAttempt(ctx, trainee, s.id, true, true))
	hand := uuid.New()
	must(t, s.ChooseInstrument(ctx, trainee, s.id, app.NewInstrument{Instrument: decision.Instrument{ID: hand, Kind: "low-resistance ohmmeter", Serial: "om1"}}))
	must(t, s.RecordEntries(ctx, trainee, s.id, []app.NewEntry{typedWith(hand, "continuity", "=0.4")}))
	at := touchedAt(instrument, event)
	for who, want := range map[string]int{"tutor": 200, "assurer": 200, "manager": 200, "elsewhere": 200, "technician": 403, "verifier": 403, "trainee": 403, "stranger": 404} {
		a := in[who].get(t, at)
		if a.status != want {
			t.Errorf("%s: %d, want %d", who, a.status, want)
		}
		if sees, may := strings.Contains(a.body, "=0.4"), who == "tutor" || who == "assurer" || who == "manager"; sees != may {
			t.Errorf("%s sees the reading: %v", who, sees)
		}
	}
	if a := in["technician"].get(t, "/instruments/"+instrument.String()); !strings.Contains(a.body, "1 reading in 1 attempt") {
		t.Errorf("the technician is not told how many: %.300s", a.body)
	}
	file := in["assurer"].get(t, at+"/file")
	if !strings.Contains(file.body, ",'=0.4,") {
		t.Errorf("the table is %q", file.body)
	}
	in["tutor"].post(t, at+"/look", url.Values{"id": {uuid.NewString()}, "attempt": {s.id.String()}, "outcome": {"again"}, "words": {"Measure it with another."}}).sent(t, at+"#a-"+s.id.String())
	if a := in["assurer"].get(t, at); !strings.Contains(a.body, "to be measured again") {
		t.Errorf("what was found is not there: %.400s", a.body)
	}
}

func typedWith(hand uuid.UUID, item, text string) app.NewEntry {
	e := app.NewEntry{ID: uuid.New(), Instrument: hand}
	e.Item, e.Text = item, text
	return e
}
