package seed

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
	"witnessmark/internal/quantity"
	"witnessmark/internal/store"
	"witnessmark/seed/picture"
)

// names keeps the ids of entries and files the same from one telling to the next.
var names = uuid.MustParse("0b7f6d0e-7a51-4c07-9f0e-6d1b0c2ba707")

// tell sets the briefs and lets every script happen.
func (s *story) tell(ctx context.Context) error {
	if err := s.set(ctx); err != nil {
		return err
	}
	var all []*work
	for _, sc := range append(scripts(), evening()...) {
		w, err := s.plan(ctx, sc)
		if err != nil {
			return fmt.Errorf("plan the attempt of %s at %s: %w", sc.who, order[sc.brief], err)
		}
		all = append(all, w)
	}
	done := make(chan struct{})
	defer close(done)
	go s.draw(all, done) // while the story is told: drawing takes the processor, telling waits for disks
	for _, w := range all {
		if err := s.attempt(ctx, w); err != nil {
			return fmt.Errorf("the attempt of %s at %s: %w", w.who, order[w.script.brief], err)
		}
	}
	return s.portfolio(ctx, "sian")
}

// set sets the briefs to the cohorts.
func (s *story) set(ctx context.Context) error {
	cohorts, err := s.app.Cohorts(ctx, s.people["farrowby"])
	if err != nil {
		return err
	}
	type task struct {
		cohort, tutor   string
		brief, ago, due int // due in days after now, before it where negative
	}
	tasks := []task{
		{"Heating 1, day release", "ellingham", 0, 42, 7},
		{"Heating 1, day release", "ellingham", 1, 24, 14},
		{"Heating 1, day release", "ellingham", 2, 14, 21},
		{"Heating 1, evenings", "aspinal", 0, 6, 28},
	}
	for i := range order[scripted:] { // the rest of the year, a week for each
		tasks = append(tasks, task{"Building services 2, block release", "ellingham", scripted + i, 5, 7 + 7*i})
	}
	for _, t := range tasks {
		s.at(t.ago, 8, 30)
		i := slices.IndexFunc(cohorts, func(c store.Cohort) bool { return c.Name == t.cohort })
		if i < 0 {
			return fmt.Errorf("there is no cohort %q", t.cohort)
		}
		b := s.briefs[t.brief]
		if _, err := s.app.SetBrief(ctx, s.people[t.tutor], app.SetBrief{
			Brief: b.id, Version: b.version, Cohort: cohorts[i].ID, DueOn: s.base.AddDate(0, 0, t.due),
		}); err != nil {
			return fmt.Errorf("set %s to %s: %w", order[t.brief], t.cohort, err)
		}
	}
	return nil
}

// work is one attempt while it is being done.
type work struct {
	script
	id      uuid.UUID
	trainee account.Caller
	tutor   account.Caller
	brief   *brief.Brief
	entries map[string]marking.Entry
	values  values
	photos  map[string]chan drawn // by item and number
}

// drawn is a picture, or why there is none.
type drawn struct {
	jpeg []byte
	err  error
}

// plan works out what a script's trainee will put down.
func (s *story) plan(ctx context.Context, sc script) (*work, error) {
	w := &work{script: sc, trainee: s.people[sc.who], tutor: s.people[sc.tutor], brief: s.briefs[sc.brief].brief, photos: map[string]chan drawn{}}
	var err error
	if w.id, err = s.newest(ctx, w); err != nil {
		return nil, err
	}
	if err := s.work(ctx, w); err != nil {
		return nil, err
	}
	for stage := range w.stages {
		for _, it := range w.itemsOf(stage) {
			for n := range shots(sc.brief, it.Key) {
				w.photos[fmt.Sprint(it.Key, n)] = make(chan drawn, 1)
			}
		}
	}
	return w, nil
}

// work fills in the attempt's values and entries from what was drawn for the trainee.
func (s *story) work(ctx context.Context, w *work) error {
	sheet, err := s.app.Sheet(ctx, w.trainee, w.id)
	if err != nil {
		return err
	}
	given := map[string]string{}
	for _, g := range sheet.Given {
		given[g.Name] = g.Value
	}
	w.entries, w.values = worked(w.brief, w.script, given)
	return nil
}

// attempt lets one script happen from its opening to its end.
func (s *story) attempt(ctx context.Context, w *work) error {
	s.at(w.day, w.hour, 0)
	if err := s.agree(ctx, w); err != nil {
		return err
	}
	if err := s.app.OpenAttempt(ctx, w.trainee, w.id, true, true); err != nil {
		return err
	}
	for i := range w.stages {
		if err := s.stage(ctx, w, i); err != nil {
			return fmt.Errorf("stage %s: %w", w.brief.Stages[i].Key, err)
		}
	}
	return s.finish(ctx, w)
}

// newest is the trainee's newest attempt at the script's brief.
func (s *story) newest(ctx context.Context, w *work) (uuid.UUID, error) {
	tasks, err := s.app.MyTasks(ctx, w.trainee)
	if err != nil {
		return uuid.Nil, err
	}
	for _, t := range tasks {
		if t.Brief == s.briefs[w.script.brief].id {
			return t.Attempt, nil
		}
	}
	return uuid.Nil, fmt.Errorf("%s has no such task", w.who)
}

// start is when a stage began on the trainee's phone: 38 minutes after the one before it, and what that one had to wait.
func (s *story) start(w *work, stage int) time.Time {
	at := s.base.AddDate(0, 0, -w.day).Add(time.Duration(w.hour)*time.Hour + time.Duration(10+38*stage)*time.Minute)
	for i := range stage {
		at = at.Add(waits(&w.brief.Stages[i]))
	}
	return at
}

// waits is how long the steps of a stage have to wait in all.
func waits(st *brief.Stage) (sum time.Duration) {
	for i := range st.Items {
		for _, slot := range st.Items[i].Slots() {
			sum += wait(&st.Items[i], slot)
		}
	}
	return sum
}

// wait is how long after the one before it a step of a sequence is done at least; 0 for any other slot.
func wait(it *brief.Item, slot brief.Slot) time.Duration {
	if it.Sequence == nil {
		return 0
	}
	for _, step := range it.Sequence.Steps {
		if step.Key != slot.Part || step.Wait == "" {
			continue
		}
		q, err := quantity.ParseQuantityFor(step.Wait, quantity.MustUnit("s"))
		if err != nil {
			return 0 // not reached: the brief was checked before it was published
		}
		return time.Duration(q.SI() * float64(time.Second))
	}
	return 0
}

// items is what the script's trainee did of a stage.
func (w *work) itemsOf(stage int) []brief.Item {
	items := w.brief.Stages[stage].Items
	if stage == w.stages-1 && w.items > 0 {
		items = items[:w.items]
	}
	return items
}

// draw draws every picture of all attempts in their order, two at once, until done.
func (s *story) draw(all []*work, done <-chan struct{}) {
	turns := make(chan struct{}, 2)
	for _, w := range all {
		for stage := range w.stages {
			for _, it := range w.itemsOf(stage) {
				for n, sh := range shots(w.script.brief, it.Key) {
					select {
					case turns <- struct{}{}:
					case <-done:
						return
					}
					at := s.start(w, stage).Add(time.Duration(6+2*n) * time.Minute)
					p := picture.Shot{Scene: sh.scene, Number: w.number + n, Name: w.trainee.Name, Date: at.Format("2 Jan 2006")}
					if sh.values != nil {
						p.Values = sh.values(w.values)
					}
					into := w.photos[fmt.Sprint(it.Key, n)]
					go func() {
						b, err := s.photo(p, at)
						into <- drawn{b, err}
						<-turns
					}()
				}
			}
		}
	}
}

// stage does one stage: the hold point is released, the work recorded, and what is safety-critical checked by the tutor.
func (s *story) stage(ctx context.Context, w *work, stage int) error {
	st := &w.brief.Stages[stage]
	began := s.start(w, stage)
	if st.Hold != nil {
		s.now = began.Add(-3 * time.Minute)
		if err := s.app.ReleaseHold(ctx, w.tutor, w.id, st.Key, "Seen at the rig."); err != nil {
			return fmt.Errorf("release the hold: %w", err)
		}
	}
	hand, err := s.inHand(ctx, w, stage, began)
	if err != nil {
		return err
	}
	var entries []app.NewEntry
	at := began
	for _, it := range w.itemsOf(stage) {
		for _, slot := range it.Slots() {
			e := w.entries[slotName(it.Key, slot.Part, slot.Phase)]
			at = at.Add(25*time.Second + wait(&it, slot))
			n := app.NewEntry{ID: w.name(slotName(it.Key, slot.Part, slot.Phase)), Entry: e, CapturedAt: at}
			if it.Reading != nil && it.Reading.Instrument == thermometer {
				n.Instrument = hand
			}
			entries = append(entries, n)
		}
	}
	waited := waits(st)
	s.now = began.Add(waited + 31*time.Minute) // the phone had no signal until then
	for i := range entries {
		entries[i].PhoneClock = s.phone()
	}
	if err := s.app.RecordEntries(ctx, w.trainee, w.id, entries); err != nil {
		return err
	}
	for _, it := range w.itemsOf(stage) {
		if err := s.files(ctx, w, it, began); err != nil {
			return err
		}
		if !it.Safety() || it.Reading == nil {
			continue
		}
		s.now = began.Add(waited + 34*time.Minute)
		for _, slot := range it.Slots() {
			if err := s.app.EnterCheckReading(ctx, w.tutor, w.id, app.CheckReading{Item: it.Key, Phase: slot.Phase}, Password); err != nil {
				return fmt.Errorf("check %s: %w", it.Key, err)
			}
		}
	}
	return s.note(ctx, w, stage)
}

// name is the id of something of this attempt that is called so.
func (w *work) name(what string) uuid.UUID {
	return uuid.NewSHA1(names, []byte(w.id.String()+" "+what))
}

// phone is what a phone whose clock is right says of it as it sends something now.
func (s *story) phone() app.PhoneClock { return app.PhoneClock{SentAt: s.now, Believed: new(int64)} }

// files hands in an item's pictures.
func (s *story) files(ctx context.Context, w *work, it brief.Item, began time.Time) error {
	for n, sh := range shots(w.script.brief, it.Key) {
		at := began.Add(time.Duration(6+2*n) * time.Minute)
		key := fmt.Sprint(it.Key, n)
		d := <-w.photos[key]
		if d.err != nil {
			return d.err
		}
		s.now = s.now.Add(3 * time.Second) // one after the other, as a phone sends them
		if _, err := s.app.AddFile(ctx, w.trainee, w.id, app.NewFile{
			ID: w.name("file " + key), Item: it.Key, Name: fmt.Sprintf("IMG_%04d.jpg", 1000+w.number*20+n+len(key)), Caption: sh.caption, DeviceAt: at,
			PhoneClock: s.phone(),
		}, bytes.NewReader(d.jpeg)); err != nil {
			return fmt.Errorf("hand in the picture of %s: %w", it.Key, err)
		}
	}
	return nil
}

// portfolio asks for a trainee's portfolio and builds it.
func (s *story) portfolio(ctx context.Context, who string) error {
	s.at(1, 16, 0)
	id, err := s.app.RequestPortfolio(ctx, s.people["farrowby"], s.people[who].Person, alter().Code)
	if err != nil {
		return fmt.Errorf("ask for the portfolio of %s: %w", who, err)
	}
	if err := s.app.BuildPortfolio(ctx, s.centre, id); err != nil {
		return fmt.Errorf("build the portfolio of %s: %w", who, err)
	}
	return nil
}
