package decision

import (
	"slices"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
)

// shownBlind are the records that say what was done and seen, and nothing of how it was judged.
var shownBlind = []Kind{
	KindHoldRelease, KindCheckReading, KindSafetyStop, KindClearStop, KindWithdraw, KindTakeIn, KindGoOnWithout, KindMarkAgain, KindCorrected,
	KindObservation, KindOral, KindAdjustment,
}

// Blind leaves of an attempt's records those that whoever judges it afresh, for comparison, may see.
func Blind(records []Record) []Record {
	var out []Record
	for _, r := range records {
		if slices.Contains(shownBlind, r.Kind) {
			out = append(out, r)
		}
	}
	return out
}

// CheckBlind refuses what one person says of a whole attempt where a criterion has no outcome, where not yet met has no reason or
// words, and where met goes against what the marker found (blocked, by criterion) without words: nobody judges a line
// themselves here.
func CheckBlind(b *brief.Brief, js []Judgement, blocked func(criterion string) []string) error {
	var faults []fault.Field
	said := map[string]bool{}
	for _, j := range js {
		if said[j.Criterion] {
			return fault.Invalid("criterion", "Criterion %s is there twice.", j.Criterion)
		}
		said[j.Criterion] = true
		if err := CheckJudgement(b, j, nil); err != nil {
			f, ok := fault.As(err)
			if !ok || len(f.Fields) == 0 {
				return err
			}
			faults = append(faults, fault.Field{Name: f.Fields[0].Name + ":" + j.Criterion, Message: j.Criterion + ": " + f.Fields[0].Message})
			continue
		}
		if j.Outcome == Met && strings.TrimSpace(j.Words) == "" && len(blocked(j.Criterion)) > 0 {
			faults = append(faults, fault.Field{Name: "words:" + j.Criterion, Message: j.Criterion + ": Say why it is met against what the marker found."})
		}
	}
	for _, ref := range b.CriterionRefs() {
		if !said[ref] {
			faults = append(faults, fault.Field{Name: "outcome:" + ref, Message: ref + ": Choose met or not yet met."})
		}
	}
	if len(faults) > 0 {
		return fault.InvalidFields(faults)
	}
	return nil
}
