package pdf

import (
	"fmt"

	"witnessmark/internal/decision"
	"witnessmark/internal/portfolio"
)

// attempt is one attempt: what happened when, the stages in order, what the marker asked about the whole sheet, the
// decisions beside their evidence, the declaration and the sign-off.
func (p *sheets) attempt(t *portfolio.TaskSheet, at *portfolio.AttemptSheet) []Block {
	bs := []Block{
		Heading{Level: 1, Title: fmt.Sprintf("Task %d, attempt %d: %s", t.Number, at.Number, at.State.Words()), OnNew: true, Anchor: at.Anchor},
		Facts{Rows: p.attemptFacts(at)},
	}
	if at.Untouched() {
		return append(bs, p.closing(t, at)...)
	}
	if len(at.Given) > 0 {
		bs = append(bs, givenTable("Given values of this attempt", at.Given))
	}
	for i := range at.Stages {
		bs = append(bs, p.stage(&at.Stages[i])...)
	}
	bs = append(bs, p.labels(at.Instruments)...)
	bs = append(bs, p.strays(&at.Strays)...)
	if at.Marking != nil && len(at.Marking.Flags) > 0 {
		bs = append(bs, Heading{Level: 2, Title: "What the marker asks about the whole sheet"})
		var flags []Text
		for _, f := range at.Marking.Flags {
			flags = append(flags, Plain(f.Text))
		}
		bs = append(bs, List{Items: flags})
	}
	bs = append(bs, p.declaration(at)...)
	bs = append(bs, p.decisions(at)...)
	return append(bs, p.closing(t, at)...)
}

func (p *sheets) attemptFacts(at *portfolio.AttemptSheet) []Fact {
	fs := []Fact{{"State", Strong(at.State.Words())}}
	if !at.OpenedAt.IsZero() {
		fs = append(fs, Fact{"Started", Plain(p.minute(at.OpenedAt))})
	}
	if at.Site != "" {
		fs = append(fs, Fact{"Where", Join(Plain("private site "+at.Site), Quiet("  photos announced to the householder by "+orDash(at.Householder)))})
	}
	handed := Plain("not handed over")
	if !at.HandedOverAt.IsZero() {
		handed = Plain(p.minute(at.HandedOverAt))
	}
	fs = append(fs, Fact{"Handed over", handed})
	if k := at.Seal; k != nil {
		words := fmt.Sprintf("%s, on the phone %s, received %s", counted(k.Listed, "thing"), p.second(k.MadeAt), p.second(k.ReceivedAt))
		if k.Awaited > 0 {
			words += fmt.Sprintf("; %d of them have not come", k.Awaited)
		}
		fs = append(fs, Fact{"Sealed list", Plain(words)})
	}
	if at.Marking != nil {
		fs = append(fs, Fact{"Checked", Plain(fmt.Sprintf("%s by %s", p.minute(at.MarkedAt), at.Marking.Engine))})
		if at.Marking.Available > 0 {
			fs = append(fs, Fact{"Marks", Join(Plain(fmt.Sprintf("%d of %d", at.Marking.Marks, at.Marking.Available)),
				Quiet("  feedback only: a criterion is met on its own evidence"))})
		}
	}
	fs = append(fs, p.agreed(at)...)
	for i := range at.Instruments {
		fs = append(fs, Fact{"Instrument", instrument(at.Instruments[i].Instrument)})
	}
	for _, r := range at.Rules {
		fs = append(fs, Fact{"Rules", p.rules(&r)})
	}
	carried := 0
	for _, c := range at.Decisions {
		if c.Current != nil && c.Current.Carried() {
			carried++
		}
	}
	if carried > 0 {
		fs = append(fs, Fact{"Carried over", Plain(counted(carried, "decision") + " from earlier attempts, with what was handed in for them")})
	}
	return append(fs, Fact{"Attempt", Fixed(at.ID.String())})
}

// rules names an edition of a rule set with its days and who stands for it.
func (p *sheets) rules(r *portfolio.Rules) Text {
	days := ", in force from " + date(r.From)
	if !r.To.IsZero() {
		days += " to " + date(r.To)
	}
	t := Join(Strong(r.Title), Plain(", edition "+r.Edition+days), Quiet("  entered by "+orDash(r.EnteredBy)+", checked by "+orDash(r.CheckedBy)))
	if r.Demonstration {
		t = Join(t, Plain("\nFor demonstration; enter your own from the current standard."))
	}
	return t
}

// stage is a stage with its hold bar and items.
func (p *sheets) stage(s *portfolio.StageSheet) []Block {
	bs := []Block{Stage{Number: fmt.Sprint(s.Number), Title: s.Stage.Title, Anchor: s.Anchor}}
	if s.Stage.Hold != nil {
		bs = append(bs, p.hold(s))
	}
	for _, para := range paragraphs(s.Stage.About) {
		bs = append(bs, leading(para))
	}
	for _, c := range s.Stage.Cautions {
		bs = append(bs, Caution{Text: Plain(c)})
	}
	for i := range s.Items {
		bs = append(bs, p.item(&s.Items[i])...)
	}
	return append(append(bs, p.helped(&s.Helped)...), p.notes(s)...)
}

// hold says what had to be shown before the stage and who released it, when; or that nobody did.
func (p *sheets) hold(s *portfolio.StageSheet) Bar {
	h := s.Stage.Hold
	b := Bar{Label: fmt.Sprintf("Hold %d", s.Number), Text: Join(Strong("To be shown: "), Plain(h.Show)), Word: "not released", Tone: Wrong}
	if h.Entitlement != "" {
		b.Text = Join(b.Text, Quiet(fmt.Sprintf("\nReleased only by somebody whose %s registration or approval is recorded and in date that day.", h.Entitlement)))
	} else {
		b.Text = Join(b.Text, Quiet("\nReleased by a tutor."))
	}
	if len(s.Needs) > 0 {
		b.Text = Join(b.Text, Quiet("\nThese must be right first: "), list(s.Needs, "; "))
	}
	for i := range s.Releases {
		r := &s.Releases[i]
		b.Word, b.Tone = "released", Good
		if i > 0 {
			b.State = Join(b.State, Plain("\n"))
		}
		b.State = Join(b.State, Plain(p.releasedBy(r)))
		if r.Words != "" {
			b.State = Join(b.State, Quiet("\n“"+r.Words+"”"))
		}
	}
	return b
}

// releasedBy says who released a hold point and when; on the spot without signal, also when that was confirmed.
func (p *sheets) releasedBy(r *portfolio.Act) string {
	if r.Outcome != decision.ReleasedOnTheSpot {
		return p.by(r)
	}
	return fmt.Sprintf("%s, %s, on the spot without signal, %s; confirmed %s", orDash(r.ByName), orDash(r.RoleWords()), p.second(decision.ReleasedAt(&r.Record)), p.second(r.At))
}

// strays is what belongs to no place of the brief.
func (p *sheets) strays(s *portfolio.Strays) []Block {
	if len(s.Entries)+len(s.Findings)+len(s.Files) == 0 {
		return nil
	}
	bs := []Block{Heading{Level: 2, Title: "Handed in without a place in the brief"}}
	var entries []earlier
	for i := range s.Entries {
		entries = append(entries, earlier{line: s.Entries[i].Item, entry: &s.Entries[i]})
	}
	if len(entries) > 0 {
		bs = append(bs, p.earlierTable("Entries", entries))
	}
	for _, f := range s.Findings {
		bs = append(bs, Para{Text: Join(Strong(f.Line()+": "), verdict(f.Verdict), Plain(". "+f.Tutor))})
	}
	return append(bs, p.pictures(s.Files)...)
}
