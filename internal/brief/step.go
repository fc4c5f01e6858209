package brief

import (
	"strconv"
	"strings"
	"time"

	"witnessmark/internal/quantity"
)

// longestWait bounds a step's times: a month is more than anything on a bench takes.
const longestWait = 31 * 24 * time.Hour

// CompiledStep is a step with how long after the one before it is done, at least and at most; 0 where nothing is said.
type CompiledStep struct {
	Step         *Step
	Wait, Within time.Duration
}

func (c *compiler) steps(steps []Step, path string) []CompiledStep {
	var out []CompiledStep
	for i := range steps {
		s, at := CompiledStep{Step: &steps[i]}, path+"["+strconv.Itoa(i)+"]"
		s.Wait, s.Within = c.duration(s.Step.Wait, at+".wait"), c.duration(s.Step.Within, at+".within")
		if s.Wait > 0 && s.Within > 0 && s.Wait > s.Within {
			c.say(at, 0, "Nobody can keep both times: “wait” is longer than “within”.")
		}
		out = append(out, s)
	}
	return out
}

// duration reads a time that is more than nothing; 0 where none is written, or where it cannot be read, which is then noted.
func (c *compiler) duration(text, path string) time.Duration {
	if text == "" {
		return 0
	}
	s := c.above(text, quantity.MustUnit("s"), path)
	switch {
	case s == nil:
		return 0
	case *s > longestWait.Seconds():
		c.say(path, 0, "This is longer than a month. Make items of what is so far apart.")
		return 0
	}
	return time.Duration(*s * float64(time.Second))
}

// sequence holds steps to names of their own, and times to steps that have one before them.
func (k *checker) sequence(s *Sequence, path string) {
	var keys []string
	for _, st := range s.Steps {
		keys = append(keys, st.Key)
	}
	k.distinct(keys, path+".steps[%d].key")
	if len(s.Steps) > 0 && s.Steps[0].Timed() {
		k.say(path+".steps[0]", "“wait” and “within” count from the step before, and this is the first one.")
	}
}

// Timed says whether the step has to keep a time after the one before it.
func (s *Step) Timed() bool { return s.Wait != "" || s.Within != "" }

// Words is what is done and when: "Prove the tester again, at least 10 s and at most 15 min after the step before."
func (s *Step) Words() string {
	when := s.When()
	if when == "" {
		return s.Text
	}
	text, ended := strings.CutSuffix(s.Text, ".")
	if text += ", " + when; ended {
		text += "."
	}
	return text
}

// When is the time that the step has to keep, "at least 10 s after the step before"; "" where there is none.
func (s *Step) When() string {
	switch {
	case s.Wait != "" && s.Within != "":
		return "at least " + s.Wait + " and at most " + s.Within + " after the step before"
	case s.Wait != "":
		return "at least " + s.Wait + " after the step before"
	case s.Within != "":
		return "at most " + s.Within + " after the step before"
	}
	return ""
}
