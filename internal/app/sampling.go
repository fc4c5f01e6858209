package app

import (
	"cmp"
	"context"
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/sampling"
	"witnessmark/internal/store"
)

// The rows of sampling, for the ways in.
type (
	SamplingPlan  = store.SamplingPlan
	SampleStage   = store.SampleStage
	SampleDrawn   = store.Sample
	WholeSample   = store.WholeSample
	Drawn         = store.Drawn
	SampleStratum = store.SampleStratum
)

// The stages at which a plan samples.
const (
	Interim = store.Interim
	Final   = store.Final
)

// Sampling is the plans that are followed and the newest samples.
type Sampling struct {
	Plans   []SamplingPlan
	Samples []SampleDrawn
}

// Sampling lists the plans and the samples of the centre.
func (a *App) Sampling(ctx context.Context, c account.Caller) (s Sampling, err error) {
	if err := account.May(c, account.SeeSampling); err != nil {
		return Sampling{}, err
	}
	if s.Plans, err = a.db.SamplingPlans(ctx, c.Centre); err != nil {
		return Sampling{}, err
	}
	s.Samples, err = a.db.Samples(ctx, c.Centre)
	return s, err
}

// wordsMost bounds what is said of a plan, an outcome, an action or a claim.
const wordsMost = 4000

// sayable is the words without the space around them; too many, or none where they are compulsory, is Invalid with the message.
func sayable(field, words, lacking string) (string, error) {
	words = strings.TrimSpace(words)
	switch {
	case words == "" && lacking != "":
		return "", fault.Invalid(field, "%s", lacking)
	case utf8.RuneCountInString(words) > wordsMost:
		return "", fault.Invalid(field, "That is longer than %d letters. Say it in fewer words.", wordsMost)
	}
	return words, nil
}

// AddSamplingPlan keeps a plan. Of n the name, the stage, unit, cohort, share, weights and words are taken.
func (a *App) AddSamplingPlan(ctx context.Context, c account.Caller, n SamplingPlan) (uuid.UUID, error) {
	if err := account.May(c, account.PlanSample); err != nil {
		return uuid.Nil, err
	}
	n.Name = strings.TrimSpace(n.Name)
	switch {
	case n.Name == "" || utf8.RuneCountInString(n.Name) > 200:
		return uuid.Nil, fault.Invalid("name", "Give the plan a name, at most 200 letters.")
	case n.Stage != Interim && n.Stage != Final:
		return uuid.Nil, fault.Invalid("stage", "Say whether it samples work that is still being judged, or work that is signed off.")
	case n.Share < 1 || n.Share > 100:
		return uuid.Nil, fault.Invalid("share", "Say how much to draw: from 1 to 100 per cent.")
	}
	if err := n.Weights.Check(); err != nil {
		return uuid.Nil, err
	}
	var err error
	if n.Words, err = sayable("words", n.Words, "Say why the plan is as it is: an external verifier asks."); err != nil {
		return uuid.Nil, err
	}
	if n.Unit != "" {
		if _, err := a.db.UnitOn(ctx, c.Centre, n.Unit, date(a.today())); err != nil {
			return uuid.Nil, err
		}
	}
	if n.ID, err = newID(); err != nil {
		return uuid.Nil, err
	}
	n.By, n.At = c.Person, a.now()
	return n.ID, a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.AddSamplingPlan(ctx, n) })
}

// EndSamplingPlan has a plan be followed no longer.
func (a *App) EndSamplingPlan(ctx context.Context, c account.Caller, id uuid.UUID) error {
	if err := account.May(c, account.PlanSample); err != nil {
		return err
	}
	if _, err := a.db.SamplingPlan(ctx, c.Centre, id); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.EndSamplingPlan(ctx, id, a.now()) })
}

// PlannedSample is what a draw under a plan would be, now: to be read before it is drawn.
type PlannedSample struct {
	Plan   SamplingPlan
	Listed int
	Size   int
	Words  string // what a clean sample of that size would show
	Enough []sampling.Enough
	Strata []PlannedStratum // with most attempts first
	May    bool             // the caller may draw it
}

// PlannedStratum is one stratum of the list, by name.
type PlannedStratum struct {
	Assessor, Units, Method, Site string
	Listed                        int
	Risk                          int               // the highest
	Why                           []sampling.Factor // of any of it
}

// PlanSample says what a draw under a plan would show, and from what it would be made.
func (a *App) PlanSample(ctx context.Context, c account.Caller, id uuid.UUID) (PlannedSample, error) {
	if err := account.May(c, account.SeeSampling); err != nil {
		return PlannedSample{}, err
	}
	n, err := a.db.SamplingPlan(ctx, c.Centre, id)
	if err != nil {
		return PlannedSample{}, err
	}
	rows, err := a.db.ToSample(ctx, c.Centre, n, a.now())
	if err != nil {
		return PlannedSample{}, err
	}
	listed, err := a.listed(n, rows, func(r store.ToSample) (string, error) {
		v, err := a.db.BriefVersion(ctx, c.Centre, r.Brief, r.Version)
		return v.Source, err
	})
	if err != nil {
		return PlannedSample{}, err
	}
	p := PlannedSample{Plan: n, Listed: len(rows), May: account.As(c, account.DrawSample) != "" && n.EndedAt.IsZero()}
	at := map[sampling.Stratum]int{}
	for i, l := range listed {
		k, ok := at[l.item.Stratum]
		if !ok {
			k = len(p.Strata)
			at[l.item.Stratum] = k
			p.Strata = append(p.Strata, PlannedStratum{Assessor: rows[i].AssessorName, Units: l.item.Stratum.Units, Method: l.item.Stratum.Method, Site: l.item.Stratum.Site})
		}
		s := &p.Strata[k]
		s.Listed, s.Risk = s.Listed+1, max(s.Risk, l.item.Risk)
		for _, f := range l.why {
			if !slices.Contains(s.Why, f) {
				s.Why = append(s.Why, f)
			}
		}
	}
	slices.SortStableFunc(p.Strata, func(x, y PlannedStratum) int { return cmp.Compare(y.Listed, x.Listed) })
	p.Size = sampling.Size(len(rows), n.Share, len(p.Strata))
	p.Words, p.Enough = sampling.Before(len(rows), p.Size), sampling.EnoughFor(len(rows))
	return p, nil
}

// listedItem is an attempt that may be drawn, with what its risk is made from.
type listedItem struct {
	item sampling.Item
	why  []sampling.Factor
}

// The words for how and where an attempt was assessed.
const (
	methodWatched    = "watched"
	methodQuestioned = "questioned"
	methodEvidence   = "from evidence"
	siteCentre       = "at the centre"
	siteOther        = "on site"
)

// listed puts rows into the terms of sampling; source fetches a brief's text where it is not known yet.
func (a *App) listed(n SamplingPlan, rows []store.ToSample, source func(store.ToSample) (string, error)) ([]listedItem, error) {
	safety := map[string]bool{}
	out := make([]listedItem, len(rows))
	for i, r := range rows {
		critical, known := safety[r.Digest]
		if !known {
			b, err := a.briefs.brief(r.Digest, func() (string, error) { return source(r) })
			if err != nil {
				return nil, err
			}
			critical = safetyCritical(b)
			safety[r.Digest] = critical
		}
		s := sampling.Stratum{Assessor: r.Assessor, Units: strings.Join(r.Units, " + "), Method: methodEvidence, Site: siteCentre}
		switch {
		case r.Observed:
			s.Method = methodWatched
		case r.Questioned:
			s.Method = methodQuestioned
		}
		if r.OnSite {
			s.Site = siteOther
		}
		var why []sampling.Factor
		for _, f := range sampling.Factors() {
			if has(r, f, critical) && n.Weights[f] > 0 {
				why = append(why, f)
			}
		}
		out[i] = listedItem{sampling.Item{Attempt: r.Attempt, Stratum: s, Risk: n.Weights.Risk(why)}, why}
	}
	return out, nil
}

// newSeed is a seed for a draw, which is kept with it.
func newSeed() (string, error) {
	raw := make([]byte, 16)
	if _, err := rand.Read(raw); err != nil {
		return "", fmt.Errorf("make a seed: %w", err)
	}
	return hex.EncodeToString(raw), nil
}

// has says whether a factor holds of an attempt.
func has(r store.ToSample, f sampling.Factor, critical bool) bool {
	switch f {
	case sampling.NewAssessor:
		return r.NewAssessor
	case sampling.NewBrief:
		return r.NewBrief
	case sampling.Disagreed:
		return r.Disagreed
	case sampling.NeverSampled:
		return r.NeverSampled
	case sampling.Adjusted:
		return r.Adjusted
	case sampling.Overruled:
		return r.Overruled
	case sampling.Afresh:
		return r.Afresh
	}
	return critical
}

// safetyCritical says whether a brief has an item that is, or a hold point.
func safetyCritical(b *brief.Brief) bool {
	for i := range b.Stages {
		if b.Stages[i].Hold != nil || slices.ContainsFunc(b.Stages[i].Items, func(it brief.Item) bool { return it.Safety() }) {
			return true
		}
	}
	return false
}

// DrawSample draws the plan's next sample, whose number is the one that the caller's page shows. Its list, its seed and what it would
// show are kept, so that anybody can draw it again.
func (a *App) DrawSample(ctx context.Context, c account.Caller, plan uuid.UUID, number int) (uuid.UUID, error) {
	if err := account.May(c, account.DrawSample); err != nil {
		return uuid.Nil, err
	}
	n, err := a.db.SamplingPlan(ctx, c.Centre, plan)
	switch {
	case err != nil:
		return uuid.Nil, err
	case !n.EndedAt.IsZero():
		return uuid.Nil, fault.Conflict("This plan has ended: nothing more is drawn under it.")
	case number != n.Samples+1:
		return uuid.Nil, fault.Conflict("Somebody else drew a sample under this plan first. Load the page again to see theirs.")
	}
	seed, err := newSeed()
	if err != nil {
		return uuid.Nil, err
	}
	m := SampleDrawn{Plan: plan, Number: number, Seed: seed, By: c.Person, At: a.now().Truncate(time.Microsecond)}
	if m.ID, err = newID(); err != nil {
		return uuid.Nil, err
	}
	return m.ID, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		rows, err := t.ToSample(ctx, n, a.now())
		if err != nil {
			return err
		}
		listed, err := a.listed(n, rows, func(r store.ToSample) (string, error) { return t.BriefSource(ctx, r.Brief, r.Version) })
		if err != nil {
			return err
		}
		items, why := make([]sampling.Item, len(listed)), make([][]sampling.Factor, len(listed))
		for i, l := range listed { // in the order of the ids, as the store gives them and the list has them
			items[i], why[i] = l.item, l.why
		}
		l, err := sampling.NewList(items)
		if err != nil {
			return err
		}
		m.Digest, m.Listed = l.Digest(), len(items)
		drawn := l.Draw(sampling.Size(m.Listed, n.Share, len(l.Strata())), m.Seed, m.Digest)
		m.Size, m.Words = len(drawn), sampling.Before(m.Listed, len(drawn))
		t.Log(ctx, ledger.Leaf{Kind: ledger.KindSample, Subject: m.ID, At: m.At, Facts: map[string]string{
			"seed": m.Seed, "list": m.Digest, "listed": strconv.Itoa(m.Listed), "drawn": strconv.Itoa(m.Size)}})
		return t.AddSample(ctx, m, l.Items(), why, drawn)
	})
}
