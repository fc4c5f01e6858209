package marking

import (
	"fmt"
	"strings"

	"witnessmark/internal/quantity"
)

// flags raises a flag that is complete already, once.
func (f *Finding) flags(flag Flag) {
	for _, have := range f.Flags {
		if have.Code == flag.Code && have.Text == flag.Text {
			return
		}
	}
	f.Flags = append(f.Flags, flag)
}

// say raises a flag about a stretch of working; what is said of it has one verb for what stands there.
func (r *rerun) say(f *Finding, code string, at *Place, format, what string) {
	said := strings.TrimSuffix(fmt.Sprintf(format, what), ".")
	f.flags(Flag{
		Code: code, At: at,
		Text:    fmt.Sprintf("“%s” in the working %s.", at.Quote, said),
		Trainee: fmt.Sprintf("In your working “%s” %s.", at.Quote, said),
	})
}

// cut says that a result was cut off.
func (r *rerun) cut(f *Finding, x result, got float64, i int) {
	at := r.between(max(i-1, 0), i)
	gives := joined(show(got), x.unitText())
	f.flags(Flag{
		Code: FlagTruncated, At: at,
		Text:    fmt.Sprintf("%s is cut off, not rounded: the working gives %s.", x.words(), gives),
		Trainee: fmt.Sprintf("%s is cut off, not rounded: your working gives %s.", x.words(), gives),
	})
}

// disagree says that a calculation and what is written for it differ, and what is most often behind it.
func (r *rerun) disagree(f *Finding, code string, got float64, x result, at *Place) {
	_, most := x.number.SignificantFigures()
	gives := quantity.RoundFigures(got, min(max(most, 3), 6))
	wrote := strings.ReplaceAll(x.number.Canonical(), "-", "−")
	hint, hinted := "", ""
	if swapped(gives, wrote) {
		hint, hinted = " Check whether two digits changed places.", " Perhaps two digits changed places."
	}
	gives, wrote = joined(gives, x.unitText()), joined(wrote, x.unitText())
	trainee := fmt.Sprintf("Your working gives %s; you wrote %s.%s", gives, wrote, hint)
	text := fmt.Sprintf("The working gives %s; %s is stated.%s", gives, wrote, hinted)
	switch code {
	case FlagArithmetic:
		text = fmt.Sprintf("“%s”: the left side comes to %s.%s", at.Quote, gives, hinted)
		trainee = fmt.Sprintf("In your working “%s”: the left side comes to %s.%s", at.Quote, gives, hint)
	case FlagNotFromWorking:
		text = fmt.Sprintf("Right, but not from the working: that gives %s. The mark stands; ask how it was found.%s", gives, hinted)
	}
	f.flags(Flag{Code: code, Text: text, Trainee: trainee, At: at})
}

// swapped reports whether two texts differ by two neighbouring digits that changed places.
func swapped(a, b string) bool {
	if len(a) != len(b) || a == b {
		return false
	}
	for i := range len(a) - 1 {
		j := i + 1
		if a[j] == '.' && j+1 < len(a) {
			j++
		}
		c := []byte(a)
		c[i], c[j] = c[j], c[i]
		if string(c) == b {
			return true
		}
	}
	return false
}

func hasText(f *Finding, text string) bool {
	for _, have := range f.Flags {
		if have.Text == text {
			return true
		}
	}
	return false
}
