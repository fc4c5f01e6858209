package ui

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// TermPage is a cohort over a term: a row a trainee, in words.
type TermPage struct {
	Frame
	Term app.Term
	Rows []TermRow
	Left []TermRow // who were withdrawn
}

func (*TermPage) template() string { return "term" }

// TermRow is one trainee's term in words.
type TermRow struct {
	Trainee  uuid.UUID
	Name     string
	LeftOn   time.Time // the last day of who was withdrawn
	Sentence string    // how many of how many are signed off
	Groups   []TermGroup
}

// TermGroup is what stands in one way, with a link to each that the tutor can act on. The others have theirs on the trainee's own
// page: three thousand links would take longer to write than all the rest.
type TermGroup struct {
	Words  string
	Strong bool // somebody has to do something
	Places []app.TermPlace
	Text   string // in place of Places: the tasks' numbers
}

// newTermRow puts a row into words. What waits for somebody comes first.
func newTermRow(r app.TermRow, tasks int) TermRow {
	row := TermRow{Trainee: r.Trainee, Name: r.Name, LeftOn: r.LeftOn}
	row.Sentence = fmt.Sprintf("%d of %d signed off", len(r.SignedOff), tasks)
	if len(r.Waiting) > 0 {
		row.Groups = append(row.Groups, TermGroup{Words: "waiting for the tutor", Strong: true, Places: r.Waiting})
	}
	for _, g := range []struct {
		words  string
		strong bool
		places []app.TermPlace
	}{{"late", true, r.Late}, {"more to do", true, r.Sent}, {"under way", false, r.Under}, {"signed off", false, r.SignedOff}, {"not started", false, r.Not}} {
		if len(g.places) > 0 {
			row.Groups = append(row.Groups, TermGroup{Words: g.words, Strong: g.strong, Text: spans(g.places)})
		}
	}
	return row
}

// spans is tasks' numbers in words: "1 to 4, 7".
func spans(places []app.TermPlace) string {
	var parts []string
	for i := 0; i < len(places); {
		k := i
		for k+1 < len(places) && places[k+1].Task == places[k].Task+1 {
			k++
		}
		part := strconv.Itoa(places[i].Task)
		switch {
		case k == i+1:
			part += ", " + strconv.Itoa(places[k].Task)
		case k > i:
			part += " to " + strconv.Itoa(places[k].Task)
		}
		parts, i = append(parts, part), k+1
	}
	return strings.Join(parts, ", ")
}

func (u *UI) term(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	t, err := u.app.Term(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	p := &TermPage{Frame: Frame{Title: t.Name + " over the term", Here: "/cohorts"}, Term: t}
	for _, r := range t.Rows {
		p.Rows = append(p.Rows, newTermRow(r, len(t.Tasks)))
	}
	for _, r := range t.Left {
		p.Left = append(p.Left, newTermRow(r, len(t.Tasks)))
	}
	return u.render(c, who, 200, p)
}

// ProgressPage is what one trainee has shown, and what is missing.
type ProgressPage struct {
	Frame
	Progress app.Progress
}

func (*ProgressPage) template() string { return "progress" }

// Missing lists the criteria of a unit that are not met yet, and Met those that are.
func (p *ProgressPage) Missing(u app.ProgressUnit) []app.ProgressCriterion {
	return criteriaWith(u, false)
}

// Met lists those that are met.
func (p *ProgressPage) Met(u app.ProgressUnit) []app.ProgressCriterion { return criteriaWith(u, true) }

func criteriaWith(u app.ProgressUnit, met bool) []app.ProgressCriterion {
	var out []app.ProgressCriterion
	for _, c := range u.Criteria {
		if c.Met() == met {
			out = append(out, c)
		}
	}
	return out
}

// Where says how a criterion that is not met stands.
func (p *ProgressPage) Where(c app.ProgressCriterion) string {
	tasks := "tasks"
	if len(c.Tasks) == 1 {
		tasks = "task"
	}
	var numbers []string
	for _, n := range c.Tasks {
		numbers = append(numbers, strconv.Itoa(n))
	}
	switch {
	case c.Decision != nil:
		return "Not yet met, " + c.Decision.ByName + ", " + day(c.Decision.At) + ". Covered by " + tasks + " " + strings.Join(numbers, ", ") + "."
	case len(c.Tasks) == 0:
		return "No task of this cohort covers it yet."
	}
	return "Not decided yet. Covered by " + tasks + " " + strings.Join(numbers, ", ") + "."
}

func (u *UI) progress(c echo.Context, who account.Caller) error {
	cohort, err := pathID(c, "id")
	if err != nil {
		return err
	}
	trainee, err := pathID(c, "person")
	if err != nil {
		return err
	}
	r, err := u.app.Progress(c.Request().Context(), who, cohort, trainee)
	if err != nil {
		return err
	}
	return u.render(c, who, 200, &ProgressPage{Frame: Frame{Title: r.Trainee.Name + ": what is shown", Here: "/cohorts"}, Progress: r})
}
