package ui

import (
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
)

// correction publishes a second version of the site's brief, in which a tolerance is wider, and has it applied to the first.
func (s *site) correction(t *testing.T, id uuid.UUID) string {
	t.Helper()
	ctx, tutor := t.Context(), s.people["tutor"]
	v, err := s.Brief(ctx, tutor, id, 1)
	must(t, err)
	b, err := brief.Read([]byte(v.Source))
	must(t, err)
	it, _, _ := b.Item("heat")
	it.Figure.Tolerance.Relative = "4 %"
	src, err := brief.Print(b)
	must(t, err)
	_, version, err := s.SaveBrief(ctx, tutor, string(src), v.Digest)
	must(t, err)
	must(t, s.AskForCheck(ctx, tutor, id, version, brief.Digest(src), ""))
	must(t, s.PublishBrief(ctx, s.people["elsewhere"], id, version, brief.Digest(src)))
	remark, err := s.AskRemark(ctx, tutor, app.AskRemark{Brief: id, From: 1, To: version, Words: "It was too narrow."})
	must(t, err)
	return "/corrections/" + remark.String()
}

// A correction is asked for, worked, read and let take effect through its pages.
func TestACorrectionThroughItsPages(t *testing.T) {
	s := newSite(t)
	in := s.everybody(t)
	briefs, err := s.Briefs(t.Context(), s.people["tutor"])
	must(t, err)
	at := s.correction(t, briefs[0].Brief)
	id := uuid.MustParse(strings.TrimPrefix(at, "/corrections/"))
	tutor := in["tutor"]
	says := func(want string) {
		t.Helper()
		if page := tutor.get(t, at).body; !strings.Contains(page, want) {
			t.Errorf("no %q on the page", want)
		}
	}
	says("Marking again: 0 of 0 done")
	tutor.post(t, at+"/stop", nil).sent(t, at)
	says("Stopped with 0 of 0 done")
	tutor.post(t, at+"/go-on", nil).sent(t, at)
	must(t, s.WorkRemark(t.Context(), s.people["tutor"].Centre, id))
	says("Let it take effect")
	says("1 of them not marked yet")
	tutor.post(t, at+"/take", nil).sent(t, at)
	must(t, s.WorkRemark(t.Context(), s.people["tutor"].Centre, id))
	says("It took effect on 1 attempt")
	if page := tutor.get(t, s.attempt).body; !strings.Contains(page, "held against version 2 in place of version 1") {
		t.Error("the attempt's page does not say that the brief was corrected")
	}
	if a := tutor.post(t, at+"/drop", nil); a.status != 409 {
		t.Errorf("dropped after it took effect: %d", a.status)
	}
}
