package app

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"witnessmark/internal/fault"
	"witnessmark/internal/table"
)

// The columns of a list of instruments, in the order in which its cells are read.
const (
	instrumentName = iota
	instrumentSerial
	instrumentKinds
	instrumentRange
	instrumentResolution
	instrumentAccuracy
	instrumentCalibrated
	instrumentCertificate
	instrumentHolds
	instrumentFound
	instrumentWords
	instrumentRetired
)

// InstrumentColumns is the columns of a list of instruments, as it is read and as it is given.
func InstrumentColumns() []table.Column {
	return []table.Column{
		instrumentName:        {Name: "Name", Also: []string{"Instrument"}},
		instrumentSerial:      {Name: "Serial number", Also: []string{"Serial", "Serial no"}, Needed: true},
		instrumentKinds:       {Name: "Is a", Also: []string{"Kind", "Kinds", "Type"}, Needed: true, Most: kindsMost * registerText},
		instrumentRange:       {Name: "Range"},
		instrumentResolution:  {Name: "Resolution"},
		instrumentAccuracy:    {Name: "Accuracy"},
		instrumentCalibrated:  {Name: "Calibrated on", Also: []string{"Calibrated"}},
		instrumentCertificate: {Name: "Certificate", Also: []string{"Certificate number"}},
		instrumentHolds:       {Name: "Holds to", Also: []string{"Calibration holds to", "Due"}},
		instrumentFound:       {Name: "Found"},
		instrumentWords:       {Name: "What was found", Most: textMost},
		instrumentRetired:     {Name: "Out of use since"},
	}
}

// The words of the column Found; an empty cell means the first.
const (
	readsTrue  = "reads true"
	readsWrong = "reads wrong"
)

// InstrumentRow is one row of a list of instruments.
type InstrumentRow struct {
	Line int
	NewRegistered
	Calibration NewCalibration // On is zero where the row has none
	Retired     bool           // it says so
}

// heads are the headings of what is refused by its field.
var heads = map[string]int{
	"name": instrumentName, "serial": instrumentSerial, "kinds": instrumentKinds, "measures": instrumentRange, "resolution": instrumentResolution,
	"accuracy": instrumentAccuracy, "on": instrumentCalibrated, "certificate": instrumentCertificate, "due": instrumentHolds, "words": instrumentWords,
}

// rowProblems is what there is to mend in the row of a line.
type rowProblems struct {
	line int
	list []table.Problem
}

func (p *rowProblems) add(column int, message string, a ...any) {
	p.list = append(p.list, table.Problem{Line: p.line, Column: InstrumentColumns()[column].Name, Message: fmt.Sprintf(message, a...)})
}

// refused adds what a check said of its fields.
func (p *rowProblems) refused(err error) {
	if f, ok := fault.As(err); ok {
		for _, x := range f.Fields {
			p.add(heads[x.Name], "%s", x.Message)
		}
	}
}

// readInstruments reads a list of instruments and says everything that is wrong with it by itself; today is a date.
func readInstruments(list []byte, today time.Time) ([]InstrumentRow, []table.Problem) {
	rows, problems := table.Read(bytes.NewReader(list), InstrumentColumns(), table.Limits{Rows: registerMost})
	out := make([]InstrumentRow, 0, len(rows))
	for _, r := range rows {
		row, wrong := instrumentRow(r, today)
		out, problems = append(out, row), append(problems, wrong...)
	}
	if len(rows) == 0 && len(problems) == 0 {
		problems = []table.Problem{{Message: "There is no instrument below the headings of this list."}}
	}
	table.Sort(problems)
	return out, problems
}

// instrumentRow puts a row of the list into what is kept.
func instrumentRow(r table.Row, today time.Time) (InstrumentRow, []table.Problem) {
	wrong := rowProblems{line: r.Line}
	row := InstrumentRow{Line: r.Line, Retired: r.Cells[instrumentRetired] != "", NewRegistered: NewRegistered{
		Name: r.Cells[instrumentName], Serial: r.Cells[instrumentSerial], Kinds: KindsIn(r.Cells[instrumentKinds]),
		Measures: r.Cells[instrumentRange], Resolution: r.Cells[instrumentResolution], Accuracy: r.Cells[instrumentAccuracy],
	}}
	row.tidy()
	if row.Serial != "" && r.Cells[instrumentKinds] != "" { // that a cell is empty was said already
		n := row.NewRegistered
		if n.Name == "" {
			n.Name = "-" // which only a new one needs
		}
		wrong.refused(n.check())
	}
	row.Calibration = calibrationCells(r.Cells, today, &wrong)
	return row, wrong.list
}

// calibrationCells is the calibration of a row, zero where all its cells are empty.
func calibrationCells(cells []string, today time.Time, wrong *rowProblems) (n NewCalibration) {
	on, due := cells[instrumentCalibrated], cells[instrumentHolds]
	n = NewCalibration{Certificate: cells[instrumentCertificate], Words: cells[instrumentWords], Good: true}
	if on+due+n.Certificate+n.Words+cells[instrumentFound] == "" {
		return NewCalibration{}
	}
	before := len(wrong.list)
	day := func(column int) (d time.Time) {
		if s := cells[column]; s != "" {
			if d = listDay(s); d.IsZero() {
				wrong.add(column, noListDay, s)
			}
		}
		return d
	}
	n.On, n.Due = day(instrumentCalibrated), day(instrumentHolds)
	switch strings.ToLower(cells[instrumentFound]) {
	case "", readsTrue:
	case readsWrong:
		n.Good = false
	default:
		wrong.add(instrumentFound, "Write “%s” or “%s”. An empty cell means that it %s.", readsTrue, readsWrong, readsTrue)
	}
	if len(wrong.list) == before {
		wrong.refused(n.check(today))
	}
	return n
}

// Cells is an instrument as a row of a list, with the last of its calibrations that counts.
func (r RegisterRow) Cells() []string {
	cells := make([]string, len(InstrumentColumns()))
	cells[instrumentName], cells[instrumentSerial], cells[instrumentKinds] = r.Name, r.Serial, strings.Join(r.Kinds, "; ")
	cells[instrumentRange], cells[instrumentResolution], cells[instrumentAccuracy] = r.Measures, r.Resolution, r.Accuracy
	if e := r.Calibration; !e.DoneAt.IsZero() {
		cells[instrumentCalibrated], cells[instrumentHolds] = string(dayOf(e.DoneAt)), string(dayText(e.DueOn))
		cells[instrumentCertificate], cells[instrumentWords] = e.Certificate, e.Words
		if cells[instrumentFound] = readsTrue; !e.Good {
			cells[instrumentFound] = readsWrong
		}
	}
	if !r.InUse() {
		cells[instrumentRetired] = string(dayOf(r.RetiredAt))
	}
	return cells
}
