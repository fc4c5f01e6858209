package app

import (
	"context"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// CriterionDecision is a decision as it is stored, for the ways in.
type CriterionDecision = store.CriterionDecision

// Progress is what one trainee of a cohort has shown, criterion by criterion, and what is missing.
type Progress struct {
	Cohort     uuid.UUID
	CohortName string
	Trainee    store.Member
	Tasks      []ProgressTask
	Units      []ProgressUnit
}

// ProgressTask is one task of the cohort with the trainee's newest attempt; Attempt is zero where it was not set to them.
type ProgressTask struct {
	store.TermTask
	Number int
	At     store.TermAttempt
}

// ProgressUnit is a qualification unit that the cohort's tasks bear on.
type ProgressUnit struct {
	Code, Title string
	Met         int
	Criteria    []ProgressCriterion
}

// ProgressCriterion is how the trainee stands to one criterion.
type ProgressCriterion struct {
	Ref, Text string
	Decision  *store.CriterionDecision // the latest met one, else the latest; nil where none was made
	Tasks     []int                    // numbers of the tasks that cover it
	Prior     *store.PriorMet          // it is met by prior learning; nil where it is not
}

// Met says whether it was judged met.
func (p ProgressCriterion) Met() bool { return p.Prior != nil || p.judgedMet() }

// judgedMet says whether it was judged met in an attempt.
func (p ProgressCriterion) judgedMet() bool {
	return p.Decision != nil && p.Decision.Outcome == string(decision.Met)
}

// Progress is what one trainee of a cohort has shown. Whoever may see the cohort's term may see it.
func (a *App) Progress(ctx context.Context, c account.Caller, cohort, trainee uuid.UUID) (Progress, error) {
	rows, err := a.db.CriteriaOf(ctx, c.Centre, cohort, trainee)
	if err := maySeeTerm(c, rows.Term, err); err != nil {
		return Progress{}, err
	}
	i := slices.IndexFunc(rows.Members, func(m store.Member) bool { return m.Person == trainee && m.Part == store.PartTrainee })
	if i < 0 {
		return Progress{}, hidden("trainee")
	}
	p := Progress{Cohort: cohort, CohortName: rows.Name, Trainee: rows.Members[i]}
	covered, codes := map[string][]int{}, []string{}
	for i, k := range rows.Tasks {
		t := ProgressTask{TermTask: k, Number: i + 1}
		if n := slices.IndexFunc(rows.Attempts, func(at store.TermAttempt) bool { return at.Task == k.ID }); n >= 0 {
			t.At = rows.Attempts[n]
		}
		p.Tasks = append(p.Tasks, t)
		b, err := a.briefs.brief(k.Digest, func() (string, error) { return rows.Sources[i].Source, nil })
		if err != nil {
			return Progress{}, err
		}
		for _, ref := range b.CriterionRefs() {
			covered[ref] = append(covered[ref], t.Number)
		}
		for _, r := range b.Criteria {
			codes = append(codes, r.Unit)
		}
	}
	units, err := a.db.UnitsOn(ctx, c.Centre, date(a.today()))
	if err != nil {
		return Progress{}, err
	}
	prior, err := a.db.PriorMet(ctx, c.Centre, []uuid.UUID{trainee})
	if err != nil {
		return Progress{}, err
	}
	for _, u := range units {
		if slices.Contains(codes, u.Code) {
			p.Units = append(p.Units, progressUnit(u, covered, rows.Decisions, prior))
		}
	}
	return p, nil
}

func progressUnit(u store.Unit, covered map[string][]int, decisions []store.CriterionDecision, prior []store.PriorMet) ProgressUnit {
	out := ProgressUnit{Code: u.Code, Title: u.Title}
	for _, o := range u.Outcomes {
		for _, cr := range o.Criteria {
			pc := ProgressCriterion{Ref: u.Code + "/" + cr.Code, Text: cr.Text}
			pc.Tasks = covered[pc.Ref]
			if i := slices.IndexFunc(prior, func(m store.PriorMet) bool { return m.Criterion == pc.Ref }); i >= 0 {
				pc.Prior = &prior[i]
			}
			for i := range decisions {
				d := &decisions[i]
				if d.Ref != pc.Ref || d.Outcome == decision.TakenBack {
					continue
				}
				if pc.Decision == nil || !pc.judgedMet() && d.At.After(pc.Decision.At) || d.Outcome == string(decision.Met) && d.At.After(at(pc)) {
					pc.Decision = d
				}
			}
			if pc.Met() {
				out.Met++
			}
			out.Criteria = append(out.Criteria, pc)
		}
	}
	return out
}

// at is when a met decision was made; the zero time for any other.
func at(p ProgressCriterion) time.Time {
	if p.judgedMet() {
		return p.Decision.At
	}
	return time.Time{}
}
