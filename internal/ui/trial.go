package ui

import (
	"fmt"
	"math/rand/v2"
	"net/http"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// TrialPage is a brief as a trainee would meet it, to be tried by whoever writes or checks it.
type TrialPage struct {
	Frame
	Sheet  *SheetView
	Back   string // the brief's page
	Draw   int64  // whose values; 0 for the model answer's
	Other  int64  // another trainee's
	Tried  bool
	Empty  bool       // nothing was put down to be marked
	Wrong  int        // lines that are not right, once tried
	Judged int        // lines that the marker judged
	Amiss  []ItemView // the items of those that are not right
}

func (*TrialPage) template() string { return "trial" }

// tryBrief shows the empty sheet, or the model answer marked where "model" is asked for.
func (u *UI) tryBrief(c echo.Context, who account.Caller) error {
	draw, err := drawOf(c.QueryParam("draw"))
	if err != nil {
		return err
	}
	return u.showTrial(c, who, app.Trial{Draw: draw, Model: c.QueryParam("model") != ""}, false)
}

// markTrial marks what was put down. Nothing of it is kept.
func (u *UI) markTrial(c echo.Context, who account.Caller) error {
	if err := u.read(c, &struct{}{}); err != nil {
		return err
	}
	form := c.Request().PostForm
	draw, err := drawOf(form.Get("draw"))
	if err != nil {
		return err
	}
	t := app.Trial{Draw: draw, Entries: []marking.Entry{}}
	for key := range form {
		line, ok := strings.CutPrefix(key, "id:")
		if !ok {
			continue
		}
		if e := typedEntry(form, line); e.Text != "" || e.Working != "" {
			t.Entries = append(t.Entries, e)
		}
	}
	return u.showTrial(c, who, t, len(t.Entries) == 0)
}

func (u *UI) showTrial(c echo.Context, who account.Caller, t app.Trial, empty bool) error {
	id, version, err := briefVersion(c)
	if err != nil {
		return err
	}
	s, err := u.app.TryBrief(c.Request().Context(), who, id, version, t)
	if err != nil {
		return err
	}
	v := newSheetView(s, Form{})
	v.Trying, v.Tutor, v.Findings = true, true, len(t.Entries) > 0 || t.Model
	p := &TrialPage{
		Frame: Frame{Title: "Try it: " + s.BriefTitle, Here: "/briefs"}, Sheet: v, Back: fmt.Sprintf("/briefs/%s/%d", id, version),
		Draw: t.Draw, Other: 1 + rand.Int64N(1e6), Tried: v.Findings, Empty: empty,
	}
	p.count()
	return u.render(c, who, http.StatusOK, p)
}

// count counts the lines that were judged, and those of them that are not right, with the items that have them.
func (p *TrialPage) count() {
	for _, st := range p.Sheet.Stages {
		for _, it := range st.Items {
			before := p.Wrong
			for _, l := range it.Lines {
				if l.Finding == nil || l.Finding.Verdict == marking.Recorded {
					continue
				}
				p.Judged++
				if l.Mark() != "good" {
					p.Wrong++
				}
			}
			if p.Wrong > before {
				p.Amiss = append(p.Amiss, it)
			}
		}
	}
}

// drawOf reads which trainee's values are asked for.
func drawOf(text string) (int64, error) {
	if text == "" {
		return 0, nil
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 0 {
		return 0, fault.NotFound("There are no such values. Go back to the brief and try it from there.")
	}
	return n, nil
}
