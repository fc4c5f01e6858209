package ui

import (
	"cmp"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// received is what a script is told of lines that were kept: when, and the digest of each as it now stands.
type received struct {
	At  string            `json:"at"`
	Was map[string]string `json:"was"` // by the line's name
}

func (u *UI) recordEntries(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err := u.read(c, &struct{}{}); err != nil {
		return err
	}
	form := c.Request().PostForm
	entries, was, err := readEntries(form)
	if err == nil && len(entries) > 0 {
		err = u.app.RecordEntries(c.Request().Context(), who, id, entries)
	}
	if err == nil && wantsJSON(c) {
		return c.JSON(http.StatusOK, received{At: clock(u.now()), Was: was})
	}
	stage := form.Get("stage")
	return u.sheetForm(c, who, err, "stage-"+stage+"-form", "#stage-"+url.PathEscape(stage), "Kept.")
}

// readEntries reads the lines of a stage's form: "id:LINE" carries each line's id, "was:LINE" the digest of what the page
// showed, "text:", "unit:" and "working:" what stands there now. Lines that were not touched are left out.
func readEntries(form url.Values) (entries []app.NewEntry, was map[string]string, err error) {
	was = map[string]string{}
	for key := range form {
		line, ok := strings.CutPrefix(key, "id:")
		if !ok {
			continue
		}
		e := app.NewEntry{Entry: typedEntry(form, line), CapturedAt: moment(form.Get("at:" + line))}
		if e.Instrument, err = uuid.Parse(cmp.Or(form.Get("instrument:"+line), uuid.Nil.String())); err != nil {
			return nil, nil, fault.Invalid("text:"+line, "This page is too old to be sent. Load it again.")
		}
		was[line] = digestLine(e.Text, e.Unit, e.Working)
		if was[line] == form.Get("was:"+line) {
			continue
		}
		if e.ID, err = uuid.Parse(form.Get(key)); err != nil {
			return nil, nil, fault.Invalid("text:"+line, "This page is too old to be sent. Load it again.")
		}
		entries = append(entries, e)
	}
	slices.SortFunc(entries, func(a, b app.NewEntry) int { return strings.Compare(a.ID.String(), b.ID.String()) })
	return entries, was, nil
}

// typedEntry is what a form says of a line.
func typedEntry(form url.Values, line string) marking.Entry {
	e := lineEntry(line)
	e.Text, e.Unit = strings.TrimSpace(form.Get("text:"+line)), strings.TrimSpace(form.Get("unit:"+line))
	e.Working = strings.TrimSpace(strings.ReplaceAll(form.Get("working:"+line), "\r\n", "\n"))
	if e.Text == "" && e.Working == "" {
		e.Unit = "" // a unit alone says nothing
	}
	return e
}

// lineEntry is the entry that a line's name (item#part@phase) stands for.
func lineEntry(line string) marking.Entry {
	rest, phase, _ := strings.Cut(line, "@")
	item, part, _ := strings.Cut(rest, "#")
	return marking.Entry{Item: item, Part: part, Phase: brief.Phase(phase)}
}

// moment reads a script's clock, milliseconds since 1970; zero where there is none.
func moment(ms string) time.Time {
	n, err := strconv.ParseInt(ms, 10, 64)
	if err != nil || n <= 0 || n > 4e12 { // about the year 2096
		return time.Time{}
	}
	return time.UnixMilli(n).UTC()
}

// addFiles takes the files of an upload one after another, straight to where they are kept. The form's words come before
// its files.
func (u *UI) addFiles(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	item, n, err := u.takeFiles(c, who, id)
	if err == nil && n == 0 {
		err = fault.Invalid("file", "No file was chosen. Take or choose one, then add it.")
	}
	return u.sheetForm(c, who, err, "files-"+item, "#item-"+url.PathEscape(item), count(n, "file is", "files are")+" kept.")
}

// wordsMost bounds the words of an upload's form, in bytes.
const wordsMost = 64 << 10

// takeWord reads a part of an upload's form that is no file. All of them together have room for wordsMost bytes, so that many small
// ones fill no memory.
func takeWord(words url.Values, p *multipart.Part) error {
	room := wordsMost - len(p.FormName())
	for name := range words {
		room -= len(name) + len(words.Get(name))
	}
	text, err := io.ReadAll(io.LimitReader(p, int64(max(room, 0))+1))
	if err != nil {
		return echo.NewHTTPError(http.StatusBadRequest).SetInternal(err)
	}
	if len(text) > room {
		return echo.NewHTTPError(http.StatusRequestEntityTooLarge)
	}
	words.Set(p.FormName(), string(text))
	return nil
}

func (u *UI) takeFiles(c echo.Context, who account.Caller, id uuid.UUID) (item string, n int, err error) {
	parts, err := c.Request().MultipartReader()
	if err != nil {
		return "", 0, echo.NewHTTPError(http.StatusBadRequest).SetInternal(err)
	}
	words := url.Values{}
	for {
		p, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return words.Get("item"), n, nil
		}
		if err != nil {
			return words.Get("item"), n, echo.NewHTTPError(http.StatusBadRequest).SetInternal(err)
		}
		if p.FormName() != "file" {
			if err := takeWord(words, p); err != nil {
				return words.Get("item"), n, err
			}
			continue
		}
		if p.FileName() == "" { // an input that nothing was chosen in
			continue
		}
		if err := u.takeFile(c, who, id, words, p, n); err != nil {
			return words.Get("item"), n, err
		}
		n++
	}
}

// takeFile keeps one file. The form has one id; the files after the first get theirs from it, so that the same form sent
// twice keeps each file once.
func (u *UI) takeFile(c echo.Context, who account.Caller, attempt uuid.UUID, words url.Values, p *multipart.Part, n int) error {
	id, err := uuid.Parse(words.Get("id"))
	if err != nil {
		return fault.Invalid("file", "This page is too old to be sent. Load it again.")
	}
	if n > 0 {
		id = uuid.NewSHA1(id, []byte(strconv.Itoa(n)))
	}
	_, err = u.app.AddFile(c.Request().Context(), who, attempt, app.NewFile{
		ID: id, Item: words.Get("item"), Name: shortName(p.FileName()), Caption: strings.TrimSpace(words.Get("caption")),
		DeviceAt: moment(words.Get("at")), Digest: words.Get("digest"),
	}, p)
	return err
}

// shortName keeps the end of a name that is too long, where its kind stands.
func shortName(s string) string {
	r := []rune(strings.ToValidUTF8(s, "_"))
	if len(r) > 255 {
		r = r[len(r)-255:]
	}
	return string(r)
}
