package ui

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
)

// DifferencePage is two versions of a brief held against one another line by line.
type DifferencePage struct {
	Frame
	app.Difference
}

func (*DifferencePage) template() string { return "difference" }

// Others lists the versions that this one may be held against.
func (p *DifferencePage) Others() []Option {
	var out []Option
	for _, v := range p.Versions {
		if v.Version != p.Now.Version {
			out = append(out, Option{Value: strconv.Itoa(v.Version), Text: fmt.Sprintf("version %d (%s)", v.Version, v.State), Chosen: v.Version == p.Was.Version})
		}
	}
	return out
}

// Counts says how many lines are taken out and put in.
func (p *DifferencePage) Counts() string { return diffCounts(p.Lines) }

func diffCounts(lines []brief.DiffLine) string {
	out, in := 0, 0
	for _, l := range lines {
		switch {
		case !l.Changed():
		case l.Now == 0:
			out++
		default:
			in++
		}
	}
	return count(out, "line", "lines") + " taken out, " + strconv.Itoa(in) + " put in"
}

func (u *UI) briefDifference(c echo.Context, who account.Caller) error {
	id, version, err := briefVersion(c)
	if err != nil {
		return err
	}
	was := 0
	if s := c.QueryParam("from"); s != "" {
		if was, err = strconv.Atoi(s); err != nil || was < 1 {
			return fault.NotFound("There is no such version of the brief. Go back and choose again.")
		}
	}
	d, err := u.app.BriefDifference(c.Request().Context(), who, id, was, version)
	if err != nil {
		return err
	}
	return u.render(c, who, http.StatusOK, &DifferencePage{Frame: Frame{Title: "What changed: " + d.Now.Title, Here: "/briefs"}, Difference: d})
}

// briefFile gives a version's file.
func (u *UI) briefFile(c echo.Context, who account.Caller) error {
	t, err := u.versionOf(c, who)
	if err != nil {
		return err
	}
	name := fmt.Sprintf("%s-version-%d.yaml", t.Key, t.Version)
	c.Response().Header().Set(echo.HeaderContentDisposition, mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	return c.Blob(http.StatusOK, "application/yaml; charset=utf-8", []byte(t.Source))
}

// openFile shows a brief file from the reader's own machine on the sheet. Nothing is kept before it is saved.
func (u *UI) openFile(c echo.Context, who account.Caller) error {
	text, err := uploadedText(c)
	if err != nil {
		return u.again(c, err, "open", func(form Form) error { return u.showBriefs(c, who, form) })
	}
	p := u.page(front, text, "A brief from a file")
	b, problems, err := u.app.CheckBrief(c.Request().Context(), who, text)
	if err != nil {
		return err
	}
	p.Checked, p.Changed, p.Problems, p.Ready = true, true, problems, b != nil && problems.Err() == nil
	p.turn(written{text: text}, problems)
	if b != nil {
		p.Title = cmp.Or(b.Title, p.Title)
		if v, err := u.app.NewestOfKey(c.Request().Context(), who, b.Key); err == nil {
			p.Over, p.Back = v.Digest, fmt.Sprintf("/briefs/%s/%d", v.Brief, v.Version)
			p.Instead = instead(v)
		} else if fault.KindOf(err) != fault.KindNotFound {
			return err
		}
	}
	return u.writing(c, who, http.StatusOK, p)
}

// instead says what saving puts a text in place of.
func instead(v app.BriefVersion) string {
	if v.State == "draft" {
		return fmt.Sprintf("There is a draft of this brief already, version %d, saved by %s. Saving puts this text in its place.", v.Version, v.WriterName)
	}
	return fmt.Sprintf("There is a brief with the key “%s” already. Saving makes its version %d.", v.Key, v.Version+1)
}

func uploadedText(c echo.Context) (string, error) {
	h, err := c.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) || errors.Is(err, http.ErrNotMultipart) {
		return "", fault.Invalid("file", "Choose a brief file from your machine first.")
	} else if err != nil {
		return "", echo.NewHTTPError(http.StatusBadRequest).SetInternal(err)
	}
	if h.Size > brief.MaxBytes {
		return "", fault.Invalid("file", "This file is too large for a brief: it has %d bytes at most.", brief.MaxBytes)
	}
	f, err := h.Open()
	if err != nil {
		return "", fmt.Errorf("open an uploaded brief: %w", err)
	}
	defer func() { _ = f.Close() }() // it was only read
	raw, err := io.ReadAll(f)
	if err != nil {
		return "", fmt.Errorf("read an uploaded brief: %w", err)
	}
	text := strings.TrimPrefix(strings.ReplaceAll(string(raw), "\r\n", "\n"), "\ufeff")
	if !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
		return "", fault.Invalid("file", "This is no text file in UTF-8. Save the brief as plain text and choose it again.")
	}
	return text, nil
}

// copyBrief shows a version on a fresh sheet, under a key of its own.
func (u *UI) copyBrief(c echo.Context, who account.Caller) error {
	t, err := u.versionOf(c, who)
	if err != nil {
		return err
	}
	b, err := brief.Read([]byte(t.Source))
	if err != nil {
		return fault.Conflict("This version cannot be read, so there is nothing to copy. Save its file and mend that.")
	}
	if b.Key, err = u.freeKey(c, who, b.Key); err != nil {
		return err
	}
	src, err := brief.PrintOver(b, []byte(t.Source))
	if err != nil {
		return fmt.Errorf("copy a brief: %w", err)
	}
	p := u.page(front, string(src), "A copy of "+t.Title)
	p.Back, p.Changed = fmt.Sprintf("/briefs/%s/%d", t.BriefVersion.Brief, t.Version), true
	return u.writing(c, who, http.StatusOK, p)
}

// freeKey is a key like the one given that no brief has.
func (u *UI) freeKey(c echo.Context, who account.Caller, key string) (string, error) {
	for n := 1; ; n++ {
		free := key + "-copy"
		if n > 1 {
			free += strconv.Itoa(n)
		}
		_, err := u.app.NewestOfKey(c.Request().Context(), who, free)
		if fault.KindOf(err) == fault.KindNotFound {
			return free, nil
		} else if err != nil {
			return "", err
		}
	}
}
