package ui

import (
	"net/url"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// sheet is the attempt as its tutor sees it.
func (s *site) sheet(t *testing.T) app.Sheet {
	t.Helper()
	sheet, err := s.Sheet(t.Context(), s.people["tutor"], s.id)
	must(t, err)
	return sheet
}

// TestDecidingWithoutAScript goes from a question to an upheld appeal by forms alone.
func TestDecidingWithoutAScript(t *testing.T) {
	s := newSite(t)
	s.handIn(t)
	tutor, trainee, manager, second := s.in(t, "tutor"), s.in(t, "trainee"), s.in(t, "manager"), s.in(t, "second")
	with := func(pairs ...string) url.Values {
		form := url.Values{"revision": {itoa(s.sheet(t).Revision)}}
		for i := 0; i < len(pairs); i += 2 {
			form.Set(pairs[i], pairs[i+1])
		}
		return form
	}
	tutor.post(t, s.attempt+"/question", with("criterion", "H2/1.1")).want(t, 422, "Say it in a few words", `id="question-H2-1-1-summary"`)
	tutor.post(t, s.attempt+"/question", with("criterion", "H2/1.1", "words", "How did you <choose> it?")).sent(t, s.attempt+"#criterion-H2-1-1")
	tutor.get(t, s.attempt).want(t, 200, "To be asked:", "How did you &lt;choose&gt; it?", "Keep the answer")
	trainee.get(t, s.attempt).want(t, 200, "Your tutor will ask you about", "H2/1.1 Do 1.1.")
	trainee.get(t, s.attempt+"/feedback").want(t, 409, "there is no feedback to read yet")
	tutor.post(t, s.attempt+"/answer", with("criterion", "H2/1.1", "words", "By its range.")).sent(t, s.attempt+"#criterion-H2-1-1")

	who := "/people/" + s.people["second"].Person.String()
	manager.get(t, who).want(t, 200, "Their decisions stand by themselves. An assessor’s award is in date.")
	yesterday := time.Now().AddDate(0, 0, -1)
	manager.post(t, who+"/registrations/end", url.Values{"kind": {"assessor"}, "number": {"Award 1"}, "on": {yesterday.Format(time.DateOnly)}}).sent(t, who)
	manager.get(t, who).want(t, 200, "Their decisions wait for a countersignature. The assessor’s award ended on "+date(yesterday)+".")
	second.get(t, s.attempt).want(t, 200, "Your decisions wait for a countersignature. The assessor’s award ended on")
	manager.get(t, "/people?find=second").want(t, 200, "decisions are countersigned")
	for _, k := range s.sheet(t).Criteria {
		second.post(t, s.attempt+"/decide", with("criterion", k.Ref, "outcome", "not_yet_met", "reason", "sufficient", "words", "Show it.")).sent(t, s.attempt+"#criterion-"+idOf(k.Ref))
	}
	second.get(t, s.attempt).want(t, 200, "waits for a countersignature", "So you stand behind nobody else’s.")
	more := []string{"good", "Clean joints.", "missing", "The working.", "to_do", "Show <it>.", "by", "2099-05-20"}
	tutor.post(t, s.attempt+"/more-to-do", with(more...)).want(t, 409, "wait for a countersignature")
	tutor.post(t, s.attempt+"/countersign", with("password", "not it")).want(t, 422, "That is not your password")
	tutor.post(t, s.attempt+"/countersign", with("password", password)).sent(t, s.attempt)
	tutor.get(t, s.attempt).want(t, 200, "Countersigned by Person tutor")
	tutor.post(t, s.attempt+"/more-to-do", with("good", "Clean joints.")).want(t, 422, "Say what is missing.", "Say what to do about it.", "Say by when.", "Clean joints.")
	tutor.post(t, s.attempt+"/more-to-do", with(more...)).sent(t, s.attempt)

	trainee.get(t, s.attempt).want(t, 200, "What was good", "Show &lt;it&gt;.", "20 May 2099", "I have read this")
	trainee.get(t, s.attempt+"/feedback").want(t, 200, "Line by line", "Asked: “How did you &lt;choose&gt; it?”", "countersigned by Person tutor", "not right yet", "You think it was judged wrongly?")
	tutor.get(t, s.attempt+"/feedback").want(t, 200, "Line by line")
	tutor.get(t, s.attempt+"/mark-sheet").want(t, 200, "Findings, line by line", "Log: everything decided", decision.RoleCountersigned)
	trainee.get(t, s.attempt+"/mark-sheet").want(t, 403)
	trainee.post(t, s.attempt+"/acknowledge", url.Values{}).sent(t, s.attempt+"/feedback")
	trainee.get(t, s.attempt+"/feedback").want(t, 200, "You read this")
	trainee.post(t, s.attempt+"/appeal", url.Values{}).want(t, 422, "Say what you think was judged wrongly")
	trainee.post(t, s.attempt+"/appeal", url.Values{"words": {"It is on the second sheet."}}).sent(t, s.attempt+"/feedback")
	trainee.get(t, s.attempt+"/feedback").want(t, 200, "It is on the second sheet.", "Somebody who had no part")

	manager.get(t, "/second-looks").want(t, 200, "1 attempt waits", "an appeal to be heard", s.attempt+"#settle")
	manager.get(t, s.attempt).want(t, 200, "Hear the appeal")
	tutor.get(t, s.attempt).want(t, 200, "This is for an internal quality assurer or a centre manager.")
	manager.post(t, s.attempt+"/settle-appeal", with("outcome", "upheld")).want(t, 422, "Say why, so that the trainee can follow it.", `value="upheld"`)
	manager.post(t, s.attempt+"/settle-appeal", with("outcome", "upheld", "words", "So it is.")).sent(t, s.attempt)
	manager.get(t, "/second-looks").want(t, 200, "Nothing waits for you.")
	trainee.get(t, s.attempt).want(t, 200, "Upheld", "So it is.")
	in := s.everybody(t)
	in["assurer"].get(t, s.attempt).want(t, 200, "Stamp it")
	in["assurer"].post(t, s.attempt+"/decide", with("criterion", "H2/2.1", "outcome", "not_yet_met", "reason", "valid", "words", "Work it again.")).sent(t, s.attempt+"#criterion-H2-2-1")
	if sheet := s.sheet(t); sheet.State != decision.Checked || sheet.ID == uuid.Nil {
		t.Errorf("upheld, the attempt is %q", sheet.State)
	}
}
