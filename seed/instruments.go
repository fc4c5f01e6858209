package seed

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// tool is an instrument of Bay 7 with its last calibration and the check that suits it.
type tool struct {
	app.NewRegistered
	certificate string
	calibrated  int // days ago
	due         int // in days from now, before it where negative
	points      []store.RegisterPoint
	check       decision.Check // "" where none suits it
	found       string
}

// thermometer is the kind of instrument that trainees of the demonstration say they had in hand, and drifted the serial number of
// one that a calibration finds wrong.
const (
	thermometer = "contact thermometer"
	drifted     = "TVK-20417"
)

// tools are six instruments of makers that there are not: two are due soon, and one is overdue.
func tools() []tool {
	return []tool{
		{app.NewRegistered{Name: "Contact thermometer 1", Serial: drifted, Measures: "−40 °C to 250 °C", Resolution: "0.1 °C", Accuracy: "±0.3 K, Tavelock",
			Kinds: []string{thermometer}}, "HC 26/0310", 348, 17,
			[]store.RegisterPoint{{At: "0 °C", Error: "+0.1 K"}, {At: "60 °C", Error: "+0.2 K"}}, "", ""},
		{app.NewRegistered{Name: "Contact thermometer 2", Serial: "TVK-20418", Measures: "−40 °C to 250 °C", Resolution: "0.1 °C", Accuracy: "±0.3 K, Tavelock",
			Kinds: []string{thermometer}}, "HC 26/0311", 348, 17,
			[]store.RegisterPoint{{At: "0 °C", Error: "+0.1 K"}, {At: "60 °C", Error: "+0.3 K"}}, decision.IcePoint, "0.1 °C"},
		{app.NewRegistered{Name: "Gauge of Bay 7", Serial: "ORB-4-0077", Measures: "0 bar to 4 bar", Resolution: "0.1 bar", Accuracy: "±0.06 bar, Orbencraft",
			Kinds: []string{"gauge of the rig, 0 to 4 bar"}}, "HC 25/0164", 389, -24,
			[]store.RegisterPoint{{At: "1 bar", Error: "−0.02 bar"}, {At: "3 bar", Error: "+0.04 bar"}}, decision.GaugeZero, "0 bar"},
		{app.NewRegistered{Name: "Two-pole tester 1, with proving unit", Serial: "VLT 7731-C", Measures: "12 V to 690 V", Accuracy: "shows by lamps, Veltarn",
			Kinds: []string{"two-pole tester"}}, "HC 26/0207", 160, 205, nil, decision.ProvingUnit, "all lamps, 690 V"},
		{app.NewRegistered{Name: "Flow meter of Bay 7", Serial: "QM-118", Measures: "2 l/min to 40 l/min", Resolution: "0.1 l/min", Accuracy: "2 % of reading, Quillmere",
			Kinds: []string{"flow meter", "flow meter of the rig"}}, "HC 26/0208", 160, 205, []store.RegisterPoint{{At: "12 l/min", Error: "+0.1 l/min"}}, "", ""},
		{app.NewRegistered{Name: "Combustion analyser 1", Serial: "FGX-00912", Measures: "CO to 4000 ppm, O₂ to 21 %", Resolution: "1 ppm; 0.1 %", Accuracy: "±5 ppm; ±0.2 %, Flegrant",
			Kinds: []string{"flue-gas analyser"}}, "HC 26/0290", 95, 270, []store.RegisterPoint{{At: "100 ppm", Error: "−2 ppm"}}, decision.FreshAir, "0 ppm, 20.9 %"},
	}
}

// instruments puts the instruments of Bay 7 into the register, and has the technician check them on a morning. The tester did not
// show at first.
func (s *story) instruments(ctx context.Context) error {
	technician := s.people["halvorsen"]
	for i, k := range tools() {
		s.at(44, 8, 5*i)
		id, err := s.app.AddToRegister(ctx, technician, k.NewRegistered)
		if err != nil {
			return fmt.Errorf("enter %s: %w", k.Name, err)
		}
		if err := s.app.Calibrate(ctx, technician, id, app.NewCalibration{
			ID: uuid.NewSHA1(names, []byte("calibration "+k.Serial)), On: s.base.AddDate(0, 0, -k.calibrated), Good: true,
			Certificate: k.certificate, Due: s.base.AddDate(0, 0, k.due), Points: k.points,
		}); err != nil {
			return fmt.Errorf("calibrate %s: %w", k.Name, err)
		}
		if k.check == "" {
			continue
		}
		if k.check == decision.ProvingUnit {
			bad := app.NewInHouse{What: k.check, Found: "no lamp at 230 V", Words: "The battery was flat. A new one is in."}
			if err := s.checkInHouse(ctx, technician, id, bad, s.at(3, 8, 5*i)); err != nil {
				return err
			}
		}
		good := app.NewInHouse{What: k.check, Found: k.found, Good: true}
		if err := s.checkInHouse(ctx, technician, id, good, s.at(3, 8, 5*i+3)); err != nil {
			return err
		}
	}
	return nil
}

// inHand has the trainee say which thermometer they have in hand at a stage that needs one; the zero id where they do not.
func (s *story) inHand(ctx context.Context, w *work, stage int, at time.Time) (uuid.UUID, error) {
	needs := slices.ContainsFunc(w.itemsOf(stage), func(it brief.Item) bool { return it.Reading != nil && it.Reading.Instrument == thermometer })
	if w.hands == "" || !needs {
		return uuid.Nil, nil
	}
	id := w.name(fmt.Sprint("in hand at ", stage))
	s.now = at
	if err := s.app.ChooseInstrument(ctx, w.trainee, w.id, app.NewInstrument{
		Instrument: decision.Instrument{ID: id, Kind: thermometer, Serial: w.hands}, ChosenAt: at, PhoneClock: s.phone(),
	}); err != nil {
		return uuid.Nil, fmt.Errorf("take the thermometer in hand: %w", err)
	}
	return id, nil
}

// drift has a laboratory find the first thermometer wrong, so that what was read with it is in question: it is taken out of use, and
// somebody who had no part in it looks at the first of the work.
func (s *story) drift(ctx context.Context) error {
	technician, assurer := s.people["halvorsen"], s.people["rathmell"]
	s.at(2, 10, 0)
	list, err := s.app.Register(ctx, technician)
	if err != nil {
		return fmt.Errorf("list the instruments: %w", err)
	}
	i := slices.IndexFunc(list, func(r app.RegisterRow) bool { return r.Serial == drifted })
	event := uuid.NewSHA1(names, []byte("found wrong "+drifted))
	if err := s.app.Calibrate(ctx, technician, list[i].ID, app.NewCalibration{
		ID: event, On: s.base.AddDate(0, 0, -3), Certificate: "HC 26/0377", Words: "Reads 0.7 K high at 0 °C and 1.9 K high at 60 °C, as it came.",
		Points: []store.RegisterPoint{{At: "0 °C", Error: "+0.7 K"}, {At: "60 °C", Error: "+1.9 K"}},
	}); err != nil {
		return fmt.Errorf("enter a failed calibration: %w", err)
	}
	s.at(2, 10, 20)
	if err := s.app.RetireFromRegister(ctx, technician, list[i].ID, "Its probe has drifted. It goes back to the maker."); err != nil {
		return fmt.Errorf("take an instrument out of use: %w", err)
	}
	s.at(1, 8, 40)
	touched, err := s.app.TouchedBy(ctx, assurer, list[i].ID, event, 1)
	if err != nil {
		return fmt.Errorf("list the readings in question: %w", err)
	}
	if err := s.app.LookAtTouched(ctx, assurer, list[i].ID, event, touched.Attempts[0].Attempt, app.Look{
		ID: uuid.NewSHA1(names, []byte("looked at "+drifted)), Outcome: app.TouchedStands,
		Words: "The cylinder’s own thermometer is in the photo and shows the same to a degree. Nothing that was decided hangs on less.",
	}); err != nil {
		return fmt.Errorf("look at a reading in question: %w", err)
	}
	return nil
}

// checkInHouse enters a check at the moment at which it is done.
func (s *story) checkInHouse(ctx context.Context, who account.Caller, id uuid.UUID, n app.NewInHouse, at time.Time) error {
	n.ID, n.At = uuid.NewSHA1(names, []byte(fmt.Sprint("check ", id, at.Unix()))), at
	if err := s.app.CheckInHouse(ctx, who, id, n); err != nil {
		return fmt.Errorf("check an instrument in house: %w", err)
	}
	return nil
}
