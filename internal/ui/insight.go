package ui

import (
	"fmt"
	"strings"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/quantity"
)

// InsightPage is how a version of a brief did, figure by figure.
type InsightPage struct {
	Frame
	Insight app.Insight
	Rights  *BarsView // how many got each right
	Ends    *BarsView // whether the stronger ones did
	Rows    []InsightRow
}

func (*InsightPage) template() string { return "insight" }

// Few says that there are too few attempts for the coefficients to tell much.
func (p *InsightPage) Few() bool { return p.Insight.Attempts < insightFew }

// insightFew is under how many attempts the page says that numbers are small (our own value).
const insightFew = 20

// Suspects are the figures whose checked answer is to be looked at first.
func (p *InsightPage) Suspects() []InsightRow {
	var out []InsightRow
	for _, r := range p.Rows {
		if r.Suspect {
			out = append(out, r)
		}
	}
	return out
}

// InsightRow is one figure in words.
type InsightRow struct{ app.FigureInsight }

// Right is the part that is right, in words.
func (r InsightRow) RightWords() string { return part(r.Right, r.Answered) }

// StrongWords and WeakWords are the parts of either end.
func (r InsightRow) StrongWords() string { return part(r.Strong.Right, r.Strong.Answered) }

// WeakWords is that of the weaker ones.
func (r InsightRow) WeakWords() string { return part(r.Weak.Right, r.Weak.Answered) }

// Coefficient is the discrimination to two decimals, or why there is none.
func (r InsightRow) Coefficient() string {
	switch {
	case r.Known:
		return minus(quantity.RoundDecimals(r.Discrimination, 2))
	case r.Answered < insightFew:
		return "too few"
	}
	return "all alike"
}

// Tells says in words what the coefficient tells.
func (r InsightRow) Tells() string {
	switch {
	case !r.Known:
		return ""
	case r.Discrimination < 0:
		return "the stronger get it wrong more often than the weaker"
	case r.Discrimination < 0.2:
		return "hardly tells the stronger from the weaker"
	}
	return "the stronger get it right more often"
}

// Why says why the checked answer is to be looked at.
func (r InsightRow) Why() string {
	if 2*r.Strong.Right < r.Strong.Answered {
		return fmt.Sprintf("Of the %d attempts that are strongest on the other lines, %d have it right.", r.Strong.Answered, r.Strong.Right)
	}
	return "Those who are strong on the other lines get it wrong more often than those who are not."
}

// SlipWords are the commonest slips.
func (r InsightRow) SlipWords() string {
	var parts []string
	for _, s := range r.Slips[:min(len(r.Slips), 3)] {
		parts = append(parts, fmt.Sprintf("%s (%d)", s.Is, s.Times))
	}
	return strings.Join(parts, "; ")
}

// part is a count of a number, with its percentage where the number is large enough to bear one.
func part(n, of int) string {
	switch {
	case of == 0:
		return "nobody"
	case of < insightFew:
		return fmt.Sprintf("%d of %d", n, of)
	}
	return fmt.Sprintf("%d of %d, %d%s%%", n, of, (200*n+of)/(2*of), thin)
}

func (u *UI) insight(c echo.Context, who account.Caller) error {
	id, version, err := briefVersion(c)
	if err != nil {
		return err
	}
	in, err := u.app.Insight(c.Request().Context(), who, id, version)
	if err != nil {
		return err
	}
	p := newInsightPage(in)
	return u.render(c, who, 200, p)
}

func newInsightPage(in app.Insight) *InsightPage {
	p := &InsightPage{Frame: Frame{Title: "How " + in.Version.Title + " did", Here: "/briefs"}, Insight: in}
	rights := BarsView{ID: "rights", Title: "How many got each right", Ours: "right"}
	ends := BarsView{ID: "ends", Title: "Whether the stronger ones did", Ours: "the strongest", Others: "the weakest"}
	for _, f := range in.Figures {
		r := InsightRow{f}
		p.Rows = append(p.Rows, r)
		if f.Answered == 0 {
			continue
		}
		rights.add(f.Title, share(f.Right, f.Answered), -1, r.RightWords(), f.Suspect)
		if f.Strong.Answered > 0 {
			ends.add(f.Title, f.Strong.Share(), f.Weak.Share(), "strongest "+r.StrongWords()+"; weakest "+r.WeakWords(), f.Suspect)
		}
	}
	if len(rights.Rows) > 0 {
		p.Rights = rights.drawn()
	}
	if len(ends.Rows) > 0 {
		p.Ends = ends.drawn()
	}
	return p
}

func share(n, of int) float64 {
	if of == 0 {
		return 0
	}
	return float64(n) / float64(of)
}
