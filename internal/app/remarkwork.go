package app

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// How a correction is worked: so many attempts in a transaction, so many transactions at once, and for so long before the job
// makes way for others (our own values: progress is seen to move, and a job that was killed is not missed for long).
const (
	remarkChunk  = 1_000
	remarkAtOnce = 3
	remarkTurn   = 30 * time.Second
)

// WorkRemark goes on with a correction: a job's work, on nobody's behalf. Where something is left it asks for itself again. What
// is done is in the database with each chunk, so that it goes on there after a restart.
func (a *App) WorkRemark(ctx context.Context, centre int64, id uuid.UUID) error {
	w, err := a.db.RemarkHead(ctx, centre, id)
	if err != nil {
		return err
	}
	switch w.State {
	case store.RemarkMarking:
		return a.markRemark(ctx, centre, w)
	case store.RemarkTaking:
		return a.takeRemark(ctx, centre, w)
	}
	return nil
}

// markRemark marks a run of attempts again.
func (a *App) markRemark(ctx context.Context, centre int64, w store.Remark) error {
	ids, err := a.db.RemarkLeft(ctx, centre, w.ID)
	if err != nil {
		return err
	}
	if len(ids) == 0 {
		return a.db.Write(ctx, centre, func(t *store.Tx) error { return t.EndRemarking(ctx, w.ID) })
	}
	under, err := a.remarkUnder(ctx, centre, w)
	if err != nil {
		return err
	}
	chunks := make(chan []uuid.UUID)
	errs := make([]error, remarkAtOnce)
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	var wg sync.WaitGroup
	for i := range errs {
		wg.Go(func() {
			for chunk := range chunks {
				if errs[i] = a.markChunk(ctx, centre, under, chunk); errs[i] != nil {
					cancel()
					return
				}
			}
		})
	}
	turn := time.After(remarkTurn)
	for chunk := range slices.Chunk(ids, remarkChunk) {
		select {
		case chunks <- chunk:
			continue
		case <-turn:
		case <-ctx.Done():
		}
		break
	}
	close(chunks)
	wg.Wait()
	if err := errors.Join(errs...); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("mark again: %w", err)
	}
	return a.db.Write(ctx, centre, func(t *store.Tx) error { return t.EnqueueRemark(ctx, w.ID) })
}

// underRemark is what attempts are marked again under.
type underRemark struct {
	remark uuid.UUID
	now    store.BriefVersion
	brief  *brief.Brief
	rules  []store.RuleEdition // the checked editions of the rule sets that it names
}

func (a *App) remarkUnder(ctx context.Context, centre int64, w store.Remark) (underRemark, error) {
	u := underRemark{remark: w.ID}
	var err error
	if u.now, err = a.db.BriefVersion(ctx, centre, w.Brief, w.To); err != nil {
		return u, err
	}
	if u.brief, err = a.briefs.brief(u.now.Digest, func() (string, error) { return u.now.Source, nil }); err != nil {
		return u, err
	}
	if keys := u.brief.RuleSets(); len(keys) > 0 {
		all, err := a.db.RulesOf(ctx, centre, keys)
		if err != nil {
			return u, err
		}
		u.rules = slices.DeleteFunc(all, func(e store.RuleEdition) bool { return !e.Checked() })
	}
	return u, nil
}

// errMoved says that a correction is no longer in the state in which it was worked on.
var errMoved = errors.New("the correction was stopped meanwhile")

// markChunk marks some attempts again in one transaction; nothing where somebody stopped the correction.
func (a *App) markChunk(ctx context.Context, centre int64, u underRemark, ids []uuid.UUID) error {
	err := a.db.Write(ctx, centre, func(t *store.Tx) error {
		if held, err := t.HoldRemark(ctx, u.remark, store.RemarkMarking); err != nil || !held {
			return errors.Join(err, errMoved)
		}
		past, err := t.PastSheets(ctx, ids)
		if err != nil {
			return err
		}
		rows := make([]store.Remarked, 0, len(past))
		for i := range past {
			r, err := a.markPast(u, &past[i])
			if err != nil {
				return fmt.Errorf("mark attempt %s again: %w", past[i].Attempt.ID, err)
			}
			rows = append(rows, r)
		}
		return t.AddRemarked(ctx, u.remark, a.now(), rows)
	})
	if errors.Is(err, errMoved) {
		return nil
	}
	return err
}

// markPast marks one attempt again and says what differs.
func (a *App) markPast(u underRemark, p *store.PastSheet) (store.Remarked, error) {
	row := store.Remarked{Attempt: p.Attempt.ID, Revision: p.Attempt.Revision, Shift: string(marking.Same), Lines: []byte("[]"), Rests: []string{}}
	was, err := readPast(p.Result)
	if err != nil {
		return row, err
	}
	row.WasMarks, row.NowMarks = was.Marks, was.Marks
	r, err := a.again(u, p, was)
	if err != nil {
		return row, err
	}
	if r.compiled == nil {
		row.Lacking = strings.Join(r.missing(), " ")
		return row, nil
	}
	now := marking.Mark(r.compiled, sheetOf(loaded{JobSheet: p.JobSheet}))
	now.BriefDigest, row.NowMarks = u.now.Digest, now.Marks
	if row.Result, err = json.Marshal(now); err != nil {
		return row, fmt.Errorf("write the result: %w", err)
	}
	again := marking.Again{Was: was, Now: now, Changes: marking.Changes(was, now)}
	row.Shift = string(again.Shift())
	if len(again.Changes) == 0 {
		return row, nil
	}
	if row.Lines, err = json.Marshal(remarkLines(r.brief, again.Changes)); err != nil {
		return row, fmt.Errorf("write what differs: %w", err)
	}
	row.Rests = restsOn(r.brief, again.Changes, p.Records)
	return row, nil
}

// pastResult is what is read of a result to be held beside a new one; its sentences are most of it and are passed over.
type pastResult struct {
	Rules    []brief.RuleEdition `json:"rules"`
	Marks    int                 `json:"marks"`
	Findings []pastFinding       `json:"findings"`
}

type pastFinding struct {
	Item      string             `json:"item"`
	Part      string             `json:"part"`
	Phase     brief.Phase        `json:"phase"`
	Verdict   marking.Verdict    `json:"verdict"`
	Code      string             `json:"code"`
	Marks     int                `json:"marks"`
	Blocks    bool               `json:"blocks"`
	Slip      *marking.SlipMatch `json:"slip"`
	Stated    string             `json:"stated"`
	Unit      string             `json:"unit"`
	FromGiven *float64           `json:"from_given"`
	Expected  string             `json:"expected"`
}

func readPast(result []byte) (marking.Result, error) {
	var p pastResult
	if err := json.Unmarshal(result, &p); err != nil {
		return marking.Result{}, fmt.Errorf("read the result: %w", err)
	}
	r := marking.Result{Rules: p.Rules, Marks: p.Marks, Findings: make([]marking.Finding, len(p.Findings))}
	for i, f := range p.Findings {
		r.Findings[i] = marking.Finding{Item: f.Item, Part: f.Part, Phase: f.Phase, Verdict: f.Verdict, Code: f.Code, Marks: f.Marks, Blocks: f.Blocks,
			Slip: f.Slip, Stated: f.Stated, Unit: f.Unit, FromGiven: f.FromGiven, Expected: f.Expected}
	}
	return r, nil
}

// again is the correcting version under the editions that the attempt was marked with, or, where it names rule sets that the
// earlier version did not, under those in force on the day of handing over.
func (a *App) again(u underRemark, p *store.PastSheet, was marking.Result) (ruled, error) {
	for _, set := range u.brief.RuleSets() {
		if !slices.ContainsFunc(was.Rules, func(e brief.RuleEdition) bool { return e.Set == set }) {
			return a.on(u.brief, u.now.Digest, u.rules, dayOf(p.Attempt.HandedOverAt))
		}
	}
	return a.marked(u.brief, u.now.Digest, u.rules, was.Rules)
}

// RemarkLine is one line of an attempt that comes out otherwise under the correcting version.
type RemarkLine struct {
	Line     string          `json:"line"` // as Finding.Line names it
	Title    string          `json:"title"`
	Shift    marking.Shift   `json:"shift"`
	Stated   string          `json:"stated"`
	Was      marking.Verdict `json:"was,omitempty"`
	Now      marking.Verdict `json:"now,omitempty"`
	WasRef   string          `json:"was_ref,omitempty"` // what it was held against, in words
	NowRef   string          `json:"now_ref,omitempty"`
	WasMarks int             `json:"was_marks"`
	NowMarks int             `json:"now_marks"`
	Stands   bool            `json:"stands,omitempty"` // it now stands against its criteria, and did not
}

func remarkLines(b *brief.Brief, changes []marking.Change) []RemarkLine {
	lines := make([]RemarkLine, 0, len(changes))
	for _, ch := range changes {
		l := RemarkLine{Line: ch.Line, Title: ch.Line, Shift: ch.Shift}
		f := ch.Now
		if f == nil {
			f = ch.Was
		}
		if it, _, ok := b.Item(f.Item); ok {
			l.Title = titleOf(it, *f)
		}
		l.Stated = stated(*f)
		if ch.Was != nil {
			l.Was, l.WasRef, l.WasMarks = ch.Was.Verdict, reference(*ch.Was), ch.Was.Marks
		}
		if ch.Now != nil {
			l.Now, l.NowRef, l.NowMarks = ch.Now.Verdict, reference(*ch.Now), ch.Now.Marks
			l.Stands = ch.Now.Blocks && (ch.Was == nil || !ch.Was.Blocks)
		}
		lines = append(lines, l)
	}
	return lines
}

// restsOn lists the criteria with a decision whose items have a line that gains or loses.
func restsOn(b *brief.Brief, changes []marking.Change, records []decision.Record) []string {
	rests := []string{}
	for _, ref := range b.CriterionRefs() {
		if decision.Judged(records, ref) == nil {
			continue
		}
		if slices.ContainsFunc(changes, func(ch marking.Change) bool {
			return ch.Now != nil && ch.Shift != marking.Aside && bears(b, ch.Now.Item, ref)
		}) {
			rests = append(rests, ref)
		}
	}
	return rests
}

// bears says whether an item bears on a criterion.
func bears(b *brief.Brief, item, ref string) bool {
	it, _, ok := b.Item(item)
	return ok && slices.ContainsFunc(it.Criteria, func(c string) bool { return b.Ref(c) == ref })
}

// takeRemark lets a correction take effect, some attempts in a transaction.
func (a *App) takeRemark(ctx context.Context, centre int64, w store.Remark) error {
	turn := time.After(remarkTurn)
	for {
		done, err := a.takeChunk(ctx, centre, w)
		if err != nil || done {
			return err
		}
		select {
		case <-turn:
			return a.db.Write(ctx, centre, func(t *store.Tx) error { return t.EnqueueRemark(ctx, w.ID) })
		default:
		}
	}
}

// takeChunk lets a correction take effect on some attempts; done where none is left.
func (a *App) takeChunk(ctx context.Context, centre int64, w store.Remark) (done bool, err error) {
	err = a.db.Write(ctx, centre, func(t *store.Tx) error {
		held, err := t.HoldRemark(ctx, w.ID, store.RemarkTaking)
		if err != nil || !held {
			done = true
			return err
		}
		attempts, err := t.LockCorrected(ctx, w.ID, remarkChunk)
		if err != nil {
			return err
		}
		if done = len(attempts) == 0; done {
			return t.MoveRemark(ctx, w.ID, store.RemarkTaking, store.RemarkTaken)
		}
		at := a.now().Truncate(time.Microsecond)
		records := make([]decision.Record, 0, len(attempts))
		for _, c := range attempts {
			r, err := correctedRecord(centre, w, c, at)
			if err != nil {
				return err
			}
			records = append(records, r)
		}
		return t.Correct(ctx, w.ID, at, attempts, records)
	})
	return done, err
}

// correctedRecord is the record of a correction on one attempt.
func correctedRecord(centre int64, w store.Remark, c store.Corrected, at time.Time) (decision.Record, error) {
	id, err := newID()
	return decision.Record{
		ID: id, Centre: centre, Attempt: c.Attempt, Kind: decision.KindCorrected, Subject: w.Key, Outcome: strconv.Itoa(w.To), Value: strconv.Itoa(w.From),
		Words: w.Words, By: w.Settled, ByName: w.SettledBy, Role: w.SettledAs, At: at, Supersedes: c.Supersedes,
	}, err
}
