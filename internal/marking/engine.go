package marking

import (
	"witnessmark/internal/brief"
	"witnessmark/internal/uncertainty"
)

// Engine is the version of the marker and of its rules; it stands in every result. It changes whenever the same brief
// and sheet could give another result.
const Engine = "witnessmark marker 3, marking policy 1"

// properties is the source of material properties, as the results name it; package trade works with it.
const properties = "water: IAPWS-IF97, region 1 and saturation line"

// Mark marks one sheet against one brief. The same brief and sheet always give the same result.
//
// Each figure has two references: from the given and measured values, and from the trainee's own earlier answers as
// stated and converted. Where an earlier answer is missing or cannot be read, its reference stands in for it; where its
// unit is missing or does not fit, its number is taken in the asked unit. An entry that belongs to no line of the brief
// raises a flag on the result and nothing else.
//
// BriefDigest is left empty: it is the digest of the brief's text as stored, which the caller has and the marker has not.
func Mark(c *brief.Compiled, s Sheet) Result {
	m := newMarker(c, s)
	for i := range c.Items {
		m.item(i)
	}
	m.crossChecks()
	m.strangers()
	for i := range m.result.Findings {
		f := &m.result.Findings[i]
		m.result.Marks += f.Marks
		m.result.Available += f.Available
	}
	return m.result
}

// marker holds what one run of Mark works on.
type marker struct {
	c       *brief.Compiled
	entries map[lineKey]Entry
	checks  map[lineKey]CheckReading
	used    map[lineKey]bool // lines that the brief has
	twice   []lineKey        // lines with more than one entry, in the sheet's order
	sheet   Sheet
	values  []value // by index into Compiled.Names
	slips   map[string]string
	needed  map[string]bool // items that a hold point needs
	// toldUnit says that the trainee was told to write the unit into the working.
	toldUnit bool
	in       []float64 // kept from one search for slips to the next, as slots and fits are
	slots    []float64
	fits     []slipFit
	rounder  rounder
	tried    int // figures worked out by trials
	result   Result
}

// lineKey names one line of a sheet.
type lineKey struct {
	item, part string
	phase      brief.Phase
}

// value is what is known of one name, in SI base units.
type value struct {
	given, own float64            // from the given and measured values; as the trainee stated it
	known      bool               // given can be used
	ownKnown   bool               // own can be used
	why        string             // where it is not known: what is missing, in words
	stated     bool               // a figure that the trainee stated; its own value is not the reference standing in
	unproved   bool               // rests on a safety-critical reading that the tutor has not seen or checked
	half       float64            // half the unit of a stated figure's last digit
	lines      []uncertainty.Line // a reading's budget, where its instrument's accuracy is stated
}

func newMarker(c *brief.Compiled, s Sheet) *marker {
	m := &marker{
		c: c, sheet: s, entries: map[lineKey]Entry{}, checks: map[lineKey]CheckReading{}, used: map[lineKey]bool{},
		values: make([]value, len(c.Names)), slips: map[string]string{}, needed: map[string]bool{},
		result: Result{Engine: Engine, Properties: properties, Rules: c.Rules, Findings: []Finding{}},
	}
	for _, e := range s.Entries {
		k := lineKey{e.Item, e.Part, e.Phase}
		if _, have := m.entries[k]; have {
			m.twice = append(m.twice, k)
		}
		m.entries[k] = e
	}
	for _, ch := range s.Checks {
		m.checks[lineKey{item: ch.Item, phase: ch.Phase}] = ch
	}
	for i := range c.Brief.Stages {
		if h := c.Brief.Stages[i].Hold; h != nil {
			for _, key := range h.Needs {
				m.needed[key] = true
			}
		}
	}
	m.givens()
	return m
}

// item marks one item by its form. Photos, documents and written answers are the tutor's alone.
func (m *marker) item(i int) {
	it := &m.c.Items[i]
	switch it.Item.Form() {
	case brief.FormReading:
		m.reading(it)
	case brief.FormFigure:
		m.figure(it)
	case brief.FormChoice:
		m.choice(it)
	case brief.FormTest:
		m.grid(it)
	case brief.FormObservation:
		m.observation(it)
	case brief.FormSequence:
		m.sequence(it)
	case brief.FormConfirm:
		m.confirm(it)
	case brief.FormPhoto, brief.FormAnswer, brief.FormDocument:
		for _, slot := range it.Item.Slots() {
			m.used[lineKey{it.Item.Key, slot.Part, slot.Phase}] = true
		}
	}
}

// entry is what stands on a line of an item; ok is false where nothing does.
func (m *marker) entry(it *brief.CompiledItem, part string, phase brief.Phase) (Entry, bool) {
	k := lineKey{it.Item.Key, part, phase}
	m.used[k] = true
	e, ok := m.entries[k]
	return e, ok
}

// add finishes a finding: what all forms have in common.
func (m *marker) add(it *brief.CompiledItem, f Finding) {
	f.Item, f.Safety = it.Item.Key, it.Item.Safety()
	if f.Safety && !f.Verdict.Full() && !(it.Item.Optional && f.Verdict == NotAttempted) {
		f.Blocks = true
	}
	m.result.Findings = append(m.result.Findings, f)
}

func (m *marker) flag(code, text string) {
	m.result.Flags = append(m.result.Flags, Flag{Code: code, Text: text})
}
