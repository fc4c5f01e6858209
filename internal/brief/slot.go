package brief

import "strconv"

// Form names the forms of item as the file does.
type Form string

// The forms.
const (
	FormPhoto       Form = "photo"
	FormReading     Form = "reading"
	FormTest        Form = "functional-test"
	FormObservation Form = "observation"
	FormSequence    Form = "sequence"
	FormFigure      Form = "figure"
	FormChoice      Form = "choice"
	FormAnswer      Form = "answer"
	FormConfirm     Form = "confirm"
	FormDocument    Form = "document"
)

// Form is the item's form; "" where none is set, which Check refuses.
func (it *Item) Form() Form {
	switch {
	case it.Photo != nil:
		return FormPhoto
	case it.Reading != nil:
		return FormReading
	case it.Test != nil:
		return FormTest
	case it.Observation != nil:
		return FormObservation
	case it.Sequence != nil:
		return FormSequence
	case it.Figure != nil:
		return FormFigure
	case it.Choice != nil:
		return FormChoice
	case it.Answer != nil:
		return FormAnswer
	case it.Confirm != nil:
		return FormConfirm
	case it.Document != nil:
		return FormDocument
	}
	return ""
}

// Safety says whether the item is safety-critical.
func (it *Item) Safety() bool {
	return it.Reading != nil && it.Reading.Safety || it.Test != nil && it.Test.Safety ||
		it.Observation != nil && it.Observation.Safety || it.Sequence != nil && it.Sequence.Safety ||
		it.Figure != nil && it.Figure.Safety || it.Choice != nil && it.Choice.Safety || it.Confirm != nil && it.Confirm.Safety
}

// The words that stand for a thing done.
const (
	Yes  = "yes"  // a confirmation
	Done = "done" // a step of a sequence
)

// Slot is one place of an item where something is typed, chosen or ticked.
type Slot struct {
	Part    string // "" for most; the repeat's number, "row/check" of a grid, a step's key
	Phase   Phase
	Label   string   // told apart from the item's other slots; "" where there is only one
	Unit    string   // the asked unit, as the brief writes it; "" for words
	Options []string // to choose from; nil where it is typed
}

// Slots lists an item's slots in the order in which they are filled in. Photos and documents have none: they take files.
func (it *Item) Slots() []Slot {
	switch it.Form() {
	case FormReading:
		return it.Reading.slots()
	case FormTest:
		return it.Test.slots()
	case FormObservation:
		return []Slot{{Options: it.Observation.Options}}
	case FormSequence:
		var ss []Slot
		for _, s := range it.Sequence.Steps {
			ss = append(ss, Slot{Part: s.Key, Label: s.Words(), Options: []string{Done}})
		}
		return ss
	case FormFigure:
		return []Slot{{Unit: it.Figure.Unit}}
	case FormChoice:
		return []Slot{{Options: it.Choice.Words()}}
	case FormAnswer:
		return []Slot{{}}
	case FormConfirm:
		return []Slot{{Options: []string{Yes}}}
	}
	return nil
}

// slots are a reading's: each phase in turn, each repeat within it.
func (r *Reading) slots() []Slot {
	phases := r.Phases
	if len(phases) == 0 {
		phases = []Phase{NoPhase}
	}
	var ss []Slot
	for _, p := range phases {
		for n := range max(r.Repeats, 1) {
			s := Slot{Phase: p, Label: p.Words(), Unit: r.Unit}
			if r.Repeats > 1 {
				s.Part = strconv.Itoa(n + 1)
				s.Label += " " + s.Part + " of " + strconv.Itoa(r.Repeats)
				if p == NoPhase {
					s.Label = s.Part + " of " + strconv.Itoa(r.Repeats)
				}
			}
			ss = append(ss, s)
		}
	}
	return ss
}

// slots are a grid's: row by row, check by check.
func (ft *FunctionalTest) slots() []Slot {
	var ss []Slot
	for _, row := range ft.Rows {
		for _, c := range ft.Checks {
			ss = append(ss, Slot{Part: row.Key + "/" + c.Key, Label: c.Title, Options: c.Options})
		}
	}
	return ss
}

// Words lists what may be chosen: the options' texts, or the sizes with their unit.
func (c *Choice) Words() []string {
	var ws []string
	for _, o := range c.Options {
		ws = append(ws, o.Text)
	}
	if c.Size != nil {
		for _, s := range c.Size.Sizes {
			ws = append(ws, s+" "+c.Size.Unit)
		}
	}
	return ws
}

// Words is the phase as people read it.
func (p Phase) Words() string {
	switch p {
	case AsFound:
		return "as found"
	case AsLeft:
		return "as left"
	}
	return ""
}

// Item finds an item by its key with the stage that it stands in; ok is false where there is none.
func (b *Brief) Item(key string) (it *Item, st *Stage, ok bool) {
	for i := range b.Stages {
		for j := range b.Stages[i].Items {
			if b.Stages[i].Items[j].Key == key {
				return &b.Stages[i].Items[j], &b.Stages[i], true
			}
		}
	}
	return nil, nil, false
}

// CriterionRefs lists every criterion that the brief covers as "UNIT/code", in order.
func (b *Brief) CriterionRefs() []string {
	var refs []string
	for _, c := range b.Criteria {
		for _, code := range c.Codes {
			refs = append(refs, c.Unit+"/"+code)
		}
	}
	return refs
}

// Ref resolves a criterion as an item writes it: "UNIT/1.2" stands as it is, "1.2" belongs to the brief's only unit.
func (b *Brief) Ref(s string) string {
	for _, r := range s {
		if r == '/' {
			return s
		}
	}
	if len(b.Criteria) == 1 {
		return b.Criteria[0].Unit + "/" + s
	}
	return s
}
