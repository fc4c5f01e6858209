package ui

import (
	"strings"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// RegisterListPage is a list of instruments before it is taken in.
type RegisterListPage struct {
	Frame
	Form     Form
	Send     ListSender
	Problems ListProblems
	Plan     app.RegisterPlan
	Text     string // the list, to be sent once more
}

func (*RegisterListPage) template() string { return "registerlist" }

// Nothing says whether the list would change nothing.
func (p *RegisterListPage) Nothing() bool { return len(p.Plan.New)+len(p.Plan.Calibrations) == 0 }

// New is how many instruments are new.
func (p *RegisterListPage) New() int { return len(p.Plan.New) }

// FirstNew and FirstCalibrations are those that a page has room for.
func (p *RegisterListPage) FirstNew() []app.InstrumentRow {
	return p.Plan.New[:min(len(p.Plan.New), listShown)]
}

// FirstCalibrations is beside FirstNew.
func (p *RegisterListPage) FirstCalibrations() []app.ListedCalibration {
	return p.Plan.Calibrations[:min(len(p.Plan.Calibrations), listShown)]
}

// Wrong is how many calibrations of the list found their instrument wrong.
func (p *RegisterListPage) Wrong() (n int) {
	for _, r := range p.Plan.New {
		if !r.Calibration.On.IsZero() && !r.Calibration.Good {
			n++
		}
	}
	for _, l := range p.Plan.Calibrations {
		if !l.Now.Good {
			n++
		}
	}
	return n
}

// Now says what a list's calibration found, and to when it holds.
func (*RegisterListPage) Now(n app.NewCalibration) string {
	switch {
	case n.On.IsZero():
		return "no calibration entered"
	case !n.Good:
		return date(n.On) + ", certificate " + n.Certificate + ": reads wrong, “" + n.Words + "”"
	}
	return date(n.On) + ", certificate " + n.Certificate + ": holds to " + date(n.Due)
}

// Was says the same of the calibration that counts today.
func (*RegisterListPage) Was(l app.ListedCalibration) string {
	switch e := l.Was; {
	case e.DoneAt.IsZero():
		return "no calibration entered"
	case !e.Good:
		return day(e.DoneAt) + ", certificate " + e.Certificate + ": reads wrong, “" + e.Words + "”"
	default:
		return day(e.DoneAt) + ", certificate " + e.Certificate + ": holds to " + date(e.DueOn)
	}
}

func (u *UI) registerList(c echo.Context, who account.Caller) error {
	if err := account.May(who, account.KeepRegister); err != nil {
		return err
	}
	return u.showRegisterList(c, who, &RegisterListPage{})
}

func (u *UI) showRegisterList(c echo.Context, who account.Caller, p *RegisterListPage) error {
	p.Frame = Frame{Title: "Instruments from a list", Here: "/centre"}
	p.Send.At, p.Send.Rows, p.Send.Columns = "/instruments/list", "two thousand", app.InstrumentColumns()
	return u.render(c, who, p.Form.Status(), p)
}

// checkRegister shows what a list would change. It keeps nothing: the list goes to and fro with the page.
func (u *UI) checkRegister(c echo.Context, who account.Caller) error {
	list, err := sentList(c)
	p := &RegisterListPage{Text: string(list)}
	if err == nil {
		err = u.planRegister(c, who, p)
	}
	if err != nil {
		return u.again(c, err, "list", func(f Form) error { p.Form = f; return u.showRegisterList(c, who, p) })
	}
	return u.showRegisterList(c, who, p)
}

// planRegister puts what the page's list would change on it.
func (u *UI) planRegister(c echo.Context, who account.Caller, p *RegisterListPage) (err error) {
	if p.Plan, err = u.app.CheckRegister(c.Request().Context(), who, []byte(p.Text)); err == nil {
		p.Send.Checked, p.Problems = true, ListProblems{p.Plan.Problems}
	}
	return err
}

func (u *UI) importRegister(c echo.Context, who account.Caller) error {
	list, err := sentList(c)
	var plan app.RegisterPlan
	if err == nil {
		plan, err = u.app.ImportRegister(c.Request().Context(), who, list, c.FormValue("digest"))
	}
	if err != nil {
		return u.again(c, err, "list", func(f Form) error {
			p := &RegisterListPage{Text: string(list), Form: f}
			_ = u.planRegister(c, who, p) // without a plan the page says why alone
			return u.showRegisterList(c, who, p)
		})
	}
	return u.taken(c, "/instruments", "The list is taken in: "+count(len(plan.New), "instrument", "instruments")+" and "+
		count(calibrations(plan), "calibration", "calibrations")+" new.")
}

// calibrations is how many are entered by a plan.
func calibrations(p app.RegisterPlan) int {
	n := len(p.Calibrations)
	for _, r := range p.New {
		if !r.Calibration.On.IsZero() {
			n++
		}
	}
	return n
}

// registerFile gives the register as a list, which may be taken in again.
func (u *UI) registerFile(c echo.Context, who account.Caller) error {
	all, err := u.app.Register(c.Request().Context(), who)
	if err != nil {
		return err
	}
	rows := make([][]string, len(all))
	for i, r := range all {
		rows[i] = r.Cells()
	}
	return sendList(c, "instruments.csv", columnNames(app.InstrumentColumns()), rows)
}

// registerExample gives a list with the headings and one row, to begin from.
func (u *UI) registerExample(c echo.Context, who account.Caller) error {
	if err := account.May(who, account.KeepRegister); err != nil {
		return err
	}
	row := strings.Split("Clamp meter 3,CM-7701,clamp meter; multimeter,0 A to 400 A,0.1 A,±1.5 %,2026-03-02,LAB-1,2027-03-01,,,", ",")
	return sendList(c, "instruments.csv", columnNames(app.InstrumentColumns()), [][]string{row})
}
