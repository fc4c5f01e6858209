package brief

import (
	"fmt"
	"slices"
	"strings"
)

func (k *checker) stages() {
	held := false // a hold point stands at or before this stage
	earlier := map[string]bool{}
	for i := range k.b.Stages {
		st, path := &k.b.Stages[i], fmt.Sprintf("stages[%d]", i)
		if st.Hold != nil {
			held = true
			k.hold(st.Hold, earlier, path+".hold")
		}
		for j := range st.Items {
			it, at := &st.Items[j], fmt.Sprintf("%s.items[%d]", path, j)
			k.item(it, at, held)
			k.reopenedBy(it, at)
		}
		for _, it := range st.Items {
			earlier[it.Key] = true
		}
	}
}

// hold holds a hold point's needs to items that can be right before it.
func (k *checker) hold(h *Hold, earlier map[string]bool, path string) {
	for n, key := range h.Needs {
		at := fmt.Sprintf("%s.needs[%d]", path, n)
		it, st, ok := k.b.Item(key)
		switch {
		case !ok:
			k.say(at, "No item is called “%s”.", shorten(key))
			k.problems[len(k.problems)-1].Hint = didYouMean(key, k.itemKeys())
		case !earlier[key]:
			k.say(at, "“%s” (%s) is not done before this hold point, so it could never be released. Move the item to an earlier stage.", key, st.Title)
		case it.Form() == FormPhoto || it.Form() == FormDocument || it.Form() == FormAnswer:
			k.say(at, "“%s” has no right or wrong (%s): say in “show” what the releaser looks for.", key, it.Form())
		}
	}
}

func (k *checker) pathOf(key string) string {
	for i := range k.b.Stages {
		for j := range k.b.Stages[i].Items {
			if k.b.Stages[i].Items[j].Key == key {
				return fmt.Sprintf("stages[%d].items[%d]", i, j)
			}
		}
	}
	return ""
}

func (k *checker) itemKeys() []string {
	var keys []string
	for i := range k.b.Stages {
		for j := range k.b.Stages[i].Items {
			keys = append(keys, k.b.Stages[i].Items[j].Key)
		}
	}
	return keys
}

func (k *checker) reopenedBy(it *Item, path string) {
	for n, key := range it.ReopenedBy {
		_, _, ok := k.b.Item(key)
		ok = ok || slices.ContainsFunc(k.b.Stages, func(st Stage) bool { return st.Key == key })
		at := fmt.Sprintf("%s.reopened-by[%d]", path, n)
		switch {
		case !ok:
			k.say(at, "No item or stage is called “%s”.", shorten(key))
			k.problems[len(k.problems)-1].Hint = didYouMean(key, k.itemKeys())
		case key == it.Key:
			k.say(at, "An item does not re-open itself.")
		}
	}
}

// item holds one item to its form.
func (k *checker) item(it *Item, path string, held bool) {
	var set []string
	for _, f := range forms {
		if it.has(f) {
			set = append(set, string(f))
		}
	}
	switch {
	case len(set) == 0:
		k.say(path, "“%s” does not say what is to be shown. Add one of %s.", shorten(it.Key), orList(formNames()))
		return
	case len(set) > 1:
		k.say(path, "“%s” is %s at once. Make an item of each.", shorten(it.Key), strings.Join(set, " and "))
	}
	switch it.Form() {
	case FormReading:
		k.reading(it.Reading, path+".reading")
	case FormTest:
		k.grid(it.Test, path+".functional-test", held)
	case FormObservation:
		k.observation(it.Observation, path+".observation")
	case FormSequence:
		k.sequence(it.Sequence, path+".sequence")
	case FormFigure:
		k.figure(it.Figure, path+".figure")
	case FormChoice:
		k.choice(it.Choice, path+".choice")
	case FormPhoto, FormAnswer, FormConfirm, FormDocument: // their rules say it all
	}
}

func formNames() []string {
	var ns []string
	for _, f := range forms {
		ns = append(ns, string(f))
	}
	return ns
}

// has says whether the item has the members of a form.
func (it *Item) has(f Form) bool {
	switch f {
	case FormPhoto:
		return it.Photo != nil
	case FormReading:
		return it.Reading != nil
	case FormTest:
		return it.Test != nil
	case FormObservation:
		return it.Observation != nil
	case FormSequence:
		return it.Sequence != nil
	case FormFigure:
		return it.Figure != nil
	case FormChoice:
		return it.Choice != nil
	case FormAnswer:
		return it.Answer != nil
	case FormConfirm:
		return it.Confirm != nil
	case FormDocument:
		return it.Document != nil
	}
	return false
}

// distinct says which of some names stand there twice; where is their path with a verb for the index.
func (k *checker) distinct(names []string, where string) {
	for i, n := range names {
		if n != "" && slices.Contains(names[:i], n) {
			k.say(fmt.Sprintf(where, i), "“%s” stands here a second time. Each needs a name of its own.", shorten(n))
		}
	}
}

func (k *checker) reading(r *Reading, path string) {
	if len(r.Phases) == 2 && r.Phases[0] != AsFound {
		k.say(path+".phases", "A reading is taken as found before it is taken as left, once each.")
	} else if len(r.Phases) == 2 && r.Phases[1] == r.Phases[0] {
		k.say(path+".phases", "A reading is taken as found and as left once each; for more use “repeats”.")
	}
	if r.Safety && r.CheckWithin == "" {
		k.warn(path, "A safety-critical reading counts only once the tutor saw or checked it. Add “check-within”: the largest difference between the two readings.")
	}
	if r.Limit != nil && r.Limit.untraced() {
		k.warn(path+".limit", "Nobody can tell later where this limit comes from. Add “source”: the document, its edition and date.")
	}
}

func (k *checker) observation(o *Observation, path string) {
	k.distinct(o.Options, path+".options[%d]")
	switch {
	case o.Expect != "" && !slices.Contains(o.Options, o.Expect):
		k.say(path+".expect", "“%s” is none of the options.", shorten(o.Expect))
		k.problems[len(k.problems)-1].Hint = didYouMean(o.Expect, o.Options)
	case o.Safety && o.Expect == "":
		k.say(path, "A safety-critical observation has a right answer: add “expect”.")
	}
}

func (k *checker) figure(f *Figure, path string) {
	if f.Tolerance == nil {
		k.say(path, "This figure has no tolerance. Say how far a stated value may lie from the worked one, as in “relative: 2 %%”.")
	}
	if f.Limit != nil && f.Limit.untraced() {
		k.warn(path+".limit", "Nobody can tell later where this limit comes from. Add “source”: the document, its edition and date.")
	}
	k.slips(f.Slips, true, nil, path)
}

func (k *checker) choice(c *Choice, path string) {
	switch {
	case len(c.Options) > 0 && c.Size != nil:
		k.say(path, "A choice has options or a size, not both.")
	case len(c.Options) == 0 && c.Size == nil:
		k.say(path, "A choice has options, or a size from a table.")
	case len(c.Options) == 1:
		k.say(path+".options", "One option is no choice. Add another.")
	}
	var texts []string
	for i, o := range c.Options {
		texts = append(texts, o.Text)
		if o.When == "" && i < len(c.Options)-1 {
			k.say(fmt.Sprintf("%s.options[%d]", path, i), "Without “when” this option is always right, and those below it never. Give it a condition, or move it to the end.")
		}
	}
	k.distinct(texts, path+".options[%d].text")
	if c.Size != nil {
		texts = slices.Concat(c.Size.Sizes, c.Words())
	}
	k.slips(c.Slips, c.Size != nil, texts, path)
}

// slips holds each slip to one way of saying where it leads: a formula where one is fair, or one of the options.
func (k *checker) slips(slips []Slip, formulas bool, options []string, path string) {
	var keys []string
	for i, s := range slips {
		keys = append(keys, s.Key)
		at := fmt.Sprintf("%s.slips[%d]", path, i)
		switch {
		case s.Formula != "" && s.Option != "":
			k.say(at, "A slip leads to one thing: keep its formula or its option.")
		case s.Formula != "" && !formulas:
			k.say(at+".formula", "In a choice of options a slip names the option that it leads to.")
		case s.Option != "" && options == nil:
			k.say(at+".option", "An option belongs to a choice. Here a slip has a formula.")
		case s.Option != "" && !slices.Contains(options, s.Option):
			k.say(at+".option", "“%s” is none of what can be chosen.", shorten(s.Option))
			k.problems[len(k.problems)-1].Hint = didYouMean(s.Option, options)
		case s.Option == "" && s.Formula == "":
			k.say(at, "This slip does not say where it leads. Add its %s.", map[bool]string{true: "formula", false: "option"}[formulas])
		}
	}
	k.distinct(keys, path+".slips[%d].key")
}
