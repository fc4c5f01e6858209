package ui

import (
	"fmt"
	"html/template"
	"math/rand/v2"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// besides is how many trainees' values stand side by side.
const besides = 6

// WorkThroughPage is a brief worked through with sample values: what is right, how far off is right as well, and what each slip gives.
type WorkThroughPage struct {
	Frame
	Work  app.WorkedBrief
	Back  string
	Draw  int64 // whose values; 0 for the model answer's
	Other int64 // another trainee's
}

func (*WorkThroughPage) template() string { return "workthrough" }

func (u *UI) workThrough(c echo.Context, who account.Caller) error {
	id, version, err := briefVersion(c)
	if err != nil {
		return err
	}
	draw, err := drawOf(c.QueryParam("draw"))
	if err != nil {
		return err
	}
	s := app.Sample{Draw: draw, Values: map[string]string{}, Beside: besides}
	for name, texts := range c.QueryParams() {
		if name, ok := strings.CutPrefix(name, "v."); ok {
			s.Values[name] = strings.TrimSpace(texts[0])
		}
	}
	w, err := u.app.WorkThrough(c.Request().Context(), who, id, version, s)
	if err != nil {
		return err
	}
	return u.render(c, who, http.StatusOK, &WorkThroughPage{
		Frame: Frame{Title: "Work it through: " + w.Title, Here: "/briefs"}, Work: w, Back: fmt.Sprintf("/briefs/%s/%d", id, version),
		Draw: draw, Other: 1 + rand.Int64N(1e6),
	})
}

// Figures lists what is worked, each with its slips.
func (p *WorkThroughPage) Figures() []WorkedView { return p.views(p.Work.Worked) }

func (p *WorkThroughPage) views(ws []brief.Worked) []WorkedView {
	var out []WorkedView
	for i, w := range ws {
		v := WorkedView{Worked: w, Number: i + 1}
		for _, s := range w.Ways {
			v.Slips = append(v.Slips, SlipView{WorkedWay: s, of: w, Elsewhere: p.elsewhere(w.Item.Key, s.Key)})
		}
		out = append(out, v)
	}
	return out
}

// elsewhere says where a slip cannot be told from a right answer over all the values that trainees may meet.
func (p *WorkThroughPage) elsewhere(item, slip string) string {
	for _, u := range p.Work.Untold {
		if u.Item != item || u.Key != slip || u.Made {
			continue
		}
		switch {
		case u.Of == 0:
			return "has no value with any that were tried"
		case u.From != "":
			return "the same as the slip “" + u.From + "” wherever both are wrong"
		case u.Everywhere():
			return "right everywhere: nobody can be caught by it"
		}
		return fmt.Sprintf("right for some: in %d of %d sets of values tried", u.Sets, u.Of)
	}
	return ""
}

// Drawn lists the given values that are drawn for each trainee.
func (p *WorkThroughPage) Drawn() []brief.Sampled {
	var out []brief.Sampled
	for _, s := range p.Work.Samples {
		if s.Range != nil {
			out = append(out, s)
		}
	}
	return out
}

// VariantRow is one given or figure for several trainees.
type VariantRow struct {
	Is    string
	Cells []string
}

// Variants lists what the trainees meet side by side: the given values that are drawn, then what is right for each.
func (p *WorkThroughPage) Variants() []VariantRow {
	var rows []VariantRow
	for _, s := range p.Drawn() {
		r := VariantRow{Is: s.Is}
		for _, v := range p.Work.Beside {
			r.Cells = append(r.Cells, spaced(v.Given[s.Name]))
		}
		rows = append(rows, r)
	}
	for i, w := range p.Work.Worked {
		r := VariantRow{Is: w.Item.Title}
		for _, v := range p.Work.Beside {
			r.Cells = append(r.Cells, WorkedView{Worked: v.Worked[i]}.RightWords())
		}
		rows = append(rows, r)
	}
	return rows
}

// WorkedView is one figure or choice worked out.
type WorkedView struct {
	brief.Worked
	Number int
	Slips  []SlipView
}

// Formula is the formula that it is worked by; "" where there are conditions.
func (w WorkedView) Formula() string {
	switch {
	case w.Item.Figure != nil:
		return w.Item.Figure.Formula
	case w.Item.Choice.Size != nil:
		return w.Item.Choice.Size.Formula
	}
	return ""
}

// Options lists a choice's options with their conditions as they are printed.
func (w WorkedView) Options() []OptionLine {
	var out []OptionLine
	for _, o := range w.Item.Choice.Options {
		l := OptionLine{Text: o.Text}
		if o.When != "" {
			l.When = typesetAny(o.When)
		}
		out = append(out, l)
	}
	return out
}

// OptionLine is one option of a choice; When is "" where it always holds.
type OptionLine struct {
	Text string
	When template.HTML
}

// Ask is what is asked for.
func (w WorkedView) Ask() string {
	if w.Item.Figure != nil {
		return w.Item.Figure.Ask
	}
	return w.Item.Choice.Ask
}

// RightWords is what is right, "–" where it cannot be worked out.
func (w WorkedView) RightWords() string {
	switch {
	case !w.Known:
		return "–"
	case w.Item.Choice != nil:
		return spaced(w.Right)
	}
	return w.quantity(w.Value)
}

func (w WorkedView) quantity(x float64) string {
	return spaced(quantity.FormatFigures(x, w.Unit, 4))
}

// Band is where a stated figure is right, in words; "" for a choice.
func (w WorkedView) Band() string {
	switch {
	case !w.Known || w.Item.Figure == nil:
		return ""
	case w.From != nil && w.To != nil && *w.From == *w.To:
		return "exactly"
	case w.From != nil && w.To != nil:
		return w.quantity(*w.From) + " to " + w.quantity(*w.To)
	case w.From != nil:
		return w.quantity(*w.From) + " or more"
	case w.To != nil:
		return w.quantity(*w.To) + " or less"
	}
	return ""
}

// SlipView is a slip with what it leads to here.
type SlipView struct {
	brief.WorkedWay
	Elsewhere string // "" where it can be told everywhere
	of        brief.Worked
}

// Gives is what the slip leads to.
func (s SlipView) Gives() string {
	switch {
	case !s.Known:
		return "–"
	case s.of.Item.Choice != nil:
		return spaced(s.Leads)
	}
	return WorkedView{Worked: s.of}.quantity(s.Value)
}

// Words says whether somebody can be caught by the slip here.
func (s SlipView) Words() string {
	switch {
	case !s.Known:
		return "cannot be worked out here"
	case s.Told:
		return "told apart"
	}
	return "counts as right here"
}
