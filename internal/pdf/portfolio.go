package pdf

import (
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"witnessmark/internal/portfolio"
)

// Options is what a portfolio's file holds and needs beyond its pages.
type Options struct {
	// Open gives a file's bytes by its SHA-256 (hex). It is called once for each picture that is shown, which is read once
	// from its start and closed.
	Open        func(digest string) (io.ReadCloser, error)
	Attachments []Attachment
	Sign        *Signing           // nil: the file is not signed
	Log         *portfolio.LogPage // nil: the decisions stand in no log yet, which the document then says
}

// Portfolio draws a portfolio as a PDF. An error from o.Open, from w or of ctx stops the drawing and is returned wrapped, with
// the photo's number: what was written until then is no portfolio. Times are shown as in London.
func Portfolio(ctx context.Context, w io.Writer, d portfolio.Document, o Options) (Report, error) {
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		return Report{}, fmt.Errorf("find London's time for a portfolio: %w", err)
	}
	p := sheets{d: d, open: o.Open, log: o.Log, signed: o.Sign != nil, zone: zone}
	doc := p.document()
	doc.Attachments, doc.Sign = o.Attachments, o.Sign
	return Draw(ctx, w, doc)
}

// sheets maps a portfolio to blocks.
type sheets struct {
	d    portfolio.Document
	open func(digest string) (io.ReadCloser, error)
	log  *portfolio.LogPage
	zone *time.Location
	// signed says that the file will carry a signature.
	signed bool
}

func (p *sheets) document() Document {
	d := &p.d
	doc := Document{
		Title: "Portfolio of " + short(d.Trainee), Author: short(d.CentreName), Subject: short(p.unit()), Language: "en-GB", Created: d.MadeAt,
		HeadLeft: short(named(d.Trainee, d.TraineeCode)), HeadRight: short(p.unit()),
		Foot: fmt.Sprintf("Portfolio %s · %s", d.ID, short(d.CentreName)),
	}
	doc.Blocks = append(doc.Blocks, p.cover(), Heading{Level: 1, Title: "Contents"}, Contents{Depth: 2})
	doc.Blocks = append(doc.Blocks, p.index()...)
	doc.Blocks = append(doc.Blocks, p.uses()...)
	doc.Blocks = append(doc.Blocks, p.statement()...)
	for i := range d.Tasks {
		doc.Blocks = append(doc.Blocks, p.task(&d.Tasks[i])...)
	}
	for _, part := range [][]Block{p.samples(), p.judged(), p.files(), p.logged(), p.shortfalls()} {
		doc.Blocks = append(doc.Blocks, part...)
	}
	return doc
}

func (p *sheets) unit() string {
	return "Unit " + p.d.Unit.Code + ": " + p.d.Unit.Title
}

// named is a name with its code; the code alone where there is no name.
func named(name, code string) string {
	switch {
	case code == "":
		return name
	case name == "":
		return code
	}
	return name + " (" + code + ")"
}

func (p *sheets) cover() Cover {
	d := &p.d
	facts := []Fact{
		{"Trainee", Plain(short(named(d.Trainee, d.TraineeCode)))},
		{"Cohort", Plain(short(orDash(d.Cohort)))},
		{"Centre", Plain(short(named(d.CentreName, d.CentreCode)))},
		{"Unit", Plain(short(d.Unit.Code + ": " + d.Unit.Title))},
		{"Edition", Plain(short(orDash(d.Unit.Edition)))},
		{"Criteria", Plain(p.standing())},
		{"Tasks", Plain(fmt.Sprintf("%s with %s, all of them in this document", counted(len(d.Tasks), "task"), counted(d.Attempts, "attempt")))},
		{"Decided by", Plain(short(orDash(strings.Join(d.Judges, "; "))))},
		{"Evidence", Plain(counted(len(d.Files), "file") + ", each with its SHA-256")},
		{"Made", Plain(p.minute(d.MadeAt))},
	}
	return Cover{
		Keeper: short(d.CentreName), Kind: "Portfolio of evidence", Title: short(d.Trainee), Subtitle: short(p.unit()), Facts: facts,
		Note: Plain("The program re-worked the figures; a person decided. It teaches and records: local code, the maker's instructions and " +
			"licensed practice decide what is done on a job."),
		Identity: "Document " + d.ID, Code: p.code(),
		CodeSays: "The document's number as a code for a phone's camera; it is printed beside it.",
	}
}

// code is what the cover's code holds: which document this is, and in which log to look for it.
func (p *sheets) code() string {
	s := "Portfolio " + p.d.ID
	if p.log != nil {
		s += "\nLog " + p.log.Origin
	}
	return s
}

// standing says how far the unit is.
func (p *sheets) standing() string {
	d := &p.d
	switch {
	case d.Criteria == 0:
		return "the unit has no criteria yet"
	case d.Met == d.Criteria && d.SignedOff == d.Criteria:
		return fmt.Sprintf("all %d met and signed off", d.Criteria)
	}
	return fmt.Sprintf("%d of %d met, %d of them signed off", d.Met, d.Criteria, d.SignedOff)
}

// judged says how the figures were re-worked and who decided.
func (p *sheets) judged() []Block {
	bs := []Block{
		Heading{Level: 1, Title: "Appendix: how this was judged", OnNew: true, Anchor: "judged"},
		Para{Text: Strong("The program re-worked the figures; a person decided.")},
		Para{Text: Plain("The marker works every asked figure out again, from the given and measured values and, where an earlier figure was off, " +
			"from the trainee's own. It advises. Whether a criterion is met was decided by the people named beside each decision. " +
			"Where one of them put another verdict in place of the marker's, both stand here with the reason.")},
		Para{Text: Plain("Nothing in this document was edited. A later entry or decision supersedes an earlier one, and the earlier one is shown with it. " +
			"Every attempt is here, also those after which there was more to do.")},
		Para{Text: Plain("Two clocks stand beside each piece of evidence: the phone's when it was captured, and the centre's when it was received. " +
			"The camera's own is shown where the picture states it. Times are those of London, with GMT or BST; the centre alone states them.")},
	}
	t := Table{Caption: "The marker, attempt by attempt", Columns: []Column{
		{Title: "Task", Fixed: 34}, {Title: "Attempt", Fixed: 46}, {Title: "Marker and its rules", Share: 1}, {Title: "Material properties", Share: 1}, {Title: "Marked", Fixed: 92},
	}}
	for _, task := range p.d.Tasks {
		for _, at := range task.Attempts {
			row := []Cell{{Text: To(task.Anchor, fmt.Sprint(task.Number))}, {Text: To(at.Anchor, fmt.Sprint(at.Number))}}
			if at.Marking == nil {
				row = append(row, Cell{Text: Quiet("The marker has not looked at this attempt, or its tutor is still judging it."), Span: 3})
			} else {
				row = append(row, Cell{Text: Plain(at.Marking.Engine)}, Cell{Text: Plain(at.Marking.Properties)}, Cell{Text: Plain(p.minute(at.MarkedAt))})
			}
			t.Rows = append(t.Rows, Row{Cells: row})
		}
	}
	if len(t.Rows) > 0 {
		bs = append(bs, Gap{}, t)
	}
	return bs
}

// files lists every file with its whole digest.
func (p *sheets) files() []Block {
	bs := []Block{
		Heading{Level: 1, Title: "Appendix: every file with its digest", OnNew: true, Anchor: "files"},
		Para{Text: Plain("A digest is worked out from a file's bytes as they were received. Anybody who holds the file can work it out again (SHA-256): " +
			"if it is the same, not one bit of the file has changed.")},
	}
	if len(p.d.Files) == 0 {
		return append(bs, Para{Text: Plain("No file was handed in.")})
	}
	t := Table{Caption: "Files in order of appearance", Columns: []Column{
		{Title: "No.", Fixed: 30, Align: Right}, {Title: "File and SHA-256", Share: 1}, {Title: "Size in bytes", Fixed: 62, Align: Right}, {Title: "Page", Fixed: 34, Align: Right},
	}}
	for i := range p.d.Files {
		f := &p.d.Files[i]
		what := Join(Plain(orDash(f.Name)), Quiet("  "+f.MediaType+same(f)), Plain("\n"), Fixed(f.Digest))
		switch f.Show {
		case portfolio.Preview:
			what = Join(what, Quiet("\npreview shown: "), Fixed(f.Shown))
		case portfolio.Covered:
			what = Join(what, Quiet("\ncopy shown: "), Fixed(f.Shown))
		case portfolio.Bare:
			what = Join(what, Quiet("\nshown without what the camera wrote: "), Fixed(f.Shown))
		}
		if f.Withdrawn != nil {
			what = Join(what, Quiet("\nwithdrawn: the bytes are no longer kept, the digest is"))
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: To(f.Anchor, fmt.Sprint(f.Number))}, {Text: what}, {Text: Plain(fmt.Sprint(f.Size))}, {Text: PageOf(f.Anchor)}}})
	}
	return append(bs, t)
}

func same(f *portfolio.File) string {
	if f.SameAs == 0 {
		return ""
	}
	return fmt.Sprintf(", the same bytes as file %d", f.SameAs)
}

// counted is a number of things in words.
func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

func orDash(s string) string {
	if strings.TrimSpace(s) == "" {
		return "–"
	}
	return s
}

// short keeps a name from filling the cover or the running head, where no more than this can be seen.
func short(s string) string {
	const most = 160
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
