package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
	"witnessmark/internal/formula"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// BriefText is one version of a brief with what the checker says of it.
type BriefText struct {
	store.BriefVersion
	Brief    *brief.Brief         // nil where the text cannot be read
	Problems brief.Problems       // what stands in the way of publishing, and warnings
	Versions []store.BriefVersion // of the same brief, the newest first, without text
	Sets     []BriefRules         // the rule sets that it names
	Checking
}

// BriefRules is a rule set that a brief names.
type BriefRules struct {
	Key     string
	Edition *store.RuleEdition // in force today; nil where none is
	Newest  *store.RuleEdition // with the latest first day, checked or not; nil where the centre has no such set
}

// Ready says whether nothing but warnings stands against publishing.
func (t BriefText) Ready() bool { return t.Brief != nil && t.Problems.Err() == nil }

// Briefs lists every version of every brief of the centre.
func (a *App) Briefs(ctx context.Context, c account.Caller) ([]store.BriefVersion, error) {
	if err := account.May(c, account.SeeBriefs); err != nil {
		return nil, err
	}
	return a.db.Briefs(ctx, c.Centre)
}

// Brief is one version of a brief.
func (a *App) Brief(ctx context.Context, c account.Caller, id uuid.UUID, version int) (BriefText, error) {
	if err := account.May(c, account.SeeBriefs); err != nil {
		return BriefText{}, err
	}
	v, err := a.db.BriefVersion(ctx, c.Centre, id, version)
	if err != nil {
		return BriefText{}, err
	}
	t := BriefText{BriefVersion: v}
	if t.Versions, err = a.db.BriefVersions(ctx, c.Centre, id); err != nil {
		return BriefText{}, err
	}
	if t.Said, err = a.db.BriefChecks(ctx, c.Centre, id, version); err != nil {
		return BriefText{}, err
	}
	if t.Comments, err = a.db.BriefComments(ctx, c.Centre, id, version); err != nil {
		return BriefText{}, err
	}
	if t.Brief, t.Problems, t.Sets, err = a.checkBrief(ctx, c, v.Source); err != nil {
		return BriefText{}, err
	}
	t.Checking.MayComment = mayComment(c, t) == nil
	t.Checking.MayAnswer = t.State == store.Draft && t.Wrote(c.Person) && account.May(c, account.AnswerComment) == nil
	t.Checking.MayAsk, _ = may(mayAskForCheck(c, t))
	t.Checking.MayCheck, t.Checking.WhyNot = may(mayPublish(c, t))
	t.Checking.MayDiscard, _ = may(mayDiscard(c, t))
	return t, nil
}

// CheckBrief says what is wrong with a brief's text under the editions of rule sets that are in force today, which come put
// into the brief; it is nil where it cannot be read at all.
func (a *App) CheckBrief(ctx context.Context, c account.Caller, source string) (*brief.Brief, brief.Problems, error) {
	if err := account.May(c, account.SeeBriefs); err != nil {
		return nil, nil, err
	}
	b, problems, _, err := a.checkBrief(ctx, c, source)
	return b, problems, err
}

func (a *App) checkBrief(ctx context.Context, c account.Caller, source string) (*brief.Brief, brief.Problems, []BriefRules, error) {
	written, err := a.briefs.texts.get(brief.Digest([]byte(source)), func() (*brief.Brief, error) { return brief.Read([]byte(source)) })
	var problems brief.Problems
	if errors.As(err, &problems) {
		return nil, problems, nil, nil
	} else if err != nil {
		return nil, nil, nil, err
	}
	b, lacking, sets, err := a.underToday(ctx, c.Centre, written)
	if err != nil || lacking.Err() != nil {
		return b, lacking.Located([]byte(source)), sets, err
	}
	units, err := a.db.UnitsOn(ctx, c.Centre, date(a.today()))
	if err != nil {
		return nil, nil, nil, err
	}
	known := map[string][]string{}
	for _, u := range units {
		for _, o := range u.Outcomes {
			for _, cr := range o.Criteria {
				known[u.Code] = append(known[u.Code], cr.Code)
			}
		}
	}
	key, err := checkKey(source, sets, known)
	if err != nil {
		return nil, nil, nil, fmt.Errorf("name what a check rests on: %w", err)
	}
	problems, err = a.briefs.checks.get(key, func() (brief.Problems, error) {
		return FullCheck(b, a.functions, known).Located([]byte(source)), nil
	})
	return b, slices.Clone(problems), sets, err // whoever shows them may put them in order
}

// underToday puts a brief under the editions in force today.
func (a *App) underToday(ctx context.Context, centre int64, b *brief.Brief) (*brief.Brief, brief.Problems, []BriefRules, error) {
	keys := b.RuleSets()
	if len(keys) == 0 {
		return b, nil, nil, nil
	}
	editions, err := a.db.RulesOf(ctx, centre, keys)
	if err != nil {
		return nil, nil, nil, err
	}
	rules, err := a.ruleSets(running(editions))
	if err != nil {
		return nil, nil, nil, err
	}
	var sets []BriefRules
	for _, key := range keys {
		set := BriefRules{Key: key}
		for i, e := range editions {
			if e.Key != key {
				continue
			}
			set.Newest = &editions[i]
			if e.InForce(date(a.today())) {
				set.Edition = &editions[i]
			}
		}
		sets = append(sets, set)
	}
	book, _ := brief.BookOn(rules, a.today())
	under, lacking := b.Under(book)
	return under, lacking, sets, nil
}

// FullCheck is the brief's own check, then, where nothing stands against it, the marking of its model answer, which has to
// be full. Known holds the codes of the centre's criteria by unit; nil leaves them unasked.
func FullCheck(b *brief.Brief, functions map[string]formula.Function, known map[string][]string) brief.Problems {
	problems := brief.Check(b, functions, known)
	if problems.Err() != nil {
		return problems
	}
	compiled, more := brief.Compile(b, functions)
	if more.Err() != nil {
		return append(problems, more...)
	}
	for _, f := range marking.ModelFull(compiled) {
		text := "The model answer for " + f.Item + " does not mark itself full. " + f.Tutor
		for _, flag := range f.Flags {
			if !strings.Contains(text, flag.Text) {
				text += " " + flag.Text
			}
		}
		problems = append(problems, brief.Problem{Path: modelPath(b, &f), Text: text})
	}
	return problems
}

// modelPath is the place of the model answer's entry for a line.
func modelPath(b *brief.Brief, f *marking.Finding) string {
	at := slices.IndexFunc(b.Model, func(m brief.ModelAnswer) bool {
		return m.Item == f.Item && m.Phase == f.Phase && (f.Part == "" || m.Part == f.Part)
	})
	if at < 0 {
		return "model-answer"
	}
	return fmt.Sprintf("model-answer[%d].text", at)
}

// SaveBrief keeps a brief's text as the draft of the brief that it names, or starts that brief. Text that can be read is
// kept with its problems; text that cannot is refused with them. Over is the digest of the version that the tutor
// started from, "" for a brief that is new to them: a key that no brief has starts one only where that was meant.
func (a *App) SaveBrief(ctx context.Context, c account.Caller, source, over string) (uuid.UUID, int, error) {
	return a.SaveBriefOf(ctx, c, uuid.Nil, source, over)
}

// SaveBriefOf is SaveBrief for a brief that was opened: its text is not kept under the key of another. Zero says nothing of that.
func (a *App) SaveBriefOf(ctx context.Context, c account.Caller, opened uuid.UUID, source, over string) (uuid.UUID, int, error) {
	if err := account.May(c, account.WriteBrief); err != nil {
		return uuid.Nil, 0, err
	}
	b, err := brief.Read([]byte(source))
	if err != nil {
		var problems brief.Problems
		if errors.As(err, &problems) {
			return uuid.Nil, 0, problems.Fault()
		}
		return uuid.Nil, 0, err
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, 0, err
	}
	fresh := true
	if at, err := a.db.LatestBriefByKey(ctx, c.Centre, b.Key); err == nil {
		id, fresh = at.Brief, false
		switch {
		case over == "":
			return uuid.Nil, 0, fault.Conflict("There is a brief %q already. Open it and change it there, or give yours another key.", b.Key)
		case opened != uuid.Nil && opened != id:
			return uuid.Nil, 0, fault.Conflict("The key %q is that of another brief, “%s”. Nothing is saved: put back the key of the brief that you opened.", b.Key, at.Title)
		}
	} else if fault.KindOf(err) != fault.KindNotFound {
		return uuid.Nil, 0, err
	} else if over != "" {
		return uuid.Nil, 0, fault.Conflict("No brief has the key %q. Nothing is saved: start a new brief with it, or put back the key of the brief that you opened.", b.Key)
	}
	var units []string
	for _, r := range b.Criteria {
		units = append(units, r.Unit)
	}
	version := 0
	err = a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		if fresh {
			if err := t.AddBrief(ctx, id, b.Key, a.now()); err != nil {
				return err
			}
		}
		version, err = t.SaveDraft(ctx, store.BriefDraft{
			Brief: id, Source: source, Title: b.Title, Digest: brief.Digest([]byte(source)), Units: units, Rules: rulesNamed(b),
			By: c.Person, At: a.now(), Over: over,
		})
		return err
	})
	return id, version, err
}
