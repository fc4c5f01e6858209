package app_test

import (
	"strings"
	"testing"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/fault"
)

// Publishing takes two people: whoever began a draft and whoever changed it last ask, somebody else publishes it.
func TestPublishingTakesTwoPeople(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	assurer := c.person(t, "una", account.QualityAssurer)
	print := func(title string) (string, string) {
		b := sample.Brief()
		b.Title = title
		src, err := brief.Print(b)
		must(t, err)
		return string(src), brief.Digest(src)
	}
	source, digest := print("First")
	id, version, err := c.SaveBrief(ctx, c.tutor, source, "")
	must(t, err)
	says(t, "nobody asked", c.PublishBrief(ctx, c.second, id, version, digest), fault.KindConflict, "", "has not asked for it to be checked")
	says(t, "by its author", c.PublishBrief(ctx, c.tutor, id, version, digest), fault.KindForbidden, "", "somebody else has to check")
	says(t, "asked by another", c.AskForCheck(ctx, c.second, id, version, digest, ""), fault.KindForbidden, "", "that is Person tess")
	must(t, c.AskForCheck(ctx, c.tutor, id, version, digest, "The limits are new."))
	says(t, "asked twice", c.AskForCheck(ctx, c.tutor, id, version, digest, ""), fault.KindConflict, "", "waits already")
	says(t, "sent back without words", c.SendBriefBack(ctx, c.second, id, version, digest, " "), fault.KindInvalid, "words", "what is to be put right")
	must(t, c.SendBriefBack(ctx, c.second, id, version, digest, "Which thermometer?"))
	says(t, "after it was sent back", c.PublishBrief(ctx, assurer, id, version, digest), fault.KindConflict, "", "has not asked")

	text, err := c.Brief(ctx, c.tutor, id, version)
	must(t, err)
	if b := text.SentBack(); b == nil || b.Words != "Which thermometer?" || !text.MayAsk || text.MayCheck || !text.MayDiscard || !strings.Contains(text.WhyNot, "You wrote") {
		t.Errorf("to its author, sent back: %+v", text.Checking)
	}
	must(t, c.AskForCheck(ctx, c.tutor, id, version, digest, ""))
	source, changed := print("Second")
	_, _, err = c.SaveBrief(ctx, c.second, source, digest)
	must(t, err)
	says(t, "of a text that is gone", c.PublishBrief(ctx, assurer, id, version, digest), fault.KindConflict, "", "Person ruben saved this draft")
	says(t, "asked of another text", c.PublishBrief(ctx, assurer, id, version, changed), fault.KindConflict, "", "has not asked")
	must(t, c.AskForCheck(ctx, c.second, id, version, changed, ""))
	says(t, "by who began it", c.PublishBrief(ctx, c.tutor, id, version, changed), fault.KindForbidden, "", "You wrote in this draft")
	says(t, "by who changed it", c.PublishBrief(ctx, c.second, id, version, changed), fault.KindForbidden, "", "You wrote in this draft")
	says(t, "thrown away by another", c.DiscardBrief(ctx, c.other, id, version, changed), fault.KindForbidden, "", "may throw it away")
	must(t, c.PublishBrief(ctx, assurer, id, version, changed))
	says(t, "thrown away once published", c.DiscardBrief(ctx, c.tutor, id, version, changed), fault.KindConflict, "", "already published")
}

// A draft that is thrown away is gone, and its key may be used again.
func TestDraftIsThrownAway(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	src, err := brief.Print(sample.Brief())
	must(t, err)
	id, version, err := c.SaveBrief(ctx, c.tutor, string(src), "")
	must(t, err)
	says(t, "another text", c.DiscardBrief(ctx, c.tutor, id, version, strings.Repeat("0", 64)), fault.KindConflict, "", "saved this draft")
	must(t, c.DiscardBrief(ctx, c.tutor, id, version, brief.Digest(src)))
	if _, err := c.Brief(ctx, c.tutor, id, version); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("the draft is %v", err)
	}
	_, _, err = c.SaveBrief(ctx, c.second, string(src), "")
	must(t, err)
}
