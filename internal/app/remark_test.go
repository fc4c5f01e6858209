package app_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// next publishes the next version of the sample brief with a change to it.
func (c *centre) next(t *testing.T, change func(*brief.Brief)) int {
	t.Helper()
	ctx := t.Context()
	v, err := c.db.LatestBriefByKey(ctx, c.id, sample.Brief().Key)
	must(t, err)
	b := sample.Brief()
	change(b)
	src, err := brief.Print(b)
	must(t, err)
	id, version, err := c.SaveBrief(ctx, c.tutor, string(src), v.Digest)
	must(t, err)
	must(t, c.AskForCheck(ctx, c.tutor, id, version, brief.Digest(src), ""))
	must(t, c.PublishBrief(ctx, c.second, id, version, brief.Digest(src)))
	return version
}

// doubled makes the pump's share come out twice as large.
func doubled(b *brief.Brief) {
	it, _, _ := b.Item("share")
	it.Figure.Formula = "2 × pr / heat"
	for i := range b.Model {
		if b.Model[i].Item == "share" {
			b.Model[i].Text = "0.57"
		}
	}
}

// works does the queue's part of a correction, as often as it asks for.
func (c *centre) works(t *testing.T, id uuid.UUID) app.RemarkReport {
	t.Helper()
	for range 3 {
		must(t, c.WorkRemark(t.Context(), c.id, id))
	}
	r, err := c.RemarkReport(t.Context(), c.tutor, id, 1)
	must(t, err)
	return r
}

// A correction says first who loses and which decision rests on it; it takes effect on what is open and leaves what is signed off;
// what changed in between is marked once more; and the old results stay.
func TestACorrectionReportsBeforeItTakesEffect(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	first := c.set(t)
	c.do(t, first)
	s := c.mark(t, first)
	must(t, c.Decide(ctx, c.tutor, first, s.Revision, decision.Judgement{Criterion: "H2/2.1", Outcome: decision.Met}))
	version := c.next(t, doubled)
	ask := app.AskRemark{Brief: c.brief, From: 1, To: version, Words: "The pump runs at both ends."}
	for _, bad := range []struct {
		what string
		who  account.Caller
		ask  app.AskRemark
		want fault.Kind
	}{
		{"a trainee", c.trainee, ask, fault.KindForbidden},
		{"no words", c.tutor, app.AskRemark{Brief: c.brief, From: 1, To: version}, fault.KindInvalid},
		{"backwards", c.tutor, app.AskRemark{Brief: c.brief, From: version, To: 1, Words: "x"}, fault.KindInvalid},
		{"another brief", c.tutor, app.AskRemark{Brief: newID(t), From: 1, To: 2, Words: "x"}, fault.KindNotFound},
	} {
		_, err := c.AskRemark(ctx, bad.who, bad.ask)
		wantKind(t, bad.what, err, bad.want)
	}
	id, err := c.AskRemark(ctx, c.tutor, ask)
	must(t, err)
	_, err = c.AskRemark(ctx, c.tutor, ask)
	wantKind(t, "a second one meanwhile", err, fault.KindConflict)
	r := c.works(t, id)
	if r.State != app.RemarkMarked || len(r.Rows) != 1 || r.Rows[0].Shift != string(marking.Down) || !slices.Equal(r.Rows[0].Rests, []string{"H2/2.1"}) {
		t.Fatalf("the report is %+v", r)
	}
	if l := r.Rows[0].Lines[0]; l.Line != "share" || l.Was != marking.Correct || l.Now != marking.Wrong || !strings.HasPrefix(l.NowRef, "0.5") {
		t.Errorf("the line is %+v", l)
	}
	if got, err := c.Sheet(ctx, c.tutor, first); err != nil || got.Version != 1 || got.Marks != s.Marks {
		t.Errorf("before it takes effect the sheet is version %d with %d marks (%v)", got.Version, got.Marks, err)
	}
	// A check reading in between: what was marked no longer stands as it stood.
	c.now = c.now.Add(time.Hour)
	must(t, c.EnterCheckReading(ctx, c.tutor, first, app.CheckReading{Item: "continuity"}, password))
	if r = c.works(t, id); !r.Rows[0].Moved {
		t.Error("the report does not say that the attempt changed since")
	}
	must(t, c.TakeRemark(ctx, c.tutor, id))
	if r = c.works(t, id); r.State != app.RemarkTaken || r.Took != 1 {
		t.Fatalf("it is %s and took effect on %d", r.State, r.Took)
	}
	got := c.mark(t, first) // the queue's part
	if v, _ := c.verdict(t, first, "share"); v != marking.Wrong || got.Version != version || got.Marks >= s.Marks {
		t.Errorf("then share is %s, version %d, %d marks", v, got.Version, got.Marks)
	}
	if d := decision.Judged(got.Records, "H2/2.1"); d == nil || d.Outcome != string(decision.Met) {
		t.Error("the decision did not stay")
	}
	if l := decision.Latest(got.Records, decision.KindCorrected, sample.Brief().Key); l == nil || l.Words != ask.Words || l.ByName != c.tutor.Name {
		t.Errorf("the record is %+v", l)
	}
	ms, err := c.db.Markings(ctx, c.id, first)
	must(t, err)
	if len(ms) < 2 || ms[len(ms)-1].Result.Marks != s.Marks {
		t.Errorf("%d results are kept, the first with other marks", len(ms))
	}
}

// What is signed off is listed and not touched.
func TestACorrectionLeavesWhatIsSignedOff(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.set(t)
	c.do(t, id)
	c.mark(t, id)
	for _, ref := range sample.Brief().CriterionRefs() {
		s, err := c.Sheet(ctx, c.tutor, id)
		must(t, err)
		must(t, c.Decide(ctx, c.tutor, id, s.Revision, decision.Judgement{Criterion: ref, Outcome: decision.Met}))
	}
	s, err := c.Sheet(ctx, c.tutor, id)
	must(t, err)
	must(t, c.SignOff(ctx, c.tutor, id, s.Revision, password, "Well done."))
	version := c.next(t, doubled)
	remark, err := c.AskRemark(ctx, c.tutor, app.AskRemark{Brief: c.brief, From: 1, To: version, Words: "The pump runs at both ends."})
	must(t, err)
	r := c.works(t, remark)
	if len(r.Rows) != 1 || r.Rows[0].Live || r.Taking != 0 {
		t.Fatalf("the report is %+v", r)
	}
	must(t, c.TakeRemark(ctx, c.tutor, remark))
	if r = c.works(t, remark); r.State != app.RemarkTaken || r.Took != 0 {
		t.Errorf("it is %s and took effect on %d", r.State, r.Took)
	}
	if got, err := c.Sheet(ctx, c.tutor, id); err != nil || got.Version != 1 || got.Revision != s.Revision+1 {
		t.Errorf("the signed-off sheet is version %d at revision %d (%v)", got.Version, got.Revision, err)
	}
}

// A version that asks for other things corrects nothing.
func TestAVersionThatAsksForOtherThingsCorrectsNothing(t *testing.T) {
	c := newCentre(t)
	c.set(t)
	version := c.next(t, func(b *brief.Brief) {
		why, _, _ := b.Item("why")
		more := *why
		more.Key, more.Title = "more", "What you heard"
		b.Stages[0].Items = append(b.Stages[0].Items, more)
	})
	_, err := c.AskRemark(t.Context(), c.tutor, app.AskRemark{Brief: c.brief, From: 1, To: version, Words: "x"})
	wantKind(t, "another item", err, fault.KindConflict)
	if err == nil || !strings.Contains(err.Error(), "What you heard is new.") {
		t.Errorf("it says %v", err)
	}
}

// With work of two cohorts under one version, a tutor of one of them reads their part of the report and lets nothing take effect;
// whoever sees everything does.
func TestACorrectionIsTakenByWhoeverSeesAllOfIt(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	first := c.set(t)
	c.do(t, first)
	c.mark(t, first)
	una := c.person(t, "una", account.Trainee)
	evening, err := c.AddCohort(ctx, c.manager, "Tuesday evening")
	must(t, err)
	must(t, c.AddMember(ctx, c.manager, evening, c.other.Person, store.PartTutor))
	must(t, c.AddMember(ctx, c.manager, evening, una.Person, store.PartTrainee))
	_, err = c.SetBrief(ctx, c.other, app.SetBrief{Brief: c.brief, Version: 1, Cohort: evening})
	must(t, err)
	version := c.next(t, doubled)
	id, err := c.AskRemark(ctx, c.tutor, app.AskRemark{Brief: c.brief, From: 1, To: version, Words: "The pump runs at both ends."})
	must(t, err)
	if r := c.works(t, id); r.Beyond != 1 || r.Taking != 2 || r.All != 1 || r.Hidden != 0 {
		t.Errorf("the tutor of one cohort is told of %d beyond of %d, %d seen and %d hidden", r.Beyond, r.Taking, r.All, r.Hidden)
	}
	r, err := c.RemarkReport(ctx, c.other, id, 1)
	if must(t, err); len(r.Rows) != 0 || r.Hidden != 1 || r.Beyond != 1 {
		t.Errorf("the tutor of the other cohort reads %d rows, %d hidden, %d beyond", len(r.Rows), r.Hidden, r.Beyond)
	}
	for _, who := range []account.Caller{c.tutor, c.other} {
		err := c.TakeRemark(ctx, who, id)
		if wantKind(t, who.Name, err, fault.KindForbidden); err == nil || !strings.Contains(err.Error(), "quality assurer or a centre manager") {
			t.Errorf("%s is told %v", who.Name, err)
		}
	}
	assurer := c.person(t, "iris", account.QualityAssurer)
	for _, who := range []account.Caller{assurer, c.manager} {
		if r, err := c.RemarkReport(ctx, who, id, 1); err != nil || r.Beyond != 0 || r.All != 1 || r.Hidden != 0 {
			t.Errorf("%s reads %d rows, %d hidden, %d beyond (%v)", who.Name, r.All, r.Hidden, r.Beyond, err)
		}
	}
	must(t, c.TakeRemark(ctx, c.manager, id))
	if r := c.works(t, id); r.State != app.RemarkTaken || r.Took != 2 || r.SettledAs != string(account.Manager) {
		t.Errorf("it is %s, took effect on %d, settled as %s", r.State, r.Took, r.SettledAs)
	}
}

// A report goes on page after page until every row was read once.
func TestACorrectionsReportIsPaged(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	trainees := []account.Caller{c.trainee, c.person(t, "una", account.Trainee), c.person(t, "viv", account.Trainee)}
	for _, who := range trainees[1:] {
		must(t, c.AddMember(ctx, c.manager, c.cohort, who.Person, store.PartTrainee))
	}
	s := c.published(t, sample.Brief())
	c.brief = s.Brief
	_, err := c.SetBrief(ctx, c.tutor, s)
	must(t, err)
	left := map[uuid.UUID]bool{}
	for _, c.trainee = range trainees {
		mine, err := c.MyTasks(ctx, c.trainee)
		must(t, err)
		c.do(t, mine[0].Attempt)
		c.mark(t, mine[0].Attempt)
		left[mine[0].Attempt] = true
	}
	version := c.next(t, doubled)
	id, err := c.AskRemark(ctx, c.tutor, app.AskRemark{Brief: c.brief, From: 1, To: version, Words: "The pump runs at both ends."})
	must(t, err)
	if r := c.works(t, id); r.All != 3 || len(r.Rows) != 3 || r.Page.Next() != 0 {
		t.Fatalf("the report has %d of %d rows", len(r.Rows), r.All)
	}
	if r, err := c.RemarkReport(ctx, c.tutor, id, 2); err != nil || len(r.Rows) != 0 || r.All != 3 {
		t.Errorf("the page after the last has %d rows of %d (%v)", len(r.Rows), r.All, err)
	}
	for from := range 3 {
		r, err := c.db.RemarkReport(ctx, c.id, store.RemarkAsked{Remark: id, Viewer: c.tutor.Person, Limit: 1, Offset: from})
		must(t, err)
		if len(r.Rows) != 1 || r.Seen != 3 || !left[r.Rows[0].Attempt] {
			t.Fatalf("from %d on there are %d rows of %d", from, len(r.Rows), r.Seen)
		}
		delete(left, r.Rows[0].Attempt)
	}
}
