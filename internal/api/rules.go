package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
)

// RuleEdition is one edition of one of the centre's rule sets, without its text. Days are included at both ends.
type RuleEdition struct {
	ID            uuid.UUID `json:"id"`
	Key           string    `json:"key" about:"The rule set's, as briefs name it."`
	Edition       string    `json:"edition"`
	Title         string    `json:"title"`
	Digest        string    `json:"digest" about:"SHA-256 of the text in hexadecimal digits."`
	ValidFrom     Date      `json:"valid_from"`
	ValidTo       Date      `json:"valid_to,omitzero" about:"As the text has it; left out where it names no last day."`
	LastDay       Date      `json:"last_day,omitzero" about:"In force, the edition that follows considered; before valid_from where it never came into force."`
	Demonstration bool      `json:"demonstration" about:"Invented, to be shown; enter your own from the current standard."`
	EnteredBy     string    `json:"entered_by"`
	EnteredAt     time.Time `json:"entered_at"`
	CheckedBy     string    `json:"checked_by,omitzero" about:"Left out while it is a draft, which does not count."`
	CheckedAt     time.Time `json:"checked_at,omitzero"`
}

func ruleEditionOf(e app.RuleEdition) RuleEdition {
	return RuleEdition{
		ID: e.ID, Key: e.Key, Edition: e.Edition, Title: e.Title, Digest: e.Digest, ValidFrom: Date{e.ValidFrom}, ValidTo: Date{e.ValidTo},
		LastDay: Date{e.LastDay}, Demonstration: e.Demonstration, EnteredBy: e.EntererName, EnteredAt: e.EnteredAt.UTC(),
		CheckedBy: e.CheckerName, CheckedAt: e.CheckedAt.UTC(),
	}
}

// RuleSets is every edition of every rule set: by key, the latest first day first.
type RuleSets struct {
	Editions []RuleEdition `json:"editions"`
}

func (s *service) ruleSets(ctx context.Context, who account.Caller, _ none, _ none, _ none) (RuleSets, error) {
	es, err := s.app.RuleSets(ctx, who)
	return RuleSets{each(es, ruleEditionOf)}, err
}

// RuleText is one edition with its text, what the checker says of it, and what hangs on it.
type RuleText struct {
	Edition  RuleEdition    `json:"edition"`
	Source   string         `json:"source" about:"The rule-set file, as YAML."`
	Rules    []Rule         `json:"rules"`
	Ready    bool           `json:"ready" about:"Nothing but warnings stands against its counting."`
	Problems []BriefProblem `json:"problems"`
	Editions []RuleEdition  `json:"editions" about:"All of the same set, the latest first day first."`
	Ends     []string       `json:"ends" about:"What checking it takes out of force, in sentences."`
	Briefs   []BriefVersion `json:"briefs" about:"Those that name a rule of the set."`
	MayCheck bool           `json:"may_check" about:"By the caller, now."`
	WhyNot   string         `json:"why_not,omitzero"`
}

// Rule is one rule of a set.
type Rule struct {
	Key  string `json:"key"`
	Is   string `json:"is"`
	Says string `json:"says" about:"Its limit, value or table, in words."`
}

func ruleOf(r brief.Rule) Rule { return Rule{Key: r.Key, Is: r.Is, Says: app.RuleWords(&r)} }

func (s *service) rules(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (RuleText, error) {
	t, err := s.app.Rules(ctx, who, p.ID)
	out := RuleText{
		Edition: ruleEditionOf(t.RuleEdition), Source: t.Source, Rules: []Rule{}, Ready: t.Ready(), Problems: each(t.Problems, briefProblemOf),
		Editions: each(t.Editions, ruleEditionOf), Ends: each(t.Ends, app.RuleEnd.Words), Briefs: each(t.Briefs, briefVersionOf),
		MayCheck: t.MayCheck, WhyNot: t.WhyNot,
	}
	if t.Set != nil {
		out.Rules = each(t.Set.Rules, ruleOf)
	}
	return out, err
}

// RulesDraft is a rule-set file's text to be saved as a draft, or looked at.
type RulesDraft struct {
	Source string `json:"source" validate:"required,max=900000" about:"The rule-set file, as YAML."`
	Over   string `json:"over" validate:"omitempty,len=64,hexadecimal" about:"The digest of the edition that the writing started from; left out for a new one."`
}

func (s *service) checkRules(ctx context.Context, who account.Caller, _ none, _ none, b RulesDraft) (BriefCheck, error) {
	read, problems, err := s.app.CheckRules(ctx, who, b.Source, b.Over)
	return BriefCheck{Readable: read != nil, Ready: read != nil && problems.Err() == nil, Problems: each(problems, briefProblemOf)}, err
}

// SavedRules is where an edition was saved.
type SavedRules struct {
	Edition uuid.UUID `json:"edition"`
}

func (s *service) saveRules(ctx context.Context, who account.Caller, _ none, _ none, b RulesDraft) (SavedRules, error) {
	id, err := s.app.SaveRules(ctx, who, b.Source, b.Over)
	return SavedRules{id}, err
}

// RulesCheck is a second person's word on the draft that has the digest.
type RulesCheck struct {
	Digest string `json:"digest" validate:"required,len=64,hexadecimal" about:"The draft's, as it was held against its source."`
	Cut    bool   `json:"cut" validate:"omitempty" about:"It is meant that this cuts another edition short, or takes its place."`
}

func (s *service) confirmRules(ctx context.Context, who account.Caller, p idPath, _ none, b RulesCheck) (none, error) {
	return none{}, s.app.ConfirmRules(ctx, who, p.ID, b.Digest, b.Cut)
}
