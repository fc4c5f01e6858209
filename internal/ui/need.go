package ui

import (
	"strings"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// NeedRow is a trainee who needs the tutor this week although nothing of theirs waits to be judged.
type NeedRow struct{ app.Need }

// Says is why, in sentences.
func (r NeedRow) Says() string { return strings.Join(r.Why, " ") }

// Where is the place of the attempt's page to look at first.
func (r NeedRow) Where() string {
	if r.Stage != "" {
		return "/attempts/" + r.Attempt.String() + "#hold-" + r.Stage
	}
	return "/attempts/" + r.Attempt.String()
}

// needRows lists who needs the tutor.
func (u *UI) needRows(c echo.Context, who account.Caller) ([]NeedRow, error) {
	list, err := u.app.Needs(c.Request().Context(), who)
	rows := make([]NeedRow, 0, len(list))
	for _, n := range list {
		rows = append(rows, NeedRow{n})
	}
	return rows, err
}
