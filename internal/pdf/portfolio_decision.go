package pdf

import (
	"fmt"
	"strings"

	"witnessmark/internal/decision"
	"witnessmark/internal/portfolio"
)

// declaration is what the trainee agreed to when handing over.
func (p *sheets) declaration(at *portfolio.AttemptSheet) []Block {
	if at.HandedOverAt.IsZero() && at.Declaration == "" {
		return nil
	}
	words := "No declaration is recorded for this attempt."
	if at.Declaration != "" {
		words = "“" + at.Declaration + "”"
	}
	return []Block{
		Heading{Level: 2, Title: "Declaration of own work"}, leading(Para{Text: Plain(words)}),
		Para{Text: Plain(fmt.Sprintf("Agreed by %s when handing over, %s.", p.d.Trainee, p.minute(at.HandedOverAt))), Fine: true},
	}
}

// decisions stand in the margin beside the evidence they rest on.
func (p *sheets) decisions(at *portfolio.AttemptSheet) []Block {
	if len(at.Decisions) == 0 {
		return nil
	}
	bs := []Block{Heading{Level: 2, Title: "Decisions, criterion by criterion"}}
	for i := range at.Decisions {
		bs = append(bs, p.criterion(at, &at.Decisions[i]))
	}
	return bs
}

func (p *sheets) criterion(at *portfolio.AttemptSheet, c *portfolio.CriterionSheet) Beside {
	title := c.Code
	if c.Text != "" {
		title += "  " + c.Text
	}
	b := Beside{Evidence: []Block{Heading{Level: 3, Title: title, Anchor: c.Anchor}}}
	if c.Text == "" {
		b.Evidence = append(b.Evidence, Para{Text: Plain("Of another unit; its words stand in that unit's portfolio."), Fine: true})
	}
	switch {
	case len(c.Evidence) == 0:
		b.Evidence = append(b.Evidence, Para{Text: Plain("Nothing has been handed in for it.")})
	case c.Named:
		b.Evidence = append(b.Evidence, Para{Text: Plain("The decision rests on:"), Fine: true}, evidenceList(c.Evidence))
	default:
		b.Evidence = append(b.Evidence, Para{Text: Plain("Handed in, and bearing on it:"), Fine: true}, evidenceList(c.Evidence))
	}
	b.Evidence = append(b.Evidence, p.asked(c)...)
	for i := range c.Heard {
		b.Evidence = append(b.Evidence, Para{Text: p.note(&c.Heard[i], at.Title(c.Heard[i].Subject)), Fine: true})
	}
	for i := range c.Earlier {
		b.Evidence = append(b.Evidence, Para{Text: Join(Strong("Superseded: "), p.act(&c.Earlier[i])), Fine: true})
	}
	d := c.Current
	if d == nil {
		b.Decision = Decision{Lines: []Text{Quiet("Not decided.")}}
		return b
	}
	b.Decision = p.decided(at, d)
	b.Decision.Lines = append(b.Decision.Lines, p.behind(c)...)
	return b
}

func evidenceList(refs []portfolio.Ref) List {
	var items []Text
	for _, r := range refs {
		t := leads(r)
		if r.Anchor != "" {
			t = Join(t, Quiet(",\u00a0p.\u00a0"), PageOf(r.Anchor))
		}
		items = append(items, t)
	}
	return List{Items: items}
}

func (p *sheets) decided(at *portfolio.AttemptSheet, d *portfolio.Act) Decision {
	word, tone := outcome(d.Outcome)
	out := Decision{Word: word, Tone: tone, Witnessed: tone == Good && at.Signed(), Lines: []Text{Strong(orDash(d.ByName))}}
	if d.Role != "" {
		out.Lines = append(out.Lines, Plain(d.RoleWords()))
	}
	out.Lines = append(out.Lines, Plain(p.minute(d.At)))
	if d.Carried() {
		out.Lines = append(out.Lines, Strong("carried over from attempt "+d.Value))
	}
	if d.Reason != "" {
		out.Lines = append(out.Lines, Join(Quiet("falls short of being "), Strong(string(d.Reason))))
	}
	if d.Words != "" {
		out.Lines = append(out.Lines, Plain(d.Words))
	}
	return out
}

// act is a decision in a line of text.
func (p *sheets) act(d *portfolio.Act) Text {
	word := d.Outcome
	if d.Kind == decision.KindCriterion {
		word, _ = outcome(d.Outcome)
	}
	t := Plain(fmt.Sprintf("%s, %s.", word, p.by(d)))
	if d.Carried() {
		t = Join(t, Plain(" Carried over from attempt "+d.Value+"."))
	}
	if d.Reason != "" {
		t = Join(t, Plain(" Falls short of being "+string(d.Reason)+"."))
	}
	if d.Words != "" {
		t = Join(t, Plain(" “"+d.Words+"”"))
	}
	if len(d.Rests) > 0 {
		t = Join(t, Plain(" It rested on "), list(d.Rests, "; "), Plain("."))
	}
	return t
}

// closing is how the attempt ended: the sign-off, or what more there is to do.
func (p *sheets) closing(t *portfolio.TaskSheet, at *portfolio.AttemptSheet) []Block {
	if len(at.Closing) == 0 {
		return []Block{Heading{Level: 2, Title: "Sign-off"}, Para{Text: Plain("This attempt is " + at.State.Words() + ". It has not been signed off.")}}
	}
	bs := []Block{Heading{Level: 2, Title: "Sign-off and what came before it"}}
	if len(at.Closing) == 1 && at.Closing[0].Kind == decision.KindSignOff {
		bs = []Block{Heading{Level: 2, Title: "Sign-off"}}
	} else if len(at.Closing) == 1 && at.Closing[0].Kind == decision.KindMoreToDo {
		bs = []Block{Heading{Level: 2, Title: "More to do"}}
	}
	for i := range at.Closing {
		bs = append(bs, p.close(t, at, &at.Closing[i]))
	}
	return bs
}

// things is a counted number of things, as a record has it.
func things(n string) string {
	if n == "1" {
		return "1 thing"
	}
	return orDash(n) + " things"
}

func (p *sheets) close(t *portfolio.TaskSheet, at *portfolio.AttemptSheet, d *portfolio.Act) Block {
	say := func(s string) []Block { return []Block{Para{Text: Plain(s)}} }
	b := Beside{Decision: Decision{Lines: []Text{Strong(orDash(d.ByName))}}}
	if d.Role != "" {
		b.Decision.Lines = append(b.Decision.Lines, Plain(d.RoleWords()))
	}
	b.Decision.Lines = append(b.Decision.Lines, Plain(p.minute(d.At)))
	switch d.Kind {
	case decision.KindSignOff:
		b.Decision.Word, b.Decision.Tone, b.Decision.Witnessed = "signed off", Good, !d.Superseded && at.Signed()
		b.Evidence = say(fmt.Sprintf("Attempt %d at task %d is signed off: every criterion above has been met on the evidence named beside it.", at.Number, t.Number))
	case decision.KindMoreToDo:
		b.Decision.Word, b.Decision.Tone = "more to do", Wrong
		b.Evidence = say("Not every criterion is met. What is met is carried over to the next attempt.")
		if d.Value != "" {
			b.Evidence = append(b.Evidence, Para{Text: Join(Plain("To be done by "), Strong(dateOf(d.Value)), Plain("."))})
		}
	case decision.KindSample:
		b.Decision.Word, b.Evidence = decision.SampleOutcome(d.Outcome).Words(), say("The decisions were sampled by somebody who had no part in them.")
	case decision.KindSafetyStop:
		b.Decision.Word, b.Decision.Tone, b.Evidence = "stopped for safety", Wrong, say("The work was stopped for safety.")
	case decision.KindClearStop:
		b.Decision.Word, b.Decision.Tone, b.Evidence = "stop cleared", Good, say("The safety stop was cleared; what was under way is looked at afresh.")
	case decision.KindMarkAgain:
		b.Decision.Word, b.Evidence = "marked again", say(fmt.Sprintf("The marker looked again with edition %s of the rule set %s, in place of edition %s.", orDash(d.Outcome), d.Subject, orDash(d.Value)))
	case decision.KindCorrected:
		b.Decision.Word, b.Evidence = "corrected", say(fmt.Sprintf("From here on it is held against version %s of the brief, which corrects version %s.", orDash(d.Outcome), orDash(d.Value)))
	case decision.KindTakeIn:
		b.Decision.Word, b.Evidence = "taken in", []Block{Para{Text: Join(Plain("What came after handing over, and was not on the sealed list, was taken in for "), list(d.Rests, "; "), Plain("."))}}
	case decision.KindGoOnWithout:
		b.Decision.Word, b.Evidence = "gone on without", say(fmt.Sprintf("The work was marked with %s on the sealed list still to come.", things(d.Value)))
	case decision.KindAcknowledge:
		b.Decision.Word, b.Evidence = "read", say("The trainee has read the feedback.")
	case decision.KindAppeal:
		b.Decision.Word, b.Evidence = "appealed", say("The trainee appealed against this.")
	case decision.KindAppealOutcome:
		b.Decision.Word, b.Evidence = "appeal "+d.Outcome, say("The appeal was heard by somebody who had no part in the decisions.")
	case decision.KindOneMore:
		b.Decision.Word, b.Evidence = "one more", say("One attempt more than were set was granted.")
	case decision.KindLeave:
		b.Decision.Word, b.Evidence = d.Kind.Words(), say("The trainee left, and the attempt was closed as it was.")
	case decision.KindReturn:
		b.Decision.Word, b.Evidence = "taken back", say("The withdrawal was taken back, and the attempt goes on from where it was.")
	case decision.KindSuspend:
		b.Decision.Word, b.Evidence = d.Kind.Words(), say("The work was suspended.")
	case decision.KindResume:
		b.Decision.Word, b.Evidence = "lifted", say("The suspension was lifted, and the attempt goes on from where it was.")
	case decision.KindSetAside:
		b.Decision.Word, b.Evidence = d.Kind.Words(), say("This attempt was set aside, and counts towards nothing.")
	default:
		b.Evidence = []Block{Para{Text: Join(Strong(oneLine(strings.TrimSpace(d.Kind.Words()+" "+d.Subject))+": "), p.act(d))}}
		return b
	}
	if d.Superseded {
		b.Evidence = append(b.Evidence, Para{Text: Quiet("A later one supersedes this.")})
	}
	if d.Words != "" {
		b.Evidence = append(b.Evidence, Para{Text: Plain("“" + d.Words + "”")})
	}
	return b
}
