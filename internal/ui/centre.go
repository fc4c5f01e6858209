package ui

import (
	"strings"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// CentrePage is what keeps the centre in order: each place with a line of what waits there.
type CentrePage struct {
	Frame
	Entries []CentrePlace
	Photos  app.PhotoChoice // how they stand in portfolios; "" for whom does not choose that
	Choices []Option
	Form    Form
}

func (*CentrePage) template() string { return "centre" }

// CentrePlace is one place on the page of the centre.
type CentrePlace struct {
	Address, Title string
	About          string // a line on what is there
	Waits          string // a sentence on what waits; "" for nothing
}

// centrePlace is a place as it is written down: whoever may do the action goes there.
type centrePlace struct {
	address, title, about string
	action                account.Action
	waits                 func(app.CentreWaits) string // nil where nothing waits there
}

// waiting is a sentence on n things that wait; "" for none.
func waiting(n int, one, many string) string {
	if n == 0 {
		return ""
	}
	return sentence(count(n, one, many)) + "."
}

// centrePlaces is every place, in the order of the page.
func centrePlaces() []centrePlace {
	return []centrePlace{
		{"/stop", "Stop somebody's work", "Who is at work now, by cohort: stop what could hurt somebody.", account.SeeAtWork, nil},
		{"/people", "People", "Who belongs to the centre, in which roles, and who has yet to choose a password.", account.ManagePeople,
			func(w app.CentreWaits) string {
				return waiting(w.Invited, "person has no password yet", "people have no password yet")
			}},
		{"/units", "Qualification units", "Learning outcomes and criteria, edition by edition.", account.SeeBriefs, nil},
		{"/conflicts", "Conflicts of interest", "Who may not judge whose work, and why.", account.DeclareConflict, nil},
		{"/files", "Small files", "Adjustments, appeals, prior learning, and inquiries that name you.", account.SeeFiles,
			func(w app.CentreWaits) string {
				return strings.TrimSpace(waiting(w.Priors, "claim of prior learning waits for a decision", "claims of prior learning wait for a decision") + " " +
					waiting(w.Unseen, "has what an internal quality assurer has yet to look at", "have what an internal quality assurer has yet to look at"))
			}},
		{"/standardisations", "Standardisation", "The same work judged by several people, how far they agree, and rulings on criteria.", account.SeeStandard,
			func(w app.CentreWaits) string {
				return waiting(w.Standardising, "standardisation is not closed", "standardisations are not closed")
			}},
		{"/instruments", "Instruments", "The register: calibrations, checks in house, and the readings that a wrong instrument puts in question.", account.SeeRegister,
			func(w app.CentreWaits) string {
				return waiting(w.Instruments, "instrument is wrong, overdue or due within thirty days", "instruments are wrong, overdue or due within thirty days")
			}},
		{"/alike", "Look at these two", "Photos and readings of different trainees that are the same or look alike: something to ask.", account.SeeAlike, nil},
		{"/sampling", "Sampling", "Plans and samples: somebody without part in a decision looks at it again before a claim.", account.SeeSampling,
			func(w app.CentreWaits) string {
				return waiting(w.Sampled, "drawn piece of work is to be looked at", "drawn pieces of work are to be looked at")
			}},
		{"/actions", "Actions", "What somebody is to do by a day, from samples, visits, standardisations, rulings and prior learning.", account.SeeActions,
			func(w app.CentreWaits) string { return waiting(w.Actions, "action is open", "actions are open") }},
		{"/claims", "Claims", "Who is ready for a certificate, why the rest are not, and what was claimed.", account.SeeClaims, nil},
		{"/visits", "Visits", "An external verifier's visits: what they can read, what they looked at, what they found.", account.ArrangeVisit, nil},
		{"/log", "The decision log", "What was decided and signed, in order, with proofs: so that a change afterwards can be found out.", account.SeeLog, nil},
		{"/keeping", "Keeping and erasing", "How long things are kept, what is held, and what is to be erased.", account.Erase, nil},
	}
}

func (u *UI) centre(c echo.Context, who account.Caller) error { return u.showCentre(c, who, Form{}) }

func (u *UI) showCentre(c echo.Context, who account.Caller, f Form) error {
	waits, err := u.app.CentreWaits(c.Request().Context(), who)
	if err != nil {
		return err
	}
	p := &CentrePage{Frame: Frame{Title: "The centre", Here: "/centre"}, Choices: photoChoices(), Form: f.For("photos")}
	for _, x := range centrePlaces() {
		if account.As(who, x.action) == "" {
			continue
		}
		place := CentrePlace{Address: x.address, Title: x.title, About: x.about}
		if x.waits != nil {
			place.Waits = x.waits(waits)
		}
		p.Entries = append(p.Entries, place)
	}
	if account.As(who, account.ChoosePhotos) != "" {
		if p.Photos, err = u.app.PortfolioPhotos(c.Request().Context(), who); err != nil {
			return err
		}
	}
	return u.render(c, who, f.Status(), p)
}
