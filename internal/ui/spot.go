package ui

import (
	"encoding/json"
	"fmt"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// SpotPage is the hold points that a tutor may release where there is no signal, kept on their phone.
type SpotPage struct {
	Frame
	Rows []SpotRow
}

func (*SpotPage) template() string { return "spot" }

// SpotRow is one hold point.
type SpotRow struct{ app.SpotRow }

// Data is the codes of the days, for the page's script.
func (r SpotRow) Data() (string, error) { return asJSON(r.Codes) }

// ID is the row's id on the page.
func (r SpotRow) ID() string { return "spot-" + r.Attempt.String() + "-" + idOf(r.Stage) }

// Days says in words for which days the phone is prepared.
func (r SpotRow) Days() string {
	var days []string
	for _, c := range r.Codes {
		if d, err := time.Parse(time.DateOnly, c.Day); err == nil {
			days = append(days, date(d))
		}
	}
	return join(days)
}

func (u *UI) onTheSpot(c echo.Context, who account.Caller) error {
	rows, err := u.app.SpotBoard(c.Request().Context(), who)
	if err != nil {
		return err
	}
	p := &SpotPage{Frame: Frame{Title: "On the spot", Here: "/bench"}}
	for _, r := range rows {
		p.Rows = append(p.Rows, SpotRow{r})
	}
	return u.render(c, who, 200, p)
}

// Codes is what the trainee's phone checks the code of this hold point by, for its script; "" where there is none.
func (s StageView) Codes() (string, error) {
	checks := s.On.Checks[s.Key]
	if len(checks) == 0 {
		return "", nil
	}
	return asJSON(checks)
}

// asJSON is a value as a page's data attribute holds it.
func asJSON(v any) (string, error) {
	b, err := json.Marshal(v)
	if err != nil {
		return "", fmt.Errorf("write data for a script: %w", err)
	}
	return string(b), nil
}

// SpotView is a release on the spot that is not confirmed, in words.
type SpotView struct {
	app.SheetSpot
	Refused bool
}

// Spots lists what the two phones tell of releases on the spot and is not confirmed.
func (s StageView) Spots() []SpotView {
	var vs []SpotView
	for _, x := range s.Hold.Spots {
		vs = append(vs, SpotView{x, x.State == decision.SpotRefused})
	}
	return vs
}

// onTheSpot says whether a hold point was released where nobody had signal.
func onTheSpot(r *decision.Record) bool { return r != nil && r.Outcome == decision.ReleasedOnTheSpot }
