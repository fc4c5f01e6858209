package ui

import (
	"errors"
	"fmt"
	"io"
	"net/http"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/table"
)

// listShown is how many rows of a kind a page shows of a list.
const listShown = 200

// listBytes is how much is sent at most with a list: the list itself, which is bounded where it is read, and what is around it.
const listBytes = 3 << 20

// ListProblems is what there is to mend in a list, the first of it.
type ListProblems struct {
	All []table.Problem
}

// Shown is the problems that a page has room for, and More how many others there are.
func (p ListProblems) Shown() []table.Problem { return p.All[:min(len(p.All), listShown)] }

// More is how many others there are.
func (p ListProblems) More() int { return max(len(p.All)-listShown, 0) }

// ListSender is the form with which a list is sent to be looked at.
type ListSender struct {
	At      string // where it is sent; beneath it lies "/example"
	Rows    string // how many it may have, in words
	Columns []table.Column
	Checked bool // one was sent already
}

// PeopleListPage is a list of people before it is taken in.
type PeopleListPage struct {
	Frame
	Form     Form
	Send     ListSender
	Problems ListProblems
	Plan     app.PeoplePlan
	Text     string // the list, to be sent once more
}

func (*PeopleListPage) template() string { return "peoplelist" }

// New is how many people are new.
func (p *PeopleListPage) New() int { return len(p.Plan.New) }

// Count is a number as the page counts.
func (p *PeopleListPage) Count(n int64) int { return int(n) }

// Nothing says whether the list would change nothing.
func (p *PeopleListPage) Nothing() bool {
	n := p.Plan.TakenIn
	return n.People+n.Changed+n.Roles+n.Members+n.Registrations == 0 && len(n.Cohorts) == 0
}

// FirstNew is the first of those who are new.
func (p *PeopleListPage) FirstNew() []app.PeopleRow {
	return p.Plan.New[:min(len(p.Plan.New), listShown)]
}

func (u *UI) peopleList(c echo.Context, who account.Caller) error {
	if err := account.May(who, account.ManagePeople); err != nil {
		return err
	}
	return u.showPeopleList(c, who, &PeopleListPage{})
}

func (u *UI) showPeopleList(c echo.Context, who account.Caller, p *PeopleListPage) error {
	p.Frame = Frame{Title: "People from a list", Here: "/people"}
	p.Send.At, p.Send.Rows, p.Send.Columns = "/people/list", "ten thousand", app.PeopleColumns()
	return u.render(c, who, p.Form.Status(), p)
}

// checkPeople shows what a list would change. It keeps nothing: the list goes to and fro with the page.
func (u *UI) checkPeople(c echo.Context, who account.Caller) error {
	list, err := sentList(c)
	p := &PeopleListPage{Text: string(list)}
	if err == nil {
		p.Plan, err = u.app.CheckPeople(c.Request().Context(), who, list)
	}
	if err != nil {
		return u.again(c, err, "list", func(f Form) error { p.Form = f; return u.showPeopleList(c, who, p) })
	}
	p.Send.Checked, p.Problems = true, ListProblems{p.Plan.Problems}
	return u.showPeopleList(c, who, p)
}

func (u *UI) importPeople(c echo.Context, who account.Caller) error {
	list, err := sentList(c)
	var plan app.PeoplePlan
	if err == nil {
		plan, err = u.app.ImportPeople(c.Request().Context(), who, list, c.FormValue("digest"))
	}
	if err != nil {
		return u.again(c, err, "list", func(f Form) error {
			p := &PeopleListPage{Text: string(list), Form: f}
			if plan, err := u.app.CheckPeople(c.Request().Context(), who, list); err == nil {
				p.Plan, p.Send.Checked, p.Problems = plan, true, ListProblems{plan.Problems}
			}
			return u.showPeopleList(c, who, p)
		})
	}
	return u.taken(c, "/people", fmt.Sprintf("The list is taken in: %s new.", count(int(plan.People), "person", "people")))
}

// sentList is a list that was sent as a file, or as text where the page has it already.
func sentList(c echo.Context) ([]byte, error) {
	c.Request().Body = http.MaxBytesReader(c.Response(), c.Request().Body, listBytes)
	h, err := c.FormFile("file")
	large := new(http.MaxBytesError)
	switch {
	case errors.As(err, &large):
		return nil, fault.Invalid("file", "This is too large for a list. Send it in parts.")
	case errors.Is(err, http.ErrNotMultipart), errors.Is(err, http.ErrMissingFile):
		return []byte(c.FormValue("list")), nil
	case err != nil:
		return nil, echo.NewHTTPError(http.StatusBadRequest).SetInternal(err)
	}
	f, err := h.Open()
	if err != nil {
		return nil, fmt.Errorf("open a list: %w", err)
	}
	defer f.Close()
	list, err := io.ReadAll(f)
	if err != nil {
		return nil, fmt.Errorf("read a list: %w", err)
	}
	return list, nil
}

// peopleExample gives a list with the headings and one row, to begin from.
func (u *UI) peopleExample(c echo.Context, who account.Caller) error {
	if err := account.May(who, account.ManagePeople); err != nil {
		return err
	}
	return sendList(c, "people.csv", columnNames(app.PeopleColumns()), [][]string{{"Maya Ellison", "maya", "", "trainee", "Heating 1", "", ""}})
}

// columnNames are the names of columns.
func columnNames(columns []table.Column) []string {
	head := make([]string, len(columns))
	for i, c := range columns {
		head[i] = c.Name
	}
	return head
}

// sendList answers with a list for a spreadsheet program.
func sendList(c echo.Context, name string, head []string, rows [][]string) error {
	h := c.Response().Header()
	h.Set(echo.HeaderContentType, "text/csv; charset=utf-8")
	h.Set(echo.HeaderContentDisposition, `attachment; filename="`+name+`"`)
	c.Response().WriteHeader(http.StatusOK)
	return table.Write(c.Response(), head, rows)
}
