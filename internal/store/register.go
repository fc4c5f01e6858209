package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
)

// Registered is one instrument of the centre's register.
type Registered struct {
	ID           uuid.UUID `db:"register_id"`
	Name         string    // as people call it: "Multimeter 3"
	Serial       string    // as it stands on its label
	Kinds        []string  // that it stands for, as briefs name them, in small letters
	Measures     string    // its range, in words; as all that its maker says
	Resolution   string
	Accuracy     string
	AddedAt      time.Time
	ByName       string
	RetiredAt    time.Time // zero while it is in use
	RetiredName  string
	RetiredWords string
}

const registerColumns = `g.register_id, g.name, g.serial,
	ARRAY(SELECT k.kind FROM register_kind k WHERE k.centre_id = g.centre_id AND k.register_id = g.register_id ORDER BY k.kind) AS kinds,
	g.measures, g.resolution, g.accuracy, g.added_at, b.name AS by_name, coalesce(g.retired_at, '0001-01-01 00:00Z') AS retired_at,
	coalesce(x.name, '') AS retired_name, g.retired_words`

const registerFrom = ` FROM register g JOIN person b ON b.centre_id = g.centre_id AND b.person_id = g.by_id
	LEFT JOIN person x ON x.centre_id = g.centre_id AND x.person_id = g.retired_by `

// RegisterEvent is a calibration of an instrument, or a check in house.
type RegisterEvent struct {
	ID          uuid.UUID `db:"event_id"`
	Register    uuid.UUID `db:"register_id"`
	What        decision.Check
	DoneAt      time.Time // of a calibration the first moment of its day
	Good        bool
	Certificate string    // its number; "" for a check in house
	DueOn       time.Time // a date, of a calibration: the last day on which it holds; zero where none is stated
	Found       string    // what it read, of a check in house
	Points      []RegisterPoint
	Words       string // never "" where it is not good
	ByName      string
	EnteredAt   time.Time
	StruckAt    time.Time // it was entered by mistake, and does not count; zero for one that counts
	StruckName  string
	StruckWords string
}

// RegisterPoint is an error that was found at one point of the range, both as they stand on the certificate.
type RegisterPoint struct {
	At    string `json:"at"`
	Error string `json:"error"`
}

const registerEventColumns = `e.event_id, e.register_id, e.what, e.done_at, e.good, e.certificate, coalesce(e.due_on, '0001-01-01') AS due_on, e.found, e.points, e.words,
	b.name AS by_name, e.entered_at, coalesce(k.at, '0001-01-01 00:00Z') AS struck_at, coalesce(x.name, '') AS struck_name, coalesce(k.words, '') AS struck_words`

const registerEventFrom = ` FROM register_event e JOIN person b ON b.centre_id = e.centre_id AND b.person_id = e.by_id
	LEFT JOIN register_strike k ON k.centre_id = e.centre_id AND k.event_id = e.event_id
	LEFT JOIN person x ON x.centre_id = k.centre_id AND x.person_id = k.by_id `

// RegisterMost is how many instruments lists bring into a register, and how much is read of one instrument, the newest (our own value: a
// large centre has some hundred, and checks each once a week for some years).
const RegisterMost = 2000

// Register lists every instrument, those in use first, by name; and of each and every sort of checkup the latest that counts, in
// the order in which they were done.
func (s *Store) Register(ctx context.Context, centre int64) ([]Registered, []RegisterEvent, error) {
	r := s.reading(ctx, centre)
	var list []Registered
	var latest []RegisterEvent
	queue(r, &list, `SELECT `+registerColumns+registerFrom+` ORDER BY g.retired_at IS NOT NULL, lower(g.name), g.serial, g.register_id`, args{})
	queue(r, &latest, `SELECT * FROM (
			SELECT DISTINCT ON (e.register_id, e.what) `+registerEventColumns+registerEventFrom+`
			WHERE k.at IS NULL ORDER BY e.register_id, e.what, e.done_at DESC, e.entered_at DESC, e.event_id DESC) l
		ORDER BY l.done_at, l.entered_at, l.event_id`, args{})
	return list, latest, r.send("register of instruments")
}

// OneOfRegister reads one instrument with its calibrations and checks, in the order in which they were done.
func (s *Store) OneOfRegister(ctx context.Context, centre int64, id uuid.UUID) (Registered, []RegisterEvent, error) {
	return readRegistered(s.reading(ctx, centre), id)
}

func readRegistered(r *reader, id uuid.UUID) (Registered, []RegisterEvent, error) {
	var list []Registered
	var events []RegisterEvent
	queue(r, &list, `SELECT `+registerColumns+registerFrom+` WHERE g.register_id = @register`, args{"register": id})
	queue(r, &events, `SELECT * FROM (
			SELECT `+registerEventColumns+registerEventFrom+` WHERE e.register_id = @register
			ORDER BY e.done_at DESC, e.entered_at DESC, e.event_id DESC LIMIT @most) l
		ORDER BY l.done_at, l.entered_at, l.event_id`, args{"register": id, "most": RegisterMost})
	g, err := first(list, "instrument", r.send("instrument of the register"))
	return g, events, err
}

// OneOfRegister is Store.OneOfRegister within the transaction, with the instrument held until it ends.
func (t *Tx) OneOfRegister(ctx context.Context, id uuid.UUID) (Registered, []RegisterEvent, error) {
	r := t.reading(ctx)
	var held []uuid.UUID
	queueColumn(r, &held, `SELECT register_id FROM register WHERE register_id = @register FOR UPDATE`, args{"register": id})
	return readRegistered(r, id)
}

const addRegistered = `
	WITH added AS (
		INSERT INTO register (centre_id, register_id, name, serial, measures, resolution, accuracy, added_at, by_id)
		VALUES (@centre, @register, @name, @serial, @measures, @resolution, @accuracy, @at, @by) RETURNING register_id
	)
	INSERT INTO register_kind (centre_id, kind, serial_key, register_id)
	SELECT @centre, k, serial_key(@serial), a.register_id FROM added a, unnest(@kinds::text[]) AS k`

func (t *Tx) registeredArgs(g Registered, by uuid.UUID) args {
	return args{"centre": t.centre, "register": g.ID, "name": g.Name, "serial": g.Serial, "measures": g.Measures, "resolution": g.Resolution,
		"accuracy": g.Accuracy, "at": g.AddedAt, "by": by, "kinds": g.Kinds}
}

// AddRegistered puts an instrument into the register.
func (t *Tx) AddRegistered(ctx context.Context, g Registered, by uuid.UUID) error {
	_, err := t.exec(ctx, "add to the register", addRegistered, t.registeredArgs(g, by))
	return err
}

// RetireRegistered takes an instrument out of use; one that is so already is Conflict.
func (t *Tx) RetireRegistered(ctx context.Context, id, by uuid.UUID, at time.Time, words string) error {
	n, err := t.exec(ctx, "retire an instrument", `
		UPDATE register SET retired_at = @at, retired_by = @by, retired_words = @words WHERE register_id = @register AND retired_at IS NULL`,
		args{"register": id, "by": by, "at": at, "words": words})
	if err == nil && n == 0 {
		err = fault.Conflict("Somebody has taken this instrument out of use already. Load the page again to see it.")
	}
	return err
}

const addRegisterEvent = `
	INSERT INTO register_event (centre_id, event_id, register_id, what, done_at, good, certificate, due_on, found, points, words, by_id, entered_at)
	VALUES (@centre, @event, @register, @what, @done_at, @good, @certificate, @due_on, @found, @points, @words, @by, @at)
	ON CONFLICT (centre_id, event_id) DO NOTHING`

func (t *Tx) registerEventArgs(e RegisterEvent, by uuid.UUID) args {
	return args{"centre": t.centre, "event": e.ID, "register": e.Register, "what": e.What, "done_at": e.DoneAt, "good": e.Good, "certificate": e.Certificate,
		"due_on": timeOrNull(e.DueOn), "found": e.Found, "points": append([]RegisterPoint{}, e.Points...), "words": e.Words, "by": by, "at": e.EnteredAt}
}

// AddRegisterEvent keeps a calibration or a check in house; the same id again has no effect.
func (t *Tx) AddRegisterEvent(ctx context.Context, e RegisterEvent, by uuid.UUID) error {
	_, err := t.exec(ctx, "add a calibration or check", addRegisterEvent, t.registerEventArgs(e, by))
	return err
}

// StrikeRegisterEvent says that a calibration or check was entered by mistake; one that is struck already is Conflict.
func (t *Tx) StrikeRegisterEvent(ctx context.Context, id, by uuid.UUID, at time.Time, words string) error {
	n, err := t.exec(ctx, "strike a calibration or check", `
		INSERT INTO register_strike (centre_id, event_id, words, by_id, at) VALUES (@centre, @event, @words, @by, @at) ON CONFLICT DO NOTHING`,
		args{"centre": t.centre, "event": id, "by": by, "at": at, "words": words})
	if err == nil && n == 0 {
		err = fault.Conflict("Somebody has struck this out already. Load the page again to see it.")
	}
	if err == nil {
		t.logStatement(ledger.KindStrike, id)
	}
	return err
}

// RegisterChoice is an instrument in use that a trainee may take in hand for a kind, with the latest that counts of its calibrations.
type RegisterChoice struct {
	Kind       string // in small letters
	Serial     string
	Name       string
	Calibrated bool      // it was, ever
	Good       bool      // and found to read true
	DueOn      time.Time // the last day on which that holds; zero for none
}

// RegisterChoices lists what is in use of the kinds, at most a hundred, by kind and name.
func (s *Store) RegisterChoices(ctx context.Context, centre int64, kinds []string) ([]RegisterChoice, error) {
	return all[RegisterChoice](s.reading(ctx, centre), "instruments to choose from", `
		SELECT k.kind, g.serial, g.name, c.good IS NOT NULL AS calibrated, coalesce(c.good, false) AS good, coalesce(c.due_on, '0001-01-01') AS due_on
		FROM register_kind k JOIN register g ON g.centre_id = k.centre_id AND g.register_id = k.register_id
		LEFT JOIN LATERAL (SELECT e.good, e.due_on FROM register_event e WHERE e.centre_id = g.centre_id AND e.register_id = g.register_id AND e.what = 'calibration'
			AND NOT EXISTS (SELECT FROM register_strike x WHERE x.centre_id = e.centre_id AND x.event_id = e.event_id)
			ORDER BY e.done_at DESC, e.entered_at DESC, e.event_id DESC LIMIT 1) c ON true
		WHERE k.kind = ANY(SELECT lower(x) FROM unnest(@kinds::text[]) x) AND g.retired_at IS NULL ORDER BY k.kind, lower(g.name), g.serial LIMIT 100`, args{"kinds": kinds})
}

// sheetCheckup is a calibration or check of what a trainee has in hand, where the register knows it; one without What is of an
// instrument that has none.
type sheetCheckup struct {
	Attempt    uuid.UUID `db:"attempt_id"`
	Instrument uuid.UUID `db:"instrument_id"`
	Register   uuid.UUID `db:"register_id"`
	What       decision.Check
	DoneAt     time.Time
	Good       bool
	DueOn      time.Time
}

// checkupsOf finds them for the instruments i of an attempt, those of each in the order in which they were done; another
// condition follows.
const checkupsOf = `
	SELECT i.attempt_id, i.instrument_id, k.register_id, coalesce(e.what, '') AS what, coalesce(e.done_at, '0001-01-01 00:00Z') AS done_at,
		coalesce(e.good, false) AS good, coalesce(e.due_on, '0001-01-01') AS due_on
	FROM instrument i
	JOIN register_kind k ON k.centre_id = i.centre_id AND k.kind = lower(i.kind) AND k.serial_key = serial_key(i.serial)
	LEFT JOIN (SELECT e.* FROM register_event e WHERE NOT EXISTS (
		SELECT FROM register_strike x WHERE x.centre_id = e.centre_id AND x.event_id = e.event_id)) e ON e.centre_id = k.centre_id AND e.register_id = k.register_id
	WHERE i.attempt_id = ANY(@ids) ORDER BY i.attempt_id, i.instrument_id, e.done_at, e.entered_at, e.event_id`

// Checkups is what the register knows of one instrument in hand.
type Checkups struct {
	Register uuid.UUID
	Events   []RegisterEvent // in the order in which they were done, without what was struck; only What, DoneAt, Good and DueOn
}

// put lays a row on its attempt's sheet.
func (k sheetCheckup) put(j *JobSheet) {
	if j.Checkups == nil {
		j.Checkups = map[uuid.UUID]Checkups{}
	}
	c := j.Checkups[k.Instrument]
	c.Register = k.Register
	if k.What != "" {
		c.Events = append(c.Events, RegisterEvent{What: k.What, DoneAt: k.DoneAt, Good: k.Good, DueOn: k.DueOn})
	}
	j.Checkups[k.Instrument] = c
}

// registerWaits says of an instrument g that somebody has to see to it: of one of its checkups the latest that counts found it
// wrong, with no good calibration since, or its calibration runs out within thirty days of @day.
const registerWaits = `EXISTS (
		SELECT FROM (SELECT DISTINCT ON (e.what) e.what, e.good, e.due_on, e.done_at, e.entered_at FROM register_event e
			WHERE e.centre_id = g.centre_id AND e.register_id = g.register_id
			AND NOT EXISTS (SELECT FROM register_strike k WHERE k.centre_id = e.centre_id AND k.event_id = e.event_id)
			ORDER BY e.what, e.done_at DESC, e.entered_at DESC, e.event_id DESC) l
		WHERE l.what = 'calibration' AND (NOT l.good OR l.due_on <= @day::date + 30) OR NOT l.good AND NOT EXISTS (
			SELECT FROM register_event c WHERE c.centre_id = g.centre_id AND c.register_id = g.register_id AND c.what = 'calibration' AND c.good AND c.done_at > l.done_at
			AND NOT EXISTS (SELECT FROM register_strike k WHERE k.centre_id = c.centre_id AND k.event_id = c.event_id)))`
