package ui

import (
	"net/url"
	"slices"
	"strings"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
)

// KeyRow is one key of the page on which an attempt is judged, with what it does.
type KeyRow struct{ Key, Does string }

// Keys lists the keys in the order in which the help sheet shows them; judge/keys.js has the same.
func (*JudgePage) Keys() []KeyRow {
	return []KeyRow{
		{"n", "the next item"}, {"b", "the item before"}, {"c", "the next open criterion"},
		{"m", "stamp the criterion met"}, {"x", "not yet met: choose in which respect, and say what is missing"},
		{"1 to 9", "put in one of your own remarks"}, {"q", "question the trainee"}, {"a", "judge this line yourself"},
		{"d", "show how the figures are worked out, or fold it away"}, {"z", "look at the photo closer"},
		{"u", "take your last decision back"}, {"f", "finish: sign off, or send it back"}, {"g", "go on to the next attempt"}, {"?", "this sheet"},
	}
}

// onward adds to a page of judging what its tutor goes on to and puts in.
func (u *UI) onward(c echo.Context, who account.Caller, p *JudgePage) (err error) {
	p.Up, p.Remarks, err = u.app.NextWaiting(c.Request().Context(), who, p.Sheet.ID)
	if i := slices.IndexFunc(p.Sheet.Records, func(r decision.Record) bool { return r.Kind == decision.KindSignOff }); i < 0 {
		p.Last = lastDecided(p.Sheet.Records, who)
	}
	return err
}

// lastDecided is the criterion that the person decided last and whose decision still stands; "" where there is none.
func lastDecided(records []decision.Record, who account.Caller) string {
	for _, r := range slices.Backward(records) {
		if r.Kind != decision.KindCriterion || r.By != who.Person || r.Carried() {
			continue
		}
		if now := decision.Judged(records, r.Subject); now != nil && now.ID == r.ID {
			return r.Subject
		}
	}
	return ""
}

// Asks lists what there is to ask the trainee about the item.
func (it ItemView) Asks() []AskView { return it.On.AsksOf(it.Key) }

// AsksOf lists what there is to ask about an item, or with "" about the whole attempt.
func (v *SheetView) AsksOf(item string) []AskView {
	var asks []AskView
	for _, a := range v.Asks {
		if v.Tutor && a.Item == item {
			asks = append(asks, AskView{a.Text, seeAt(a)})
		}
	}
	return asks
}

// AskItems lists the items about which there is something to ask.
func (p *JudgePage) AskItems() []ItemView {
	var its []ItemView
	for _, st := range p.Sheet.Stages {
		for _, it := range st.Items {
			if len(it.Asks()) > 0 {
				its = append(its, it)
			}
		}
	}
	return its
}

// NineKeys are the remarks that have a key.
func (p *JudgePage) NineKeys() []string { return p.Remarks[:min(len(p.Remarks), 9)] }

// HasNext says whether another attempt waits.
func (p *JudgePage) HasNext() bool { return p.Up.Waiting > 0 }

// TakeBackForm is the form that takes the criterion's decision back.
func (k CriterionView) TakeBackForm() Form { return k.On.Form.For("take-back-" + k.Ref) }

// MarginID is the id of the margin in which the criterion's decision stands.
func (k CriterionView) MarginID() string { return "margin-" + idOf(k.Ref) }

// OutcomeWords is the outcome of a criterion's record in words.
func (CriterionView) OutcomeWords(r decision.Record) string {
	return decision.Outcome(r.Outcome).Words()
}

type takeBackForm struct {
	Revision  int    `form:"revision"`
	Criterion string `form:"criterion" validate:"required"`
	Words     string `form:"words" validate:"max=4000" say:"Shorten this to 4000 letters."`
}

func (u *UI) takeBack(c echo.Context, who account.Caller) error {
	var f takeBackForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.TakeBack(c.Request().Context(), who, id, f.Revision, f.Criterion, f.Words)
	}
	return u.sheetForm(c, who, err, "take-back-"+f.Criterion, "#criterion-"+idOf(f.Criterion), "Taken back: "+f.Criterion+" is open again.")
}

// RemarksPage is a tutor's own stock remarks.
type RemarksPage struct {
	Frame
	Form    Form
	Remarks []string
	Back    string // the attempt from which the tutor came; "" where they did not
}

func (*RemarksPage) template() string { return "remarks" }

// Field is the list as it is typed, a remark a line.
func (p *RemarksPage) Field() Field {
	f := p.Form.Field("remarks", "Your remarks, one a line").As("area").Tall(12)
	f.Value = p.Form.Typed("remarks", strings.Join(p.Remarks, "\n"))
	return f
}

type remarksForm struct {
	Remarks string `form:"remarks"`
	Back    string `form:"back"`
}

func (u *UI) showRemarks(c echo.Context, who account.Caller) error {
	return u.remarksPage(c, who, c.QueryParam("back"), Form{})
}

func (u *UI) remarksPage(c echo.Context, who account.Caller, back string, f Form) error {
	remarks, err := u.app.StockRemarks(c.Request().Context(), who)
	if err != nil {
		return err
	}
	p := &RemarksPage{Frame: Frame{Title: "Your remarks", Here: "/bench"}, Form: f.For("remarks"), Remarks: remarks}
	if strings.HasPrefix(back, "/attempts/") {
		p.Back = samePage(back)
	}
	return u.render(c, who, f.Status(), p)
}

func (u *UI) keepRemarks(c echo.Context, who account.Caller) error {
	var f remarksForm
	err := u.read(c, &f)
	if err == nil {
		err = u.app.KeepStockRemarks(c.Request().Context(), who, strings.Split(f.Remarks, "\n"))
	}
	if err != nil {
		return u.again(c, err, "remarks", func(form Form) error { return u.remarksPage(c, who, f.Back, form) })
	}
	next := "/stock-remarks"
	if strings.HasPrefix(f.Back, "/attempts/") {
		next += "?back=" + url.QueryEscape(f.Back)
	}
	return u.taken(c, next, "Your remarks are kept.")
}

// nextAttemptUp sends a tutor on to the longest wait, or home where nobody waits.
func (u *UI) nextAttemptUp(c echo.Context, who account.Caller) error {
	up, _, err := u.app.NextWaiting(c.Request().Context(), who, [16]byte{})
	if err != nil {
		return err
	}
	if up.Waiting == 0 {
		return u.taken(c, "/bench", "Nobody waits for you.")
	}
	return u.taken(c, "/attempts/"+up.Attempt.String(), "")
}

// Onward is the address of the attempt to go on to, or of the bench where nothing else waits.
func (p *JudgePage) Onward() string {
	if !p.HasNext() {
		return "/bench"
	}
	return "/attempts/" + p.Up.Attempt.String()
}
