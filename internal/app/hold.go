package app

import (
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// ordering puts what was captured for an attempt and the releases of its hold points in their order.
type ordering struct {
	job    store.JobSheet
	brief  *brief.Brief
	passed map[string]bool          // stages, as decision.Behind has them
	behind map[string]decision.Hold // by item, as they were asked for
}

func orderOf(j store.JobSheet, b *brief.Brief) *ordering {
	o := &ordering{job: j, brief: b, behind: map[string]decision.Hold{}}
	o.passed = o.carriedStages()
	return o
}

// hold is the hold point that an item stands behind.
func (o *ordering) hold(item string) decision.Hold {
	h, ok := o.behind[item]
	if !ok {
		h = decision.Behind(o.brief, item, o.job.Records, o.passed)
		o.behind[item] = h
	}
	return h
}

// of is the order of something captured for an item, and the hold point that is meant; "" without a hold point, and for what was carried
// over, whose order was looked at where it was judged.
func (o *ordering) of(item string, captured decision.Moment, received time.Time) (decision.Order, decision.Hold) {
	h := o.hold(item)
	if h.Stage == nil || o.carried(received) {
		return "", decision.Hold{}
	}
	return decision.OrderOf(captured, received, decision.ReleasedAt(h.Release)), h
}

// carried says whether something was carried over from an earlier attempt: it was received before this one was opened.
func (o *ordering) carried(received time.Time) bool {
	opened := o.job.Attempt.OpenedAt
	return o.job.Attempt.CarriedFrom != uuid.Nil && (opened.IsZero() || received.Before(opened))
}

// carriedStages are the stages all of whose work was carried over: nothing is to be done there again, and so nobody releases it again.
func (o *ordering) carriedStages() map[string]bool {
	if o.job.Attempt.CarriedFrom == uuid.Nil {
		return nil
	}
	there := map[string]bool{}
	for _, e := range o.job.Entries {
		there[e.Item] = there[e.Item] || o.carried(e.ReceivedAt)
	}
	for _, e := range o.job.Evidence {
		there[e.Item] = there[e.Item] || o.carried(e.ReceivedAt)
	}
	passed := map[string]bool{}
	for _, st := range o.brief.Stages {
		some, whole := false, true
		for i := range st.Items {
			it := &st.Items[i]
			some, whole = some || there[it.Key], whole && (there[it.Key] || it.Optional)
		}
		passed[st.Key] = some && whole
	}
	return passed
}
