package app

import (
	"context"
	"errors"
	"slices"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// RuleText is one edition of a rule set with what the checker says of it, and what hangs on it.
type RuleText struct {
	store.RuleEdition
	Set      *brief.RuleSet       // nil where the text cannot be read
	Problems brief.Problems       // what stands in the way of its counting, and warnings
	Editions []store.RuleEdition  // of the same set, the latest first day first, without text
	Ends     []RuleEnd            // while it is a draft: what checking it takes out of force
	Briefs   []store.BriefVersion // that name a rule of the set: of each brief the newest version, and the newest published one
	MayCheck bool                 // by the caller, now
	WhyNot   string               // why the caller may not, in words; "" where they may, or where it is checked
}

// Ready says whether nothing but warnings stands against the edition.
func (t RuleText) Ready() bool { return t.Set != nil && t.Problems.Err() == nil }

// RuleSets lists every edition of the centre's rule sets: by key, the latest first day first.
func (a *App) RuleSets(ctx context.Context, c account.Caller) ([]store.RuleEdition, error) {
	if err := account.May(c, account.SeeRules); err != nil {
		return nil, err
	}
	return a.db.RuleEditions(ctx, c.Centre)
}

// Rules is one edition of a rule set.
func (a *App) Rules(ctx context.Context, c account.Caller, id uuid.UUID) (RuleText, error) {
	if err := account.May(c, account.SeeRules); err != nil {
		return RuleText{}, err
	}
	e, err := a.db.RuleEdition(ctx, c.Centre, id)
	if err != nil {
		return RuleText{}, err
	}
	t := RuleText{RuleEdition: e}
	if t.Editions, err = a.db.RulesOf(ctx, c.Centre, []string{e.Key}); err != nil {
		return RuleText{}, err
	}
	if t.Set, t.Problems, t.Ends, err = a.checkRules(e.Source, others(t.Editions, id), !e.Checked()); err != nil {
		return RuleText{}, err
	}
	slices.Reverse(t.Editions)
	all, err := a.db.Briefs(ctx, c.Centre)
	if err != nil {
		return RuleText{}, err
	}
	t.Briefs = naming(all, e.Key)
	if !e.Checked() {
		err := mayCheck(c, t)
		t.MayCheck = err == nil
		if f, ok := fault.As(err); ok {
			t.WhyNot = f.Message
		}
	}
	return t, nil
}

// naming finds the versions of briefs that name a rule of a set, of each brief the newest version and the newest published
// one. They come with the newest of each brief first.
func naming(all []store.BriefVersion, key string) []store.BriefVersion {
	var out []store.BriefVersion
	seen := map[uuid.UUID]bool{} // with a published version
	for _, v := range all {
		if !seen[v.Brief] && slices.Contains(setsOf(v.Rules), key) {
			out = append(out, v)
		}
		seen[v.Brief] = seen[v.Brief] || v.State == store.Published
	}
	return out
}

func others(editions []store.RuleEdition, id uuid.UUID) []store.RuleEdition {
	return slices.DeleteFunc(slices.Clone(editions), func(e store.RuleEdition) bool { return e.ID == id })
}

// CheckRules says what is wrong with the text of an edition, within it and beside the set's other ones; the set is nil where
// it cannot be read at all. Over is the digest of the edition that the writing started from, "" for a new one.
func (a *App) CheckRules(ctx context.Context, c account.Caller, source, over string) (*brief.RuleSet, brief.Problems, error) {
	if err := account.May(c, account.SeeRules); err != nil {
		return nil, nil, err
	}
	rs, problems, err := readRules(source)
	if rs == nil {
		return nil, problems, err
	}
	editions, err := a.db.RulesOf(ctx, c.Centre, []string{rs.Key})
	if err != nil {
		return nil, nil, err
	}
	if own, ok := draftOf(editions, over); ok {
		editions = others(editions, own.ID)
	}
	rs, problems, _, err = a.checkRules(source, editions, true)
	return rs, problems, err
}

// readRules reads a text; what keeps it from being read are problems, and the set is then nil.
func readRules(source string) (*brief.RuleSet, brief.Problems, error) {
	rs, err := brief.ReadRules([]byte(source))
	var problems brief.Problems
	if errors.As(err, &problems) {
		return nil, problems, nil
	}
	return rs, nil, err
}

// checkRules holds a text to itself and, where it is a draft, to the set's other editions; ends is what its days take out of
// force.
func (a *App) checkRules(source string, editions []store.RuleEdition, draft bool) (*brief.RuleSet, brief.Problems, []RuleEnd, error) {
	rs, problems, err := readRules(source)
	if rs == nil {
		return nil, problems, nil, err
	}
	named := *rs
	named.EnteredBy, named.CheckedBy = "who saved it", "who checked it" // a file's names; here it is people who do
	problems = brief.CheckRules(&named)
	if !draft || problems.Err() != nil {
		return rs, problems.Located([]byte(source)), nil, nil
	}
	ends, more, err := a.follow(&named, editions)
	if err != nil {
		return nil, nil, nil, err
	}
	before, err := a.before(rs, editions)
	if err != nil {
		return nil, nil, nil, err
	}
	if before != nil {
		more = append(more, rs.Unlike(before)...)
	}
	return rs, append(problems, more...).Located([]byte(source)), ends, nil
}

// before is the checked edition that one follows; nil where it is the set's first.
func (a *App) before(rs *brief.RuleSet, editions []store.RuleEdition) (*brief.RuleSet, error) {
	sets, err := a.ruleSets(editions)
	if err != nil {
		return nil, err
	}
	var last *brief.RuleSet
	for i := range sets {
		s := &sets[i]
		if s.CheckedBy != "" && s.ValidFrom < rs.ValidFrom && (last == nil || s.ValidFrom > last.ValidFrom) {
			last = s
		}
	}
	return last, nil
}

// draftOf finds the draft whose text has the digest.
func draftOf(editions []store.RuleEdition, digest string) (store.RuleEdition, bool) {
	for _, e := range editions {
		if e.Digest == digest && !e.Checked() {
			return e, true
		}
	}
	return store.RuleEdition{}, false
}

// SaveRules keeps the text of an edition as a draft, over the draft with the digest over, or as a new edition. Text that can
// be read is kept with its problems; text that cannot, or whose days cannot be, is refused with them. Over is the digest of
// the edition that the writing started from, "" where it started afresh.
func (a *App) SaveRules(ctx context.Context, c account.Caller, source, over string) (uuid.UUID, error) {
	if err := account.May(c, account.EnterRules); err != nil {
		return uuid.Nil, err
	}
	rs, problems, err := readRules(source)
	if err != nil {
		return uuid.Nil, err
	}
	if rs != nil {
		problems = days(brief.CheckRules(rs))
	}
	if err := problems.Located([]byte(source)).Fault(); err != nil {
		return uuid.Nil, err
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	err = a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		editions, err := t.LockRules(ctx, rs.Key, a.now())
		if err != nil {
			return err
		}
		draft, err := savedOver(editions, over, rs.Edition)
		if err != nil {
			return err
		}
		if draft.ID != uuid.Nil {
			id = draft.ID
		}
		return t.SaveRules(ctx, store.RuleEdition{
			ID: id, Key: rs.Key, Edition: rs.Edition, Title: rs.Title, Source: source, Digest: brief.Digest([]byte(source)),
			ValidFrom: date(rs.ValidFrom), ValidTo: date(rs.ValidTo), Demonstration: rs.Demonstration, EnteredBy: c.Person, EnteredAt: a.now(),
		})
	})
	return id, err
}

// days are the problems that lie in an edition's days: without them it cannot even be kept.
func days(problems brief.Problems) brief.Problems {
	return slices.DeleteFunc(problems, func(p brief.Problem) bool { return p.Path != "valid-from" && p.Path != "valid-to" })
}

// savedOver finds the draft that a text is saved over; none where it begins an edition. It is Conflict where the edition was
// saved, or checked, by somebody since.
func savedOver(editions []store.RuleEdition, over, name string) (store.RuleEdition, error) {
	var none store.RuleEdition
	if draft, ok := draftOf(editions, over); ok {
		return draft, nil
	}
	if over != "" && !slices.ContainsFunc(editions, func(e store.RuleEdition) bool { return e.Digest == over }) {
		return none, fault.Conflict("This is no longer the edition that you opened: somebody saved it since, or your text has another key. Nothing of yours is written yet: keep a copy of your text, load the edition again and put your changes in.")
	}
	for _, e := range editions {
		switch {
		case e.Edition != name:
		case e.Checked():
			return none, fault.Conflict("Edition “%s” is checked and stays as it is, since attempts are marked with it. Give your text another edition and the day from which it counts.", name)
		default:
			return none, fault.Conflict("There is an edition “%s” already, entered by %s. Open it and change it there, or give yours another name.", name, e.EntererName)
		}
	}
	return none, nil
}

// ConfirmRules makes a draft count: the caller, who is another person than the one who entered it, has held it against its
// source. What it follows ends the day before its first day. Where that cuts short an edition that names a later last day,
// or takes its place from its first day on, cut says that this is meant. Attempts that waited for a rule are marked.
func (a *App) ConfirmRules(ctx context.Context, c account.Caller, id uuid.UUID, digest string, cut bool) error {
	e, err := a.Rules(ctx, c, id)
	if err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		editions, err := t.LockRules(ctx, e.Key, a.now())
		if err != nil {
			return err
		}
		now := editions[slices.IndexFunc(editions, func(x store.RuleEdition) bool { return x.ID == id })]
		if now.Digest != digest {
			return fault.Conflict("%s saved this edition after you opened it. Load it again, read it, and check what you then see.", now.EntererName)
		}
		own := RuleText{RuleEdition: now}
		if own.Set, own.Problems, own.Ends, err = a.checkRules(now.Source, others(editions, id), !now.Checked()); err != nil {
			return err
		}
		if err := mayCheck(c, own); err != nil {
			return err
		}
		if err := meant(own, cut); err != nil {
			return err
		}
		if err := t.CheckRules(ctx, id, c.Person, a.now()); err != nil {
			return err
		}
		for _, end := range own.Ends {
			ended, by := end.Edition.ID, id
			if end.Own {
				ended, by = id, end.Edition.ID
			}
			if err := t.EndRules(ctx, ended, by, date(end.LastDay), a.now()); err != nil {
				return err
			}
		}
		return t.EnqueueMarksFor(ctx, e.Key)
	})
}

// mayCheck says whether the caller may check an edition.
func mayCheck(c account.Caller, t RuleText) error {
	switch err := account.May(c, account.CheckRules); {
	case err != nil:
		return err
	case t.Checked():
		return fault.Conflict("%s has checked this edition already. Load the page again to see it.", t.CheckerName)
	case t.EnteredBy == c.Person:
		return fault.Forbidden("You entered this edition, so somebody else has to hold it against its source and check it.")
	case !t.Ready():
		return fault.Conflict("This edition cannot count yet: mend what the list beside it names first.")
	}
	return nil
}

// meant is Invalid where checking an edition cuts others short and nobody has said that this is meant.
func meant(t RuleText, cut bool) error {
	for _, end := range t.Ends {
		if end.Cuts && !cut {
			return fault.Invalid("cut", "%s Tick that this is meant, or give this edition another first day.", end.Words())
		}
	}
	return nil
}
