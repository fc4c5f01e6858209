package app

import (
	"fmt"
	"strings"
	"sync"
	"time"
	_ "time/tzdata" // a machine without time zones knows London's midnight all the same

	"witnessmark/internal/brief"
	"witnessmark/internal/store"
)

// ruled is a brief under the editions of rule sets that hold for somebody.
type ruled struct {
	brief    *brief.Brief    // with its rules put in, as far as they can be
	compiled *brief.Compiled // nil where one of them cannot
	lacking  brief.Problems  // then: which, and why
}

// missing says in sentences which rules cannot be put in; nil where every one is.
func (r ruled) missing() []string {
	var why []string
	for _, p := range r.lacking.Failures() {
		why = append(why, p.Text)
	}
	return why
}

// today is the day by the clock that people at a centre read.
func (a *App) today() brief.Day { return dayOf(a.now()) }

// dayOf is the day of a moment in London, whose clock the pages show: an edition begins and ends at midnight there.
func dayOf(t time.Time) brief.Day { return brief.Day(t.In(London()).Format(time.DateOnly)) }

// London is the clock that people at a centre read.
func London() *time.Location { return london() }

// london reads the zone's file once: a year's attempts ask for it some million times.
var london = sync.OnceValue(func() *time.Location {
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		return time.UTC
	}
	return zone
})

// date is a day as the store keeps one; the zero time for no day.
func date(d brief.Day) time.Time {
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return time.Time{}
	}
	return t
}

// dayText is a stored date as a day; "" for none.
func dayText(t time.Time) brief.Day {
	if t.IsZero() {
		return ""
	}
	return brief.Day(t.Format(time.DateOnly))
}

// forAttempt is the brief of an attempt under the editions that hold for it: those that it was marked with, else those in
// force on the day it was handed over, else today's.
func (a *App) forAttempt(j store.JobSheet) (ruled, error) {
	b, err := a.briefs.brief(j.Brief.Digest, func() (string, error) { return j.Brief.Source, nil })
	if err != nil {
		return ruled{}, err
	}
	day := a.today()
	if !j.Attempt.HandedOverAt.IsZero() {
		day = dayOf(j.Attempt.HandedOverAt)
	}
	if j.Marking != nil {
		return a.marked(b, j.Brief.Digest, j.Rules, j.Marking.Result.Rules)
	}
	return a.on(b, j.Brief.Digest, j.Rules, day)
}

// on is a brief under the editions in force on a day. Digest is that of its text.
func (a *App) on(b *brief.Brief, digest string, editions []store.RuleEdition, day brief.Day) (ruled, error) {
	sets, err := a.ruleSets(running(editions))
	if err != nil {
		return ruled{}, err
	}
	book, _ := brief.BookOn(sets, day) // what is wrong with other days is no matter here
	return a.compile(b, digest, book, editions)
}

// marked is a brief under the editions that an attempt was marked with.
func (a *App) marked(b *brief.Brief, digest string, editions []store.RuleEdition, with []brief.RuleEdition) (ruled, error) {
	sets, err := a.ruleSets(editions)
	if err != nil {
		return ruled{}, err
	}
	book, problems := brief.BookOf(sets, with)
	if err := problems.Err(); err != nil {
		return ruled{}, fmt.Errorf("find the editions that an attempt was marked with: %w", err)
	}
	return a.compile(b, digest, book, editions)
}

// compile puts a brief under a book and compiles it, once for the same texts. A published brief was checked, so that one
// whose rules are all there and that cannot be compiled is our own trouble.
func (a *App) compile(b *brief.Brief, digest string, book brief.Book, editions []store.RuleEdition) (ruled, error) {
	key := []string{digest}
	for _, set := range b.RuleSets() {
		in, ok := book.Edition(set)
		if !ok {
			under, lacking := b.Under(book)
			return ruled{brief: under, lacking: lacking}, nil
		}
		for _, e := range editions {
			if e.Key == set && e.Edition == in.Edition {
				key = append(key, e.Digest)
			}
		}
	}
	var lacking brief.Problems
	var under *brief.Brief
	c, err := a.briefs.compiled.get(strings.Join(key, " "), func() (*brief.Compiled, error) {
		if under, lacking = b.Under(book); lacking.Err() != nil {
			return nil, lacking
		}
		c, problems := brief.Compile(under, a.functions)
		if err := problems.Err(); err != nil {
			return nil, fmt.Errorf("compile the published brief %s: %w", b.Key, err)
		}
		return c, nil
	})
	if lacking.Err() != nil {
		return ruled{brief: under, lacking: lacking}, nil
	}
	if err != nil {
		return ruled{}, err
	}
	return ruled{brief: c.Brief, compiled: c}, nil
}

// ruleSets are the editions as briefs are put under them: with the days on which they are in force, whatever their text says
// of it, and with the ids of those who entered and checked them, since two people may have one name.
func (a *App) ruleSets(editions []store.RuleEdition) ([]brief.RuleSet, error) {
	sets := make([]brief.RuleSet, 0, len(editions))
	for _, e := range editions {
		rs, err := a.briefs.rules.get(e.Digest, func() (*brief.RuleSet, error) { return brief.ReadRules([]byte(e.Source)) })
		if err != nil {
			return nil, fmt.Errorf("read edition %s of the rule set %s: %w", e.Edition, e.Key, err)
		}
		own := *rs
		own.ValidTo, own.EnteredBy, own.CheckedBy = dayText(e.LastDay), e.EnteredBy.String(), ""
		if e.Checked() {
			own.CheckedBy = e.CheckedBy.String()
		}
		sets = append(sets, own)
	}
	return sets, nil
}
