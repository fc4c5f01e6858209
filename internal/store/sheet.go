package store

import (
	"context"
	"fmt"
	"slices"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
)

// JobSheet is one attempt with everything that belongs to it.
type JobSheet struct {
	Attempt  Attempt
	Task     Task
	Brief    BriefVersion
	Trainee  Person            // without registrations
	Entries  []Entry           // every one that belongs to the set, in the order of receipt but for what had been overtaken (see inOrder)
	Evidence []Evidence        // that belongs to the set, in the order of receipt
	Records  []decision.Record // in the order in which they were appended
	Rules    []RuleEdition     // the checked editions of the rule sets that the brief names, with their sources
	Marking  *Marking          // the latest; nil before the marker ran
	// Instruments are those that the trainee chose for it, in the order of receipt.
	Instruments []Instrument
	Checkups    map[uuid.UUID]Checkups // of those of them that the register knows, by id
	Seal        *decision.Seal         // what was handed over; nil before
	Held        Held
	Awaited     []decision.Listed    // on the sealed list, and not here yet
	Registered  []AwardRegistration  // the trainee's, with the awarding organisation, the earliest first
	Before      []uuid.UUID          // who had part in the attempts that this one goes on from
	Apart       []uuid.UUID          // with whom the trainee has a conflict of interest that stands
	Claims      []decision.SpotClaim // of releases on the spot, in the order of receipt
	Releases    []decision.SpotRelease
}

// partKinds are the records by which a person has part in an attempt: the list of decision.HadPart, and of had_part in the database.
const partKinds = `('criterion_decision', 'override', 'countersign', 'sign_off', 'more_to_do')`

// HadPart says whether the person had part in what was decided of it, or of an attempt that it goes on from: what was met there is taken
// over under the name of whoever sent the trainee on.
func (j JobSheet) HadPart(person uuid.UUID) bool {
	return decision.HadPart(j.Records, person) || slices.Contains(j.Before, person)
}

// Held is what came after handing over without being on the sealed list, and was not taken in: no part of the set.
type Held struct {
	Entries  []Entry
	Evidence []Evidence
}

// slot is what one entry stands in place of another by.
type slot struct {
	item, part string
	phase      brief.Phase
}

func slotOf(e Entry) slot { return slot{e.Item, e.Part, e.Phase} }

// Latest is the entries that count: of each item, part and phase the last.
func (j JobSheet) Latest() []Entry {
	last := make(map[slot]int, len(j.Entries))
	for i, e := range j.Entries {
		last[slotOf(e)] = i
	}
	latest := make([]Entry, 0, len(last))
	for i, e := range j.Entries {
		if last[slotOf(e)] == i {
			latest = append(latest, e)
		}
	}
	return latest
}

// inOrder puts entries that came in the order of receipt into the order in which they count. A line that was held up on the
// way must not take the place of one that was typed over it and came first: where the clocks prove that, it goes before that
// one. Without proof what came last counts.
func inOrder(entries []Entry) {
	last := make(map[slot]int, len(entries))
	for i, e := range entries {
		before, again := last[slotOf(e)]
		last[slotOf(e)] = i
		if !again || !e.Steady {
			continue
		}
		for k := 0; k <= before; k++ {
			if slotOf(entries[k]) != slotOf(e) || !e.Captured().Overtaken(entries[k].Captured()) {
				continue
			}
			copy(entries[k+1:i+1], entries[k:i])
			entries[k] = e
			for n := k + 1; n <= i; n++ {
				last[slotOf(entries[n])] = n
			}
			break
		}
	}
}

// JobSheet reads one attempt with everything, in one round trip.
func (s *Store) JobSheet(ctx context.Context, centre int64, attempt uuid.UUID) (JobSheet, error) {
	sheets, err := readSheets(s.reading(ctx, centre), []uuid.UUID{attempt})
	return first(sheets, "attempt", err)
}

// LockJobSheet holds one attempt until the transaction ends, as LockAttempt does, and reads it with everything in the same
// round trip: what is read after the hold began is what stands.
func (t *Tx) LockJobSheet(ctx context.Context, attempt uuid.UUID) (JobSheet, error) {
	var w sheetRows
	r, ids := t.reading(ctx), []uuid.UUID{attempt}
	w.queueWork(r, ids, briefColumns, ` FOR UPDATE OF a`)
	w.queueRest(r, ids)
	sheets, err := w.send(r)
	return first(sheets, "attempt", err)
}

// LockWork is LockJobSheet for what a trainee sends, in half the statements: Task, Trainee, Instruments, Records, Rules, Marking and the
// brief's Source are left out (see BriefSource). Without Records, what a tutor took in counts as held.
func (t *Tx) LockWork(ctx context.Context, attempt uuid.UUID) (JobSheet, error) {
	var w sheetRows
	r := t.reading(ctx)
	w.queueWork(r, []uuid.UUID{attempt}, briefListColumns, ` FOR UPDATE OF a`)
	sheets, err := w.send(r)
	return first(sheets, "attempt", err)
}

// SheetHead reads an attempt with its brief's version and nothing else of JobSheet: Source is left out too (see BriefVersion).
func (s *Store) SheetHead(ctx context.Context, centre int64, attempt uuid.UUID) (JobSheet, error) {
	var w sheetRows
	r := s.reading(ctx, centre)
	w.queueHead(r, []uuid.UUID{attempt}, briefListColumns, "")
	sheets, err := w.send(r)
	return first(sheets, "attempt", err)
}

// JobSheetsForUnit reads every attempt of a trainee at tasks whose brief bears on the qualification unit: by the time
// the task was set, then by number.
func (s *Store) JobSheetsForUnit(ctx context.Context, centre int64, trainee uuid.UUID, unit string) ([]JobSheet, error) {
	r := s.reading(ctx, centre)
	var ids []uuid.UUID
	queueColumn(r, &ids, `
		SELECT a.attempt_id FROM attempt a
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
		WHERE a.trainee_id = @trainee AND @unit = ANY(v.units)
		ORDER BY t.set_at, t.task_id, a.number`, args{"trainee": trainee, "unit": unit})
	if err := r.send("attempts"); err != nil {
		return nil, err
	}
	return readSheets(s.reading(ctx, centre), ids)
}

// sheetTask is a task as the batch of readSheets finds it: for one attempt.
type sheetTask struct {
	Sheet uuid.UUID
	Task
}

type sheetBrief struct {
	Sheet uuid.UUID
	BriefVersion
}

type sheetRules struct {
	Sheet uuid.UUID
	RuleEdition
}

type sheetAward struct {
	Sheet uuid.UUID
	AwardRegistration
}

// sheetPerson is somebody by an attempt: who has a conflict of interest with its trainee, or had part in an earlier one.
type sheetPerson struct{ Sheet, Person uuid.UUID }

type sheetTrainee struct {
	Sheet uuid.UUID
	Person
}

// sheetRows is what one batch brings, table by table.
type sheetRows struct {
	whole    bool // queueRest was asked for too
	attempts []Attempt
	tasks    []sheetTask
	briefs   []sheetBrief
	trainees []sheetTrainee
	rules    []sheetRules
	entries  []Entry
	files    []Evidence
	records  []decision.Record
	markings []Marking
	seals    []sealRow
	claims   []claimRow
	releases []releaseRow

	registered []sheetAward
	apart      []sheetPerson
	before     []sheetPerson

	instruments []Instrument
	checkups    []sheetCheckup
}

// readSheets reads the attempts with everything in one round trip, in the order of ids; an unknown id has no sheet.
func readSheets(r *reader, ids []uuid.UUID) ([]JobSheet, error) {
	var w sheetRows
	w.queueWork(r, ids, briefColumns, "")
	w.queueRest(r, ids)
	return w.send(r)
}

// underVersion goes on from a version v to the attempts a that are held against it, as their task was set or since a correction
// took effect on them; another condition follows.
const underVersion = `
		JOIN task t ON t.centre_id = v.centre_id AND t.brief_id = v.brief_id
		JOIN attempt a ON a.centre_id = t.centre_id AND a.task_id = t.task_id
		LEFT JOIN remark m ON m.centre_id = a.centre_id AND m.remark_id = a.corrected_by
		WHERE v.version = coalesce(m.to_version, t.version) AND `

// queueWork queues the attempts, their briefs, and what their trainees put down. lock is "" or a locking clause, which comes
// first so that all else is read under it.
func (w *sheetRows) queueWork(r *reader, ids []uuid.UUID, brief, lock string) {
	a := args{"ids": ids}
	w.queueHead(r, ids, brief, lock)
	queue(r, &w.entries, `SELECT `+entryColumns+entryFrom+` WHERE e.attempt_id = ANY(@ids) ORDER BY e.attempt_id, e.seq`, a)
	queue(r, &w.files, `SELECT `+evidenceColumns+evidenceFrom+` WHERE v.attempt_id = ANY(@ids) ORDER BY v.attempt_id, v.received_at, v.evidence_id`, a)
	queue(r, &w.seals, `SELECT `+sealColumns+sealFrom+` WHERE s.attempt_id = ANY(@ids) ORDER BY s.attempt_id`, a)
}

// queueHead queues the attempts and their briefs.
func (w *sheetRows) queueHead(r *reader, ids []uuid.UUID, brief, lock string) {
	a := args{"ids": ids}
	queue(r, &w.attempts, `SELECT `+attemptColumns+attemptFrom+` WHERE a.attempt_id = ANY(@ids) ORDER BY array_position(@ids::uuid[], a.attempt_id)`+lock, a)
	queue(r, &w.briefs, `SELECT a.attempt_id AS sheet, `+brief+briefFrom+underVersion+`a.attempt_id = ANY(@ids) ORDER BY a.attempt_id`, a)
}

// queueRest queues the tasks, the trainees, and what was said of their work.
func (w *sheetRows) queueRest(r *reader, ids []uuid.UUID) {
	a := args{"ids": ids}
	w.whole = true
	w.queueSpots(r, a)
	queue(r, &w.tasks, `SELECT a.attempt_id AS sheet, `+taskColumns+taskFrom+`
		JOIN attempt a ON a.centre_id = t.centre_id AND a.task_id = t.task_id WHERE a.attempt_id = ANY(@ids) ORDER BY a.attempt_id`, a)
	queue(r, &w.trainees, `SELECT a.attempt_id AS sheet, `+personColumns+` FROM person p
		JOIN attempt a ON a.centre_id = p.centre_id AND a.trainee_id = p.person_id WHERE a.attempt_id = ANY(@ids) ORDER BY a.attempt_id`, a)
	queue(r, &w.registered, `SELECT a.attempt_id AS sheet, `+awardRegistrationColumns+` FROM award_registration g
		JOIN attempt a ON a.centre_id = g.centre_id AND a.trainee_id = g.person_id
		WHERE a.attempt_id = ANY(@ids) AND g.taken_back_at IS NULL ORDER BY a.attempt_id, g.registered_on, g.registration_id`, a)
	queue(r, &w.apart, `SELECT a.attempt_id AS sheet, CASE c.person_id WHEN a.trainee_id THEN c.other_id ELSE c.person_id END AS person
		FROM attempt a JOIN conflict c ON c.centre_id = a.centre_id AND a.trainee_id IN (c.person_id, c.other_id)
		WHERE a.attempt_id = ANY(@ids) AND c.ended_at IS NULL ORDER BY a.attempt_id, c.conflict_id`, a)
	queue(r, &w.before, `SELECT DISTINCT a.attempt_id AS sheet, r.by_id AS person FROM attempt a
		JOIN record r ON r.centre_id = a.centre_id AND r.attempt_id = ANY(line_of(a.centre_id, a.carried_from)) AND r.kind IN `+partKinds+`
		WHERE a.attempt_id = ANY(@ids) AND a.carried_from IS NOT NULL ORDER BY 1, 2`, a)
	queue(r, &w.instruments, `SELECT `+instrumentColumns+instrumentFrom+` WHERE i.attempt_id = ANY(@ids) ORDER BY i.attempt_id, i.received_at, i.instrument_id`, a)
	queue(r, &w.checkups, checkupsOf, a)
	queue(r, &w.records, `SELECT `+recordColumns+` FROM record r WHERE r.attempt_id = ANY(@ids) ORDER BY r.attempt_id, r.seq`, a)
	queue(r, &w.rules, `SELECT a.attempt_id AS sheet, `+ruleColumns+ruleFrom+`
		JOIN brief_version v ON v.centre_id = e.centre_id AND e.key = ANY(SELECT split_part(x, '/', 1) FROM unnest(v.rules) x)`+underVersion+`a.attempt_id = ANY(@ids) AND e.checked_by IS NOT NULL ORDER BY a.attempt_id, e.key, e.valid_from`, a)
	queue(r, &w.markings, `SELECT DISTINCT ON (k.attempt_id) `+markingColumns+` FROM marking k
		WHERE k.attempt_id = ANY(@ids) ORDER BY k.attempt_id, k.seq DESC`, a)
}

// send reads what was queued and lays it out.
func (w *sheetRows) send(r *reader) ([]JobSheet, error) {
	if err := r.send("job sheets"); err != nil {
		return nil, err
	}
	return w.sheets()
}

// sheets lays the rows out by attempt. Each statement of a batch sees what was committed when it began, so a row of an
// attempt that came in between is left out rather than trusted to have its attempt.
func (w *sheetRows) sheets() ([]JobSheet, error) {
	sheets := make([]JobSheet, len(w.attempts))
	at := make(map[uuid.UUID]*JobSheet, len(w.attempts))
	for i, a := range w.attempts {
		sheets[i].Attempt = a
		at[a.ID] = &sheets[i]
	}
	if len(w.briefs) < len(sheets) || w.whole && (len(w.tasks) < len(sheets) || len(w.trainees) < len(sheets)) {
		return nil, fmt.Errorf("read job sheets: %d attempts, %d tasks, %d briefs, %d trainees", len(sheets), len(w.tasks), len(w.briefs), len(w.trainees))
	}
	lay(at, w.tasks, func(t sheetTask) uuid.UUID { return t.Sheet }, func(j *JobSheet, t sheetTask) { j.Task = t.Task })
	lay(at, w.briefs, func(b sheetBrief) uuid.UUID { return b.Sheet }, func(j *JobSheet, b sheetBrief) { j.Brief = b.BriefVersion })
	lay(at, w.trainees, func(p sheetTrainee) uuid.UUID { return p.Sheet }, func(j *JobSheet, p sheetTrainee) { j.Trainee = p.Person })
	lay(at, w.entries, func(e Entry) uuid.UUID { return e.Attempt }, func(j *JobSheet, e Entry) { j.Entries = append(j.Entries, e) })
	lay(at, w.files, func(v Evidence) uuid.UUID { return v.Attempt }, func(j *JobSheet, v Evidence) { j.Evidence = append(j.Evidence, v) })
	lay(at, w.records, func(d decision.Record) uuid.UUID { return d.Attempt }, func(j *JobSheet, d decision.Record) { j.Records = append(j.Records, d) })
	lay(at, w.rules, func(e sheetRules) uuid.UUID { return e.Sheet }, func(j *JobSheet, e sheetRules) { j.Rules = append(j.Rules, e.RuleEdition) })
	lay(at, w.markings, func(m Marking) uuid.UUID { return m.Attempt }, func(j *JobSheet, m Marking) { j.Marking = &m })
	lay(at, w.registered, func(g sheetAward) uuid.UUID { return g.Sheet }, func(j *JobSheet, g sheetAward) { j.Registered = append(j.Registered, g.AwardRegistration) })
	lay(at, w.apart, func(x sheetPerson) uuid.UUID { return x.Sheet }, func(j *JobSheet, x sheetPerson) { j.Apart = append(j.Apart, x.Person) })
	lay(at, w.before, func(x sheetPerson) uuid.UUID { return x.Sheet }, func(j *JobSheet, x sheetPerson) { j.Before = append(j.Before, x.Person) })
	lay(at, w.instruments, func(i Instrument) uuid.UUID { return i.Attempt }, func(j *JobSheet, i Instrument) { j.Instruments = append(j.Instruments, i) })
	lay(at, w.checkups, func(k sheetCheckup) uuid.UUID { return k.Attempt }, func(j *JobSheet, k sheetCheckup) { k.put(j) })
	lay(at, w.claims, func(c claimRow) uuid.UUID { return c.Attempt }, func(j *JobSheet, c claimRow) { j.Claims = append(j.Claims, c.claim()) })
	lay(at, w.releases, func(r releaseRow) uuid.UUID { return r.Attempt }, func(j *JobSheet, r releaseRow) { j.Releases = append(j.Releases, r.release()) })
	lay(at, w.seals, func(s sealRow) uuid.UUID { return s.Attempt }, func(j *JobSheet, s sealRow) { j.Seal = s.seal() })
	for i := range sheets {
		sheets[i].set()
		inOrder(sheets[i].Entries)
	}
	return sheets, nil
}

// lay puts each row on the sheet of its attempt.
func lay[T any](at map[uuid.UUID]*JobSheet, rows []T, attempt func(T) uuid.UUID, put func(*JobSheet, T)) {
	for _, row := range rows {
		if j, ok := at[attempt(row)]; ok {
			put(j, row)
		}
	}
}
