package api

import (
	"context"
	"net/http"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// Portfolio is one PDF of one trainee for one qualification unit, asked for or built.
type Portfolio struct {
	ID          uuid.UUID `json:"id"`
	Trainee     uuid.UUID `json:"trainee"`
	TraineeName string    `json:"trainee_name"`
	Unit        string    `json:"unit"`
	UnitTitle   string    `json:"unit_title"`
	RequestedBy string    `json:"requested_by"`
	RequestedAt time.Time `json:"requested_at"`
	State       string    `json:"state" about:"waiting, building, ready, failed or stopped."`
	Note        string    `json:"note,omitzero" about:"Why it failed."`
	SHA256      string    `json:"sha256,omitzero" about:"Of the PDF, in hexadecimal digits, once it is ready."`
	Size        int       `json:"size,omitzero" about:"In bytes."`
	BuiltAt     time.Time `json:"built_at,omitzero"`
}

// Portfolios is the portfolios that the caller may read, the newest request first.
type Portfolios struct {
	Portfolios []Portfolio `json:"portfolios"`
}

func portfolioOf(p app.Portfolio) Portfolio {
	return Portfolio{
		ID: p.ID, Trainee: p.Trainee, TraineeName: p.TraineeName, Unit: p.Unit, UnitTitle: p.UnitTitle, RequestedBy: p.RequestedByName,
		RequestedAt: p.RequestedAt.UTC(), State: string(p.State), Note: p.Note, SHA256: p.Digest, Size: int(p.Size), BuiltAt: p.BuiltAt.UTC(),
	}
}

func (s *service) portfolios(ctx context.Context, who account.Caller, _ none, _ none, _ none) (Portfolios, error) {
	ps, err := s.app.Portfolios(ctx, who)
	return Portfolios{each(ps, portfolioOf)}, err
}

// NewPortfolio asks for a trainee's portfolio for a qualification unit.
type NewPortfolio struct {
	Trainee uuid.UUID `json:"trainee" validate:"required"`
	Unit    string    `json:"unit" validate:"required,max=64"`
}

// Requested is the id of what is being made in the background.
type Requested struct {
	ID uuid.UUID `json:"id"`
}

func (Requested) status() int { return http.StatusAccepted }

func (s *service) requestPortfolio(ctx context.Context, who account.Caller, _ none, _ none, b NewPortfolio) (Requested, error) {
	id, err := s.app.RequestPortfolio(ctx, who, b.Trainee, b.Unit)
	return Requested{id}, err
}

func (s *service) portfolioFile(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (content, error) {
	f, err := s.app.OpenPortfolio(ctx, who, p.ID)
	return opened(content{ReadSeekCloser: f.Content, name: f.Unit + " " + f.TraineeName + ".pdf", media: "application/pdf", digest: f.Digest}, err)
}

// PortfolioSet is the portfolios of a cohort or of a visit's list for a unit, with how far they have come.
type PortfolioSet struct {
	ID          uuid.UUID `json:"id"`
	Cohort      uuid.UUID `json:"cohort,omitzero" about:"Absent where it is of a visit, as its name."`
	CohortName  string    `json:"cohort_name,omitzero"`
	Visit       uuid.UUID `json:"visit,omitzero" about:"Absent where it is of a cohort."`
	Unit        string    `json:"unit"`
	RequestedBy string    `json:"requested_by"`
	RequestedAt time.Time `json:"requested_at"`
	Total       int       `json:"total"`
	Ready       int       `json:"ready"`
	Building    int       `json:"building" about:"Under way now."`
	Failed      int       `json:"failed"`
	Stopped     int       `json:"stopped"`
	StoppedBy   string    `json:"stopped_by,omitzero"`
	StoppedAt   time.Time `json:"stopped_at,omitzero"`
}

// PortfolioSets is the newest sets that the caller may have asked for.
type PortfolioSets struct {
	Sets []PortfolioSet `json:"sets"`
}

func portfolioSetOf(s app.PortfolioSet) PortfolioSet {
	return PortfolioSet{
		ID: s.ID, Cohort: s.Cohort, CohortName: s.CohortName, Visit: s.Visit, Unit: s.Unit, RequestedBy: s.RequestedByName, RequestedAt: s.RequestedAt.UTC(),
		Total: s.Total, Ready: s.Ready, Building: s.Building, Failed: s.Failed, Stopped: s.Stopped, StoppedBy: s.StoppedByName, StoppedAt: s.StoppedAt.UTC(),
	}
}

func (s *service) portfolioSets(ctx context.Context, who account.Caller, _ none, _ none, _ none) (PortfolioSets, error) {
	sets, err := s.app.PortfolioSets(ctx, who)
	return PortfolioSets{each(sets, portfolioSetOf)}, err
}

// NewPortfolioSet asks for the portfolios of a whole cohort for a qualification unit.
type NewPortfolioSet struct {
	Cohort uuid.UUID `json:"cohort" validate:"required"`
	Unit   string    `json:"unit" validate:"required,max=64"`
}

func (s *service) requestPortfolios(ctx context.Context, who account.Caller, _ none, _ none, b NewPortfolioSet) (Requested, error) {
	id, err := s.app.RequestPortfolios(ctx, who, b.Cohort, b.Unit)
	return Requested{id}, err
}

func (s *service) stopPortfolios(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.StopPortfolios(ctx, who, p.ID)
}

// QualificationUnit is a unit of a qualification with its learning outcomes.
type QualificationUnit struct {
	Code     string            `json:"code"`
	Title    string            `json:"title"`
	Edition  string            `json:"edition"`
	Outcomes []LearningOutcome `json:"learning_outcomes"`
}

// LearningOutcome is a learning outcome with its assessment criteria.
type LearningOutcome struct {
	Code     string      `json:"code"`
	Title    string      `json:"title"`
	Criteria []Criterion `json:"criteria"`
}

// Criterion is an assessment criterion.
type Criterion struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// Units is the centre's qualification units, by code.
type Units struct {
	Units []QualificationUnit `json:"units"`
}

func unitOf(u app.Unit) QualificationUnit {
	out := QualificationUnit{Code: u.Code, Title: u.Title, Edition: u.Edition, Outcomes: []LearningOutcome{}}
	for _, o := range u.Outcomes {
		lo := LearningOutcome{Code: o.Code, Title: o.Title, Criteria: []Criterion{}}
		for _, c := range o.Criteria {
			lo.Criteria = append(lo.Criteria, Criterion{Code: c.Code, Text: c.Text})
		}
		out.Outcomes = append(out.Outcomes, lo)
	}
	return out
}

func (s *service) units(ctx context.Context, who account.Caller, _ none, _ none, _ none) (Units, error) {
	us, err := s.app.Units(ctx, who)
	return Units{each(us, unitOf)}, err
}
