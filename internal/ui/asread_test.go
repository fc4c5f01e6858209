package ui

import (
	"fmt"
	"net/url"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/marking"
	"witnessmark/internal/quantity"
)

// While an attempt is open, nothing that is said of a typed line may tell whether it is right: the answers to a right and to a
// wrong value differ in the value alone, whatever else stands on the sheet.
func TestALookTellsNothing(t *testing.T) {
	s := newSite(t)
	ctx, trainee := t.Context(), s.people["trainee"]
	must(t, s.OpenAttempt(ctx, trainee, s.id, true, true))
	v := s.in(t, "trainee")
	right := map[string]string{}
	for _, e := range sample.Brief().Model {
		right[e.Item] = e.Text
	}
	ask := func(line, text, unit string) string {
		return v.post(t, s.attempt+"/look", url.Values{"line": {line}, "text": {text}, "unit": {unit}, "working": {text + " × 1 = " + text}}).want(t, 200).body
	}
	bare := func(body, text string) string { return strings.ReplaceAll(body, text, "N") }
	looked := 0
	for _, st := range sample.Brief().Stages {
		for _, it := range st.Items {
			if it.Figure == nil || right[it.Key] == "" {
				continue
			}
			n, err := quantity.ParseNumber(right[it.Key])
			if err != nil {
				continue // an ambiguous one
			}
			looked++
			wrong := quantity.RoundDecimals(n.Value()+1, n.Decimals())
			for _, unit := range []string{"", "kW", "K", "L/min"} {
				if !it.Figure.AskUnit && unit != "" {
					continue
				}
				r, w := ask(it.Key, right[it.Key], unit), ask(it.Key, wrong, unit)
				if bare(r, right[it.Key]) != bare(w, wrong) {
					t.Errorf("%s in %q: the look tells %s from %s:\n%s\n%s", it.Key, unit, right[it.Key], wrong, r, w)
				}
			}
		}
	}
	if looked < 2 {
		t.Fatalf("%d figures were looked at", looked)
	}
	before := ask("heat", "15.8", "kW")
	must(t, s.RecordEntries(ctx, trainee, s.id, []app.NewEntry{{ID: uuid.New(), Entry: marking.Entry{Item: "tf", Phase: brief.AsLeft, Text: "69.8"}}}))
	if after := ask("heat", "15.8", "kW"); after != before {
		t.Errorf("a look depends on what else was put down:\n%s\n%s", before, after)
	}
}

func TestWhoMayLook(t *testing.T) {
	s := newSite(t)
	must(t, s.OpenAttempt(t.Context(), s.people["trainee"], s.id, true, true))
	look := url.Values{"line": {"continuity"}, "text": {"> 200"}, "unit": {"mΩ"}}
	s.in(t, "trainee").post(t, s.attempt+"/look", look).want(t, 200, "Read as out of range of the instrument, more than", "<mtext>\u2009mΩ</mtext>")
	s.in(t, "tutor").post(t, s.attempt+"/look", look).want(t, 200, "more than")
	(&visitor{site: s}).post(t, s.attempt+"/look", look).want(t, 303)
	s.in(t, "trainee").post(t, "/attempts/"+uuid.NewString()+"/look", look).want(t, 404)
	s.in(t, "trainee").post(t, s.attempt+"/look", url.Values{"line": {"nowhere"}, "text": {"1"}}).want(t, 404)
	s.in(t, "trainee").post(t, s.attempt+"/look", url.Values{"line": {"continuity"}, "text": {strings.Repeat("1", 5000)}}).want(t, 422)
	sheet, err := s.Sheet(t.Context(), s.people["tutor"], s.id)
	must(t, err)
	for _, st := range sheet.Stages {
		for _, it := range st.Items {
			for _, l := range it.Lines {
				if l.Entry != nil {
					t.Errorf("%s: a look kept %q", l.Item, l.Entry.Text)
				}
			}
		}
	}
}

// What people type is shown as they typed it, and is no mark-up.
func TestALookIsNoMarkUp(t *testing.T) {
	s := newSite(t)
	must(t, s.OpenAttempt(t.Context(), s.people["trainee"], s.id, true, true))
	v := s.in(t, "trainee")
	for _, line := range []string{"continuity", "heat"} {
		body := v.post(t, s.attempt+"/look", url.Values{"line": {line}, "text": {hostile}, "unit": {hostile[:40]}, "working": {"x = " + hostile + "\n1 + " + hostile}}).want(t, 200).body
		for _, bad := range []string{"<script", "<img", `onerror=alert(1)>`} {
			if strings.Contains(strings.ToLower(body), bad) {
				t.Errorf("%s: %q stands in what is said: %s", line, bad, body)
			}
		}
	}
}

func TestALookAtATrial(t *testing.T) {
	s := newSite(t)
	tutor := s.in(t, "tutor")
	briefs, err := s.Briefs(t.Context(), s.people["tutor"])
	must(t, err)
	at := fmt.Sprintf("/briefs/%s/%d", briefs[0].Brief, briefs[0].Version)
	tutor.get(t, at+"/try").want(t, 200, `data-look="`+at+`/look"`)
	tutor.post(t, at+"/look", url.Values{"line": {"continuity"}, "text": {"0,5"}}).want(t, 200, `data-plain="0.5"`, "your tutor reads it")
	s.in(t, "trainee").post(t, at+"/look", url.Values{"line": {"continuity"}, "text": {"0.5"}}).want(t, 403)
}

func TestInstrumentByTheFormAlone(t *testing.T) {
	s := newSite(t)
	must(t, s.OpenAttempt(t.Context(), s.people["trainee"], s.id, true, true))
	v := s.in(t, "trainee")
	id := uuid.NewString()
	form := url.Values{"id": {id}, "kind": {"low-resistance ohmmeter"}, "serial": {""}, "due": {"2026-01-31"}, "stage": {"2"}, "number": {"0"}}
	v.post(t, s.attempt+"/instruments", form).want(t, 422, "Type the serial number as it stands on the label.")
	form.Set("serial", "OM-<1>")
	form.Set("due", "31/1/26")
	v.post(t, s.attempt+"/instruments", form).want(t, 422, "Choose the date as it stands on the label")
	form.Set("due", "2026-01-31")
	v.post(t, s.attempt+"/instruments", form).sent(t, s.attempt+"#stage-2")
	v.get(t, s.attempt).want(t, 200, "serial OM-&lt;1&gt;, calibration due 31 January 2026", `value="`+id+`" data-kind="low-resistance ohmmeter"`, `data-item="instrument/`+id+`"`)
	v.post(t, s.attempt+"/entries", url.Values{"stage": {"2"}, "id:continuity": {uuid.NewString()}, "text:continuity": {"120"}, "unit:continuity": {"mΩ"}, "instrument:continuity": {id}}).sent(t, s.attempt+"#stage-2")
	s.in(t, "tutor").get(t, s.attempt).want(t, 200, "Read with: low-resistance ohmmeter, serial OM-&lt;1&gt;, calibration due 31 January 2026.", "calibration had run out")
	v.get(t, s.attempt).want(t, 200, `<option value="mΩ" selected>`)
	v.post(t, s.attempt+"/entries", url.Values{"stage": {"2"}, "id:continuity": {uuid.NewString()}, "text:continuity": {"121"}, "instrument:continuity": {"x"}}).want(t, 422, "too old")
}
