package api

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// InstrumentList is a list of instruments as comma-separated text with a line of headings.
type InstrumentList struct {
	List string `json:"list" validate:"required,max=1048576"`
}

// SeenInstrumentList is a list whose plan somebody has seen.
type SeenInstrumentList struct {
	List   string `json:"list" validate:"required,max=1048576"`
	Digest string `json:"digest" validate:"required,max=64" about:"Of the plan that was shown."`
}

// InstrumentPlan is what taking a list of instruments in changes, or what there is to mend in it first.
type InstrumentPlan struct {
	Problems     []ListProblem       `json:"problems"`
	Rows         int                 `json:"rows"`
	New          []ListedInstrument  `json:"new"`
	Calibrations []ListedCalibration `json:"calibrations" about:"That are entered of instruments which are here already."`
	Digest       string              `json:"digest,omitzero" about:"To be sent with the list for it to be taken in."`
}

// ListedInstrument is a new instrument of a list.
type ListedInstrument struct {
	Line        int      `json:"line"`
	Name        string   `json:"name"`
	Serial      string   `json:"serial"`
	Kinds       []string `json:"kinds"`
	Certificate string   `json:"certificate,omitzero" about:"Of its calibration, where the list has one."`
	On          Date     `json:"on,omitzero"`
	Due         Date     `json:"due,omitzero"`
	Good        bool     `json:"good,omitzero"`
}

// ListedCalibration is a calibration that a list has of an instrument which is here already.
type ListedCalibration struct {
	Line           int       `json:"line"`
	Instrument     uuid.UUID `json:"instrument"`
	Name           string    `json:"name"`
	Certificate    string    `json:"certificate"`
	On             Date      `json:"on"`
	Due            Date      `json:"due,omitzero"`
	Good           bool      `json:"good"`
	WasCertificate string    `json:"was_certificate,omitzero" about:"Of the last one that counts so far."`
	Earlier        bool      `json:"earlier" about:"Than that one, which then still counts."`
}

func instrumentPlanOf(p app.RegisterPlan) InstrumentPlan {
	return InstrumentPlan{
		Problems: each(p.Problems, listProblemOf), Rows: p.Rows, Digest: p.Digest,
		New: each(p.New, func(r app.InstrumentRow) ListedInstrument {
			n := r.Calibration
			return ListedInstrument{Line: r.Line, Name: r.Name, Serial: r.Serial, Kinds: r.Kinds, Certificate: n.Certificate, On: Date{n.On}, Due: Date{n.Due}, Good: n.Good}
		}),
		Calibrations: each(p.Calibrations, func(l app.ListedCalibration) ListedCalibration {
			return ListedCalibration{Line: l.Line, Instrument: l.Instrument, Name: l.Name, Certificate: l.Now.Certificate, On: Date{l.Now.On}, Due: Date{l.Now.Due}, Good: l.Now.Good,
				WasCertificate: l.Was.Certificate, Earlier: l.Earlier()}
		}),
	}
}

func (s *service) checkInstruments(ctx context.Context, who account.Caller, _ none, _ none, b InstrumentList) (InstrumentPlan, error) {
	p, err := s.app.CheckRegister(ctx, who, []byte(b.List))
	return instrumentPlanOf(p), err
}

func (s *service) importInstruments(ctx context.Context, who account.Caller, _ none, _ none, b SeenInstrumentList) (InstrumentPlan, error) {
	p, err := s.app.ImportRegister(ctx, who, []byte(b.List), b.Digest)
	return instrumentPlanOf(p), err
}
