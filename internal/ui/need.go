package ui

import (
	"slices"
	"strings"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// NeedRow is a trainee of a cohort who needs the tutor this week although nothing of theirs waits to be judged.
type NeedRow struct {
	Trainee    string
	Cohort     uuid.UUID
	CohortName string
	Works      []NeedWork // the most pressing first
	trainee    uuid.UUID
}

// NeedWork is a piece of work that they need the tutor for.
type NeedWork struct{ app.Need }

// Says is why, in sentences.
func (w NeedWork) Says() string { return strings.Join(w.Why, " ") }

// Where is the place of the attempt's page to look at first.
func (w NeedWork) Where() string {
	if w.Stage != "" {
		return "/attempts/" + w.Attempt.String() + "#hold-" + w.Stage
	}
	return "/attempts/" + w.Attempt.String()
}

// needRows lists who needs the tutor, the most pressing first.
func (u *UI) needRows(c echo.Context, who account.Caller) ([]NeedRow, error) {
	list, err := u.app.Needs(c.Request().Context(), who)
	var rows []NeedRow
	for _, n := range list {
		i := slices.IndexFunc(rows, func(r NeedRow) bool { return r.trainee == n.Trainee && r.Cohort == n.Cohort })
		if i < 0 {
			i = len(rows)
			rows = append(rows, NeedRow{Trainee: n.TraineeName, Cohort: n.Cohort, CohortName: n.CohortName, trainee: n.Trainee})
		}
		rows[i].Works = append(rows[i].Works, NeedWork{n})
	}
	return rows, err
}
