package ui

import (
	"context"
	"fmt"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
)

// draftForm is what the forms beside a draft send: what was read, and words to somebody else.
type draftForm struct {
	Digest string `form:"digest" validate:"required,max=64"`
	Words  string `form:"words" validate:"max=2000" say:"This is longer than 2000 characters. Say it more shortly."`
}

func (u *UI) askForCheck(c echo.Context, who account.Caller) error {
	return u.onDraft(c, who, "ask", "It waits for somebody else to check it.", func(ctx context.Context, id uuid.UUID, version int, f draftForm) error {
		return u.app.AskForCheck(ctx, who, id, version, f.Digest, f.Words)
	})
}

func (u *UI) sendBriefBack(c echo.Context, who account.Caller) error {
	return u.onDraft(c, who, "send-back", "Sent back. Whoever wrote it sees your words beside it.", func(ctx context.Context, id uuid.UUID, version int, f draftForm) error {
		return u.app.SendBriefBack(ctx, who, id, version, f.Digest, f.Words)
	})
}

func (u *UI) publishBrief(c echo.Context, who account.Caller) error {
	return u.onDraft(c, who, "publish", "Published. From now on this version never changes; a tutor sets it from the cohort's page.", func(ctx context.Context, id uuid.UUID, version int, f draftForm) error {
		return u.app.PublishBrief(ctx, who, id, version, f.Digest)
	})
}

// onDraft does something with the draft that the address names, and shows it again.
func (u *UI) onDraft(c echo.Context, who account.Caller, which, said string, do func(context.Context, uuid.UUID, int, draftForm) error) error {
	var f draftForm
	id, version, err := briefVersion(c)
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = do(c.Request().Context(), id, version, f)
	}
	if err != nil {
		return u.again(c, err, which, func(form Form) error { return u.showBrief(c, who, form) })
	}
	return u.taken(c, fmt.Sprintf("/briefs/%s/%d", id, version), said)
}

func (u *UI) discardBrief(c echo.Context, who account.Caller) error {
	var f draftForm
	id, version, err := briefVersion(c)
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.DiscardBrief(c.Request().Context(), who, id, version, f.Digest)
	}
	if err != nil {
		return u.again(c, err, "discard", func(form Form) error { return u.showBrief(c, who, form) })
	}
	return u.taken(c, "/briefs", "The draft is thrown away.")
}
