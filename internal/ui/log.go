package ui

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
)

// logWords is what the pages of the log say in the same words.
type logWords struct{}

// EntryWords is the kind of an entry as people read it.
func (logWords) EntryWords(kind string) string { return app.LogEntryWords(kind) }

// RoleWords is a role as people read it.
func (logWords) RoleWords(role string) string { return account.Role(role).Words() }

// Entries is a number of entries.
func (logWords) Entries(n int64) string { return count(int(n), "entry", "entries") }

// EntriesAre is a number of entries of which more is said.
func (logWords) EntriesAre(n int64) string { return count(int(n), "entry is", "entries are") }

// LogPage is the centre's decision log.
type LogPage struct {
	Frame
	logWords
	Log      app.DecisionLog
	Visiting bool // the reader is a verifier on their visit
	Form     Form
	Compared *app.ComparedLog // a checkpoint that was just brought, held against the log
	Older    int64            // the number below which the next page's entries are; 0 where there are none
}

func (*LogPage) template() string { return "log" }

// Unsigned is how many entries are not signed yet.
func (p *LogPage) Unsigned() int64 { return p.Log.Size - p.Log.Signed.Size }

// logHere is the place in the head that pages of the log belong to.
func logHere(who account.Caller) string {
	if who.Visit != uuid.Nil {
		return "/visit"
	}
	return "/centre"
}

func (u *UI) decisionLog(c echo.Context, who account.Caller) error {
	return u.showDecisionLog(c, who, Form{}, nil)
}

func (u *UI) showDecisionLog(c echo.Context, who account.Caller, f Form, compared *app.ComparedLog) error {
	below, err := strconv.ParseInt(c.QueryParam("below"), 10, 64)
	if err != nil {
		below = 0 // the newest
	}
	l, err := u.app.Log(c.Request().Context(), who, below)
	if err != nil {
		return err
	}
	p := &LogPage{Frame: Frame{Title: "Decision log", Here: logHere(who)}, Log: l, Visiting: who.Visit != uuid.Nil, Form: f.For("compare"), Compared: compared}
	if n := len(l.Rows); n > 0 {
		p.Older = l.Rows[n-1].Index
	}
	return u.render(c, who, f.Status(), p)
}

func (u *UI) compareLog(c echo.Context, who account.Caller) error {
	text, err := sentCheckpoint(c)
	var found app.ComparedLog
	if err == nil {
		found, err = u.app.CompareLog(c.Request().Context(), who, text)
	}
	if err != nil {
		return u.again(c, err, "compare", func(form Form) error { return u.showDecisionLog(c, who, form, nil) })
	}
	return u.showDecisionLog(c, who, Form{}, &found)
}

// sentCheckpoint is a checkpoint that was chosen as a file, else what was pasted.
func sentCheckpoint(c echo.Context) (string, error) {
	r := c.Request()
	r.Body = http.MaxBytesReader(c.Response(), r.Body, 4*app.LogNoteMost)
	h, err := c.FormFile("file")
	large := new(http.MaxBytesError)
	switch {
	case errors.As(err, &large):
		return "", fault.Invalid("checkpoint", "This is too long for a checkpoint, which has a few lines.")
	case errors.Is(err, http.ErrNotMultipart), errors.Is(err, http.ErrMissingFile), err == nil && h.Size == 0:
		return c.FormValue("checkpoint"), nil
	case err != nil:
		return "", echo.NewHTTPError(http.StatusBadRequest).SetInternal(err)
	}
	f, err := h.Open()
	if err != nil {
		return "", fmt.Errorf("read a checkpoint that was sent: %w", err)
	}
	text, err := io.ReadAll(f)
	return string(text), errors.Join(err, f.Close())
}

// LogEntryPage is one entry of the log, with the proof that it stands there.
type LogEntryPage struct {
	Frame
	logWords
	Entry app.LoggedEntry
}

func (*LogEntryPage) template() string { return "logentry" }

// Text is the entry's bytes, which are JSON.
func (p *LogEntryPage) Text() string { return string(p.Entry.Leaf) }

// LogFact is something that an entry says for everybody to read.
type LogFact struct{ Name, Value string }

// Facts is what the entry says, by name.
func (p *LogEntryPage) Facts() []LogFact {
	var fs []LogFact
	for _, name := range slices.Sorted(maps.Keys(p.Entry.Said.Facts)) {
		fs = append(fs, LogFact{strings.ReplaceAll(name, "_", " "), p.Entry.Said.Facts[name]})
	}
	return fs
}

func (u *UI) logEntry(c echo.Context, who account.Caller) error {
	e, err := u.loggedEntry(c, who)
	if err != nil {
		return err
	}
	return u.render(c, who, http.StatusOK, &LogEntryPage{Frame: Frame{Title: fmt.Sprintf("Entry %d of the decision log", e.Index), Here: logHere(who)}, Entry: e})
}

// loggedEntry is the entry of the page's address.
func (u *UI) loggedEntry(c echo.Context, who account.Caller) (app.LoggedEntry, error) {
	n, err := strconv.ParseInt(c.Param("index"), 10, 64)
	if err != nil || n < 0 {
		return app.LoggedEntry{}, fault.NotFound("There is no such page. Go back and choose again.")
	}
	return u.app.LogEntry(c.Request().Context(), who, n)
}

func (u *UI) logProof(c echo.Context, who account.Caller) error {
	e, err := u.loggedEntry(c, who)
	if err != nil {
		return err
	}
	if e.Proof.Checkpoint == "" {
		return fault.NotFound("This entry is not signed yet, so there is no proof of it. Come back in a minute.")
	}
	return sendText(c, fmt.Sprintf("entry-%d.tlog-proof", e.Index), e.Proof.Text())
}

func (u *UI) logLeaf(c echo.Context, who account.Caller) error {
	e, err := u.loggedEntry(c, who)
	if err != nil {
		return err
	}
	return sendText(c, fmt.Sprintf("entry-%d.json", e.Index), string(e.Leaf))
}

func (u *UI) logCheckpoint(c echo.Context, who account.Caller) error {
	signed, _, err := u.app.SignedLog(c.Request().Context(), who)
	if err != nil {
		return err
	}
	return sendText(c, fmt.Sprintf("checkpoint-%d.txt", signed.Size), signed.Note)
}

func (u *UI) logKeys(c echo.Context, who account.Caller) error {
	_, keys, err := u.app.SignedLog(c.Request().Context(), who)
	if err != nil {
		return err
	}
	var b strings.Builder
	for _, k := range keys {
		b.WriteString(k.Text + "\n")
	}
	return sendText(c, "log-keys.txt", b.String())
}

// sendText sends a text as a file to be kept.
func sendText(c echo.Context, name, text string) error {
	c.Response().Header().Set(echo.HeaderContentDisposition, attachment(name))
	return c.Blob(http.StatusOK, "text/plain; charset=utf-8", []byte(text))
}
