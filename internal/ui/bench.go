package ui

import (
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
)

// BenchPage shows a tutor who needs them, and their cohorts.
type BenchPage struct {
	Frame
	Waiting []WaitingRow
	Needs   []NeedRow // this week, besides those
	Cohorts []CohortRow
}

func (*BenchPage) template() string { return "bench" }

// WaitingRow is one attempt that waits for the tutor.
type WaitingRow struct {
	Attempt                uuid.UUID
	Trainee, Title, Cohort string
	Number                 int
	State                  decision.State
	At                     time.Time // handed over
	Now                    time.Time
	Returned               string // by whom, about what, after sampling; "" where it was not
}

// For says how long it has been waiting, in words.
func (r WaitingRow) For() string {
	d := r.Now.Sub(r.At)
	switch {
	case d < time.Hour:
		return "less than an hour"
	case d < 24*time.Hour:
		return count(int(d.Hours()), "hour", "hours")
	}
	return count(int(d.Hours()/24), "day", "days")
}

// What says what there is to do.
func (r WaitingRow) What() string {
	switch r.State {
	case decision.HandedOver:
		return "the marker is working through it"
	case decision.Decided:
		return "sign off, or ask for more"
	}
	return "judge the criteria"
}

func (u *UI) bench(c echo.Context, who account.Caller) error {
	waiting, err := u.app.Waiting(c.Request().Context(), who)
	if err != nil {
		return err
	}
	cohorts, err := u.cohortRows(c, who)
	if err != nil {
		return err
	}
	p := &BenchPage{Frame: Frame{Title: "Bench", Here: "/bench"}, Cohorts: cohorts}
	if p.Needs, err = u.needRows(c, who); err != nil {
		return err
	}
	for _, w := range waiting {
		p.Waiting = append(p.Waiting, WaitingRow{
			Attempt: w.Attempt, Trainee: w.TraineeName, Title: w.Title, Cohort: w.CohortName, Number: w.Number, State: w.State, At: w.HandedOverAt, Now: u.now(), Returned: w.Returned,
		})
	}
	return u.render(c, who, 200, p)
}
