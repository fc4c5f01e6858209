package pdf

import (
	"time"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/portfolio"
)

// helped is who helped at a stage, or did part of it, in the trainee's words.
func (p *sheets) helped(l *portfolio.Line) []Block {
	var bs []Block
	if e := l.Current; e != nil {
		bs = append(bs, Para{Text: Join(Strong("Who helped, or did part of it: "), Plain("“"+e.Text+"” "), Quiet("received "+p.minute(e.ReceivedAt)))})
	}
	if len(l.Earlier) > 0 {
		var rows []earlier
		for i := range l.Earlier {
			rows = append(rows, earlier{line: "who helped", entry: &l.Earlier[i]})
		}
		bs = append(bs, p.earlierTable("Said before of who helped, superseded", rows))
	}
	return bs
}

// instrument names an instrument as its label does.
func instrument(in decision.Instrument) Text {
	due := "no date of calibration on its label"
	if in.Due != "" {
		due = "calibration due " + dayWords(in.Due)
	}
	return Join(Strong(in.Kind), Plain(", serial "+in.Serial), Quiet("  "+due))
}

func dayWords(d brief.Day) string {
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return string(d)
	}
	return date(t)
}

// labels are the photos of the instruments' labels.
func (p *sheets) labels(ins []portfolio.InstrumentSheet) []Block {
	var bs []Block
	for i := range ins {
		if in := &ins[i]; len(in.Files) > 0 {
			bs = append(bs, leading(Para{Text: Join(Quiet("Label of: "), instrument(in.Instrument))}))
			bs = append(bs, p.pictures(in.Files)...)
		}
	}
	if len(bs) == 0 {
		return nil
	}
	return append([]Block{Heading{Level: 2, Title: "Labels of the instruments"}}, bs...)
}

// readWith is what a reading was taken with.
func readWith(e *portfolio.Entry) Text {
	if !e.With.Named() {
		return nil
	}
	t := Join(Quiet("\nWith: "), Plain(e.With.Kind+", serial "+e.With.Serial))
	if e.With.Due != "" && !e.With.OutOfDate {
		t = Join(t, Quiet(", calibration due "+dayWords(e.With.Due)))
	}
	if e.With.OutOfDate {
		t = Join(t, Text{{Text: "; its calibration had run out on " + dayWords(e.With.Due), Tone: Wrong}})
	} else if w := e.With.Wrong(); w != "" {
		t = Join(t, Text{{Text: "; it " + w, Tone: Wrong}})
	}
	return t
}
