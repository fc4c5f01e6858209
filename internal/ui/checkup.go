package ui

import (
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// onInstrument answers a form of an instrument's page.
func (u *UI) onInstrument(c echo.Context, who account.Caller, err error, which, notice string) error {
	if err != nil {
		return u.again(c, err, which, func(form Form) error { return u.showInstrument(c, who, form) })
	}
	return u.taken(c, "/instruments/"+c.Param("id"), notice)
}

type calibrationForm struct {
	ID          uuid.UUID `form:"id"`
	On          time.Time `form:"on" say:"Choose the day of the calibration, as the certificate has it."`
	Good        string    `form:"good" validate:"oneof=yes no" say:"Say what was found."`
	Certificate string    `form:"certificate"`
	Due         time.Time `form:"due" say:"Choose the last day on which this calibration holds."`
	Points      string    `form:"points"`
	Words       string    `form:"words"`
}

func (u *UI) calibrate(c echo.Context, who account.Caller) error {
	var f calibrationForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.Calibrate(c.Request().Context(), who, id, app.NewCalibration{
			ID: f.ID, On: f.On, Good: f.Good == "yes", Certificate: f.Certificate, Due: f.Due, Points: pointsTyped(f.Points), Words: f.Words,
		})
	}
	return u.onInstrument(c, who, err, "calibrate", map[string]string{"yes": "The calibration is entered.", "no": "The calibration is entered. Look at the readings that it puts in question."}[f.Good])
}

// pointsTyped reads "60 °C: +0.3 K", a line each.
func pointsTyped(text string) []app.RegisterPoint {
	var ps []app.RegisterPoint
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line == "" {
			continue
		}
		at, err, _ := strings.Cut(line, ":")
		ps = append(ps, app.RegisterPoint{At: strings.TrimSpace(at), Error: strings.TrimSpace(err)})
	}
	return ps
}

type inHouseForm struct {
	ID    uuid.UUID      `form:"id"`
	What  decision.Check `form:"what"`
	On    time.Time      `form:"on" say:"Choose the day, or leave it empty for now."`
	Time  string         `form:"time"`
	Found string         `form:"found"`
	Good  string         `form:"good" validate:"oneof=yes no" say:"Say what you found."`
	Words string         `form:"words"`
}

// at is the moment of the check by the centre's clock; zero for now.
func (f inHouseForm) at() (time.Time, error) {
	if f.On.IsZero() && f.Time == "" {
		return time.Time{}, nil
	}
	at, err := time.ParseInLocation("2006-01-02 15:04", f.On.Format(time.DateOnly)+" "+f.Time, app.London())
	if err != nil || f.On.IsZero() {
		return time.Time{}, fault.Invalid("time", "Type the day and the time, such as 14:05, or leave both empty for now.")
	}
	return at, nil
}

func (u *UI) checkInHouse(c echo.Context, who account.Caller) error {
	var f inHouseForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	var at time.Time
	if err = u.read(c, &f); err == nil {
		at, err = f.at()
	}
	if err == nil {
		err = u.app.CheckInHouse(c.Request().Context(), who, id, app.NewInHouse{ID: f.ID, What: f.What, At: at, Found: f.Found, Good: f.Good == "yes", Words: f.Words})
	}
	return u.onInstrument(c, who, err, "check", map[string]string{"yes": "The check is entered.", "no": "The check is entered. Nobody should take readings with it until it is put right."}[f.Good])
}

type strikeForm struct {
	Event uuid.UUID `form:"event"`
	Words string    `form:"words"`
}

func (u *UI) strikeCheckup(c echo.Context, who account.Caller) error {
	var f strikeForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.StrikeCheckup(c.Request().Context(), who, id, f.Event, f.Words)
	}
	return u.onInstrument(c, who, err, "strike-"+f.Event.String(), "It is struck out, and stays to be read.")
}

type wordsForm struct {
	Words string `form:"words"`
}

func (u *UI) retireInstrument(c echo.Context, who account.Caller) error {
	var f wordsForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.RetireFromRegister(c.Request().Context(), who, id, f.Words)
	}
	return u.onInstrument(c, who, err, "retire", "It is out of use. What was read with it stays as it is.")
}
