package marking

import (
	"fmt"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/uncertainty"
)

// The codes of findings that a guard band decided.
const (
	codeTooClose = "too_close_to_call"
	codeGuard    = "inside_guard_band"
)

// limitWords is an item's limit as people read it, with the brief's own guard band.
func limitWords(it *brief.CompiledItem) string {
	words := Limit(it.Limit).Words(it.Unit.String())
	var l *brief.Limit
	switch {
	case it.Item.Reading != nil:
		l = it.Item.Reading.Limit
	case it.Item.Figure != nil:
		l = it.Item.Figure.Limit
	}
	if l != nil && l.Guard != nil {
		words += ", " + l.Guard.Words()
	}
	return words
}

// flagTooClose says that y lies nearer to its limit than its uncertainty.
func (f *Finding) flagTooClose(it *brief.CompiledItem, y float64, e uncertainty.Estimate) {
	spread := joined(shorter(e.Expanded), it.Unit.Difference().String())
	text := fmt.Sprintf("Too close to call: %s ±\u2009%s, and the limit is %s", withUnit(y, f.Unit), spread, Limit(it.Limit).Words(f.Unit))
	if p := f.Measured.Keeps; p != nil {
		text += fmt.Sprintf("; the true value keeps it with a probability of about %s", joined(trimmed(100**p, 2), "%"))
	}
	f.Flags = append(f.Flags, Flag{
		Code: FlagTooClose, Text: text + ". Take it again; tutor to see.",
		Trainee: fmt.Sprintf("The true value may lie ±\u2009%s from this, and that is too close to the limit to call. Take it again, and let your tutor see it.", spread),
	})
}

// guardWords names a guard band with its width, its limit and its reason.
func guardWords(it *brief.CompiledItem, f *Finding) string {
	return fmt.Sprintf("of %s at the limit (%s; %s)",
		joined(shorter(*f.Measured.Guard), it.Unit.Difference().String()), Limit(it.Limit).Words(f.Unit), strings.TrimSuffix(it.Guard.Because, "."))
}
