package pdf

import (
	"witnessmark/internal/decision"
	"witnessmark/internal/portfolio"
)

// notes is what a tutor saw, and asked aloud, at a stage.
func (p *sheets) notes(s *portfolio.StageSheet) []Block {
	if len(s.Notes) == 0 {
		return nil
	}
	titles := map[string]string{}
	for i := range s.Items {
		titles[s.Items[i].Item.Key] = s.Items[i].Item.Title
	}
	var items []Text
	for i := range s.Notes {
		items = append(items, p.note(&s.Notes[i], titles[s.Notes[i].Subject]))
	}
	return []Block{Heading{Level: 3, Title: "Seen and asked by the tutor"}, List{Items: items}}
}

// note is one record in a line of text: what it is about, the outcome, the words, who and when.
func (p *sheets) note(a *portfolio.Act, about string) Text {
	t := Strong(capitalised(a.Kind.Words()))
	if about != "" {
		t = Join(t, Plain(", "+about))
	}
	if r := a.Result(); r != "" {
		t = Join(t, Plain(": "+r))
	}
	t = Join(t, Plain(". "))
	switch {
	case a.Value == "":
	case a.Kind == decision.KindObservation:
		t = Join(t, Plain("Watched for "+a.Value+". "))
	case a.Kind == decision.KindAdjustment && a.Outcome == string(decision.ExtraTime):
		t = Join(t, Plain("To be handed over by "+dateOf(a.Value)+". "))
	default:
		t = Join(t, Plain("“"+a.Value+"” "))
	}
	if a.Words != "" {
		t = Join(t, Plain("“"+a.Words+"” "))
	}
	t = Join(t, Quiet(p.by(a)))
	if a.Superseded {
		t = Join(t, Quiet("; a later one supersedes this"))
	}
	return t
}

// asked is what the trainee was asked about a criterion, beside its evidence.
func (p *sheets) asked(c *portfolio.CriterionSheet) []Block {
	var bs []Block
	for i := range c.Asked {
		a := &c.Asked[i]
		said := Join(Strong("Still to be asked: "), Plain("“"+a.Words+"” "))
		if a.Outcome == decision.Answered {
			said = Join(Strong("Asked: "), Plain("“"+a.Value+"” "), Strong("Answered: "), Plain("“"+a.Words+"” "))
		}
		bs = append(bs, Para{Text: Join(said, Quiet(p.by(a))), Fine: true})
	}
	return bs
}

// behind says who stands behind a decision that has to be countersigned, or that nobody does yet.
func (p *sheets) behind(c *portfolio.CriterionSheet) []Text {
	switch b := c.Behind; {
	case b != nil:
		lines := []Text{Strong("countersigned"), Plain(orDash(b.ByName) + ", " + orDash(b.RoleWords())), Plain(p.minute(b.At))}
		if b.Words != "" {
			lines = append(lines, Plain(b.Words))
		}
		return lines
	case c.Current.Provisional():
		return []Text{Strong("waits for a countersignature")}
	}
	return nil
}

// agreed are the adjustments among the facts of an attempt.
func (p *sheets) agreed(at *portfolio.AttemptSheet) []Fact {
	var fs []Fact
	for i := range at.Agreed {
		fs = append(fs, Fact{"Agreed", p.note(&at.Agreed[i], at.Title(at.Agreed[i].Subject))})
	}
	return fs
}
