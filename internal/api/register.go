package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

func (s *service) registerRoutes() []Route {
	return []Route{
		route("register", get, "/api/register", account.SeeRegister, "Lists the centre's instruments as they stand today.", s.register),
		route("addToRegister", post, "/api/register", account.KeepRegister, "Puts an instrument into the register.", s.addToRegister),
		route("checkInstruments", post, "/api/register/list/check", account.KeepRegister, "Says what taking a list of instruments in would change, or what there is to mend in it; nothing is kept.", s.checkInstruments),
		route("importInstruments", post, "/api/register/list", account.KeepRegister, "Takes a list of instruments in, as it was shown.", s.importInstruments),
		route("registered", get, "/api/register/{id}", account.SeeRegister, "Gives one instrument with its calibrations and checks in house.", s.registered),
		route("calibrate", post, "/api/register/{id}/calibrations", account.KeepRegister, "Enters a calibration; the same sent again has no effect.", s.calibrate),
		route("checkInHouse", post, "/api/register/{id}/checks", account.CheckInHouse, "Enters a check in house; the same sent again has no effect.", s.checkInHouse),
		route("strikeCheckup", post, "/api/register/{id}/events/{event}/strike", account.KeepRegister, "Says that a calibration or check was entered by mistake: it counts no more, and stays to be read.", s.strikeCheckup),
		route("retireInstrument", post, "/api/register/{id}/retire", account.KeepRegister, "Takes an instrument out of use; what was read with it stays.", s.retireInstrument),
		route("touched", get, "/api/register/{id}/events/{event}/touched", account.SeeTouched, "Lists the readings that a failed calibration or check puts in question, with the decisions that rest on them.", s.touched),
		route("lookAtTouched", post, "/api/register/{id}/events/{event}/looks", account.LookAgain, "Keeps what somebody found of an attempt's readings in question; nothing is undone by it.", s.lookAtTouched),
	}
}

// Registered is one instrument of the register.
type Registered struct {
	ID         uuid.UUID `json:"id"`
	Name       string    `json:"name"`
	Serial     string    `json:"serial"`
	Kinds      []string  `json:"kinds" about:"As briefs name them, in small letters."`
	Measures   string    `json:"measures,omitzero"`
	Resolution string    `json:"resolution,omitzero"`
	Accuracy   string    `json:"accuracy,omitzero"`
	Due        Date      `json:"due,omitzero" about:"The last day on which its calibration holds."`
	Doubt      string    `json:"doubt,omitzero" about:"What speaks against a reading taken now: failed, overdue or uncalibrated; left out for nothing."`
	InUse      bool      `json:"in_use"`
}

func registeredOf(r app.RegisterRow) Registered {
	return Registered{ID: r.ID, Name: r.Name, Serial: r.Serial, Kinds: r.Kinds, Measures: r.Measures, Resolution: r.Resolution, Accuracy: r.Accuracy,
		Due: dateOf(r.Due), Doubt: string(r.Doubt), InUse: r.InUse()}
}

// RegisterList is the centre's instruments, those in use first, by name.
type RegisterList struct {
	Instruments []Registered `json:"instruments"`
}

func (s *service) register(ctx context.Context, who account.Caller, _ none, _ none, _ none) (RegisterList, error) {
	rows, err := s.app.Register(ctx, who)
	return RegisterList{each(rows, registeredOf)}, err
}

// NewRegistered is an instrument to be put into the register.
type NewRegistered struct {
	Name       string   `json:"name" validate:"required,max=200"`
	Serial     string   `json:"serial" validate:"required,max=100" about:"As it stands on the label. Capitals, spaces and dashes make no difference."`
	Kinds      []string `json:"kinds" validate:"required,min=1,max=12,dive,max=200" about:"As briefs name them."`
	Measures   string   `json:"measures" validate:"omitempty,max=200"`
	Resolution string   `json:"resolution" validate:"omitempty,max=200"`
	Accuracy   string   `json:"accuracy" validate:"omitempty,max=200"`
}

func (s *service) addToRegister(ctx context.Context, who account.Caller, _ none, _ none, b NewRegistered) (Created, error) {
	id, err := s.app.AddToRegister(ctx, who, app.NewRegistered{
		Name: b.Name, Serial: b.Serial, Kinds: b.Kinds, Measures: b.Measures, Resolution: b.Resolution, Accuracy: b.Accuracy,
	})
	return Created{id}, err
}

// Checkup is a calibration or a check in house.
type Checkup struct {
	ID          uuid.UUID `json:"id"`
	What        string    `json:"what" about:"calibration, ice_point, gauge_zero, proving_unit or fresh_air."`
	DoneAt      time.Time `json:"done_at" about:"Of a calibration the first moment of its day."`
	Good        bool      `json:"good"`
	Certificate string    `json:"certificate,omitzero"`
	Due         Date      `json:"due,omitzero"`
	Found       string    `json:"found,omitzero"`
	Words       string    `json:"words,omitzero"`
	By          string    `json:"by"`
	Struck      bool      `json:"struck" about:"It was entered by mistake and does not count."`
	Readings    int       `json:"readings" about:"That it puts in question; counted for the last four that found it wrong."`
}

func checkupOf(e app.RegisterEvent) Checkup {
	return Checkup{ID: e.ID, What: string(e.What), DoneAt: e.DoneAt.UTC(), Good: e.Good, Certificate: e.Certificate, Due: Date{e.DueOn}, Found: e.Found, Words: e.Words,
		By: e.ByName, Struck: !e.StruckAt.IsZero(), Readings: e.Touched.Readings}
}

// RegisterSheet is one instrument with what was found of it, in the order in which it was done.
type RegisterSheet struct {
	Instrument Registered `json:"instrument"`
	Checkups   []Checkup  `json:"checkups"`
}

func (s *service) registered(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (RegisterSheet, error) {
	sheet, err := s.app.OneOfRegister(ctx, who, p.ID)
	return RegisterSheet{registeredOf(sheet.RegisterRow), each(sheet.Events, checkupOf)}, err
}

// CalibrationPoint is a difference that was found at one value.
type CalibrationPoint struct {
	At    string `json:"at" validate:"required,max=200"`
	Error string `json:"error" validate:"required,max=200"`
}

// NewCalibration is what a certificate says.
type NewCalibration struct {
	ID          uuid.UUID          `json:"id" validate:"required" about:"Made by the sender: the same again has no effect."`
	On          Date               `json:"on" validate:"required"`
	Good        bool               `json:"good" about:"It read true as it came, before anything was adjusted."`
	Certificate string             `json:"certificate" validate:"required,max=200"`
	Due         Date               `json:"due" validate:"omitempty" about:"The last day on which it holds; may be left out only where it is not good."`
	Points      []CalibrationPoint `json:"points" validate:"omitempty,max=40,dive"`
	Words       string             `json:"words" validate:"omitempty,max=4000" about:"What was found, where it is not good."`
}

func (s *service) calibrate(ctx context.Context, who account.Caller, p idPath, _ none, b NewCalibration) (none, error) {
	return none{}, s.app.Calibrate(ctx, who, p.ID, app.NewCalibration{ID: b.ID, On: b.On.Time, Good: b.Good, Certificate: b.Certificate, Due: b.Due.Time,
		Points: each(b.Points, func(x CalibrationPoint) app.RegisterPoint { return app.RegisterPoint(x) }), Words: b.Words})
}

// NewCheck is a check that was done in house.
type NewCheck struct {
	ID    uuid.UUID `json:"id" validate:"required" about:"Made by the sender: the same again has no effect."`
	What  string    `json:"what" validate:"required,oneof=ice_point gauge_zero proving_unit fresh_air"`
	At    time.Time `json:"at,omitzero" validate:"omitempty" about:"Now where it is left out."`
	Found string    `json:"found" validate:"required,max=200" about:"What it read."`
	Good  bool      `json:"good"`
	Words string    `json:"words" validate:"omitempty,max=4000" about:"What was found, where it is not good."`
}

func (s *service) checkInHouse(ctx context.Context, who account.Caller, p idPath, _ none, b NewCheck) (none, error) {
	return none{}, s.app.CheckInHouse(ctx, who, p.ID, app.NewInHouse{ID: b.ID, What: decision.Check(b.What), At: b.At, Found: b.Found, Good: b.Good, Words: b.Words})
}

type eventPath struct {
	ID    uuid.UUID `path:"id"`
	Event uuid.UUID `path:"event"`
}

// Because is why somebody does something.
type Because struct {
	Words string `json:"words" validate:"required,max=4000"`
}

func (s *service) strikeCheckup(ctx context.Context, who account.Caller, p eventPath, _ none, b Because) (none, error) {
	return none{}, s.app.StrikeCheckup(ctx, who, p.ID, p.Event, b.Words)
}

func (s *service) retireInstrument(ctx context.Context, who account.Caller, p idPath, _ none, b Because) (none, error) {
	return none{}, s.app.RetireFromRegister(ctx, who, p.ID, b.Words)
}

// TouchedReading is a reading in question.
type TouchedReading struct {
	Title  string    `json:"title"`
	Text   string    `json:"text"`
	Unit   string    `json:"unit,omitzero"`
	At     time.Time `json:"at"`
	Safety bool      `json:"safety_critical"`
}

// TouchedAttempt is an attempt with readings in question.
type TouchedAttempt struct {
	Attempt  uuid.UUID        `json:"attempt"`
	Trainee  string           `json:"trainee"`
	Brief    string           `json:"brief"`
	Readings []TouchedReading `json:"readings"`
	Rests    []string         `json:"rests" about:"Criteria whose decisions rest on them."`
	Outcome  string           `json:"outcome,omitzero" about:"Of the latest look: stands, again or afresh; left out where nobody has looked."`
	LookedBy string           `json:"looked_by,omitzero"`
	Words    string           `json:"words,omitzero"`
}

// Touched is what an instrument that was found wrong puts in question, at most two thousand attempts.
type Touched struct {
	From     time.Time        `json:"from,omitzero" about:"Left out where it was never known to read true."`
	To       time.Time        `json:"to,omitzero" about:"Left out where it still is not known to."`
	Attempts []TouchedAttempt `json:"attempts"`
}

func touchedOf(a app.TouchedAttempt) TouchedAttempt {
	return TouchedAttempt{Attempt: a.Attempt, Trainee: a.Name, Brief: a.Title, Outcome: a.Outcome, LookedBy: a.LookedName, Words: a.Words,
		Readings: each(a.Readings, func(r app.TouchedReading) TouchedReading {
			return TouchedReading{Title: r.Title, Text: r.Text, Unit: r.Unit, At: r.At.UTC(), Safety: r.Safety}
		}),
		Rests: each(a.Rests, func(r decision.Record) string { return r.Subject })}
}

func (s *service) touched(ctx context.Context, who account.Caller, p eventPath, _ none, _ none) (Touched, error) {
	l, err := s.app.AllTouchedBy(ctx, who, p.ID, p.Event)
	return Touched{l.Event.From.UTC(), l.Event.To.UTC(), each(l.Attempts, touchedOf)}, err
}

// NewTouchedLook is what somebody found of an attempt's readings in question.
type NewTouchedLook struct {
	ID      uuid.UUID `json:"id" validate:"required" about:"Made by the sender: the same again has no effect."`
	Attempt uuid.UUID `json:"attempt" validate:"required"`
	Outcome string    `json:"outcome" validate:"required,oneof=stands again afresh"`
	Words   string    `json:"words" validate:"required,max=4000"`
}

func (s *service) lookAtTouched(ctx context.Context, who account.Caller, p eventPath, _ none, b NewTouchedLook) (none, error) {
	return none{}, s.app.LookAtTouched(ctx, who, p.ID, p.Event, b.Attempt, app.Look{ID: b.ID, Outcome: b.Outcome, Words: b.Words})
}
