package marking

import (
	"fmt"
	"strings"
)

// say writes both sentences; declared is how many faults the brief knows, apart the open cells that tell likely ones apart.
func (d *Diagnosis) say(declared int, apart []string) {
	switch {
	case len(d.Likely) == 0:
		d.sayNone(declared)
	case d.Likely[0].Whole() && len(d.Likely) == 1:
		f := &d.Likely[0]
		d.Tutor = fmt.Sprintf("%s, and this fault shows just that: %s.%s", d.differ(), f.words(), f.where("Look"))
		d.Trainee = fmt.Sprintf("What you saw looks like one fault: %s.%s Isolate, put it right and test again from the first row.", f.words(), f.where("Look"))
	case d.Likely[0].Whole():
		d.saySeveral(apart)
	default:
		d.sayNearest()
	}
	if d.Open > 0 {
		d.Tutor += fmt.Sprintf(" %s not filled in or not readable.", areCells(d.Open))
	}
}

func (d *Diagnosis) sayNone(declared int) {
	d.Tutor = fmt.Sprintf("%s. The fault that the brief knows does not come near it: it is another fault, or cells are put down wrongly.", d.differ())
	if declared > 1 {
		d.Tutor = fmt.Sprintf("%s. None of the %d faults that the brief knows comes near it: it is another fault, or cells are put down wrongly.", d.differ(), declared)
	}
	d.Trainee = "What you saw fits none of the faults that are usual here. Make sure of what you put down, then look for the cause from the supply on, dead and isolated."
}

// saySeveral is for faults that all show just what was seen.
func (d *Diagnosis) saySeveral(apart []string) {
	d.Tutor = fmt.Sprintf("%s, and more than one fault shows just that: %s.", d.differ(), d.listed())
	d.Trainee = fmt.Sprintf("What you saw fits more than one fault: %s.", d.listed())
	if len(apart) > 0 {
		d.Tutor += fmt.Sprintf(" What would tell them apart is not filled in: %s.", listed(apart))
		d.Trainee += fmt.Sprintf(" What would tell them apart is not filled in: %s.", listed(apart))
	}
}

// sayNearest is for faults none of which shows all of what was seen, and nothing else.
func (d *Diagnosis) sayNearest() {
	f := &d.Likely[0]
	d.Tutor = fmt.Sprintf("%s. No fault that the brief knows shows just that. %s comes nearest: it shows %d of them, and %s speak against it.%s",
		d.differ(), capital(f.words()), len(f.Fits), cells(len(f.Against)), f.where("Look"))
	d.Trainee = fmt.Sprintf("No single fault gives just what you saw. Nearest comes this: %s.%s", f.words(), f.where("Make sure of what you put down, then look"))
	if len(d.Likely) == 1 {
		return
	}
	var rest []string
	for i := range d.Likely[1:] {
		rest = append(rest, d.Likely[i+1].words()+d.Likely[i+1].aside())
	}
	all := "all of them are accounted for"
	if n := len(d.Left); n > 0 {
		all = cells(n) + " are still not accounted for"
	}
	d.Tutor += fmt.Sprintf(" Together with this %s: %s. There may be two faults at once.", all, strings.Join(rest, "; "))
	d.Trainee += fmt.Sprintf(" There may be a second one: %s.", strings.Join(rest, "; "))
}

// listed is all likely faults with where to look.
func (d *Diagnosis) listed() string {
	var out []string
	for i := range d.Likely {
		out = append(out, d.Likely[i].words()+d.Likely[i].aside())
	}
	return strings.Join(out, "; ")
}

// differ is how many cells are not as expected, as a sentence without its full stop.
func (d *Diagnosis) differ() string { return areCells(d.Wrong) + " not as expected" }

func areCells(n int) string {
	if n == 1 {
		return "1 cell is"
	}
	return cells(n) + " are"
}

func cells(n int) string {
	if n == 1 {
		return "1 cell"
	}
	return fmt.Sprintf("%d cells", n)
}

// words is the fault without a full stop of its own.
func (f *LikelyFault) words() string { return strings.TrimRight(f.Is, ". ") }

// where is a sentence that says where to look; "" where the brief does not.
func (f *LikelyFault) where(look string) string {
	if f.Look == "" {
		return ""
	}
	place := strings.TrimRight(f.Look, ". ")
	if !strings.HasSuffix(place, "?") {
		place += "."
	}
	return " " + look + " " + place
}

// aside is where to look, in brackets.
func (f *LikelyFault) aside() string {
	if f.Look == "" {
		return ""
	}
	return fmt.Sprintf(" (look %s)", strings.TrimRight(f.Look, ". "))
}
