package pdf

import (
	"fmt"
	"strings"

	"witnessmark/internal/portfolio"
)

// statement is who stands for what in this document: the trainee for their own work, those who judged it for their decisions.
func (p *sheets) statement() []Block {
	bs := []Block{
		Heading{Level: 1, Title: "Statement of authenticity", OnNew: true, Anchor: "statement"},
		Para{Text: Plain(fmt.Sprintf("This document was made on %s by %s from its records, as they stood then. It holds every attempt of %s at every task that bears on %s, "+
			"also those after which there was more to do, and every file that was handed in, each with the digest of the bytes that were received.",
			p.minute(p.d.MadeAt), orDash(p.d.CentreName), orDash(p.d.Trainee), p.unit()))},
	}
	t := Table{Caption: "Whose work it is, and who stands for the decisions", Columns: []Column{
		{Title: "Task, attempt", Fixed: 88}, {Title: "The trainee declared", Share: 1.3}, {Title: "Signed off by", Share: 1},
	}}
	for i := range p.d.Tasks {
		for j := range p.d.Tasks[i].Attempts {
			at := &p.d.Tasks[i].Attempts[j]
			where := To(at.Anchor, fmt.Sprintf("Task %d, attempt %d", p.d.Tasks[i].Number, at.Number))
			t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: where}, {Text: p.declared(at)}, {Text: p.signedBy(at)}}})
		}
	}
	if len(t.Rows) > 0 {
		bs = append(bs, t)
	}
	return append(bs, p.proof()...)
}

func (p *sheets) declared(at *portfolio.AttemptSheet) Text {
	switch {
	case at.HandedOverAt.IsZero():
		return Quiet("not handed over")
	case strings.TrimSpace(at.Declaration) == "":
		return Quiet("no declaration is recorded")
	}
	return Join(Plain("“"+at.Declaration+"”"), Quiet("\n"+p.d.Trainee+", "+p.minute(at.HandedOverAt)))
}

func (p *sheets) signedBy(at *portfolio.AttemptSheet) Text {
	if s := at.SignOff(); s != nil && at.Signed() {
		return Plain(p.by(s))
	}
	return Quiet("not signed off: " + at.State.Words())
}

// proof says what shows that nothing was altered since.
func (p *sheets) proof() []Block {
	bs := []Block{Heading{Level: 2, Title: "How to check it"}}
	if p.signed {
		bs = append(bs, Para{Text: Plain("The file is signed with the centre's certificate: one changed byte breaks the signature, and any reader of PDF that knows signatures says so.")})
	}
	if p.log != nil {
		bs = append(bs, Para{Text: Join(Plain("Each decision was entered in the centre's log when it was made, and cannot be taken out or changed there without being seen. The proofs are attached to this file, "+
			"with everything that its pages say in a form for programs; "), To("log", "the last pages"), Plain(" name the entries. Anybody who has the centre's key can check all of it without a network: witnessmark verify FILE --key KEY."))})
	}
	return append(bs, Para{Text: Plain("Times are stated by the centre, unless a second party or an authority for time has put its own beside them. " +
		"That a picture shows what its caption says, and that a decision was right, no signature can prove: for that the people named here stand.")})
}
