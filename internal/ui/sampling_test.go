package ui

import (
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/sampling"
	"witnessmark/internal/store"
)

// sampled is a plan with a sample that has the attempt drawn. It is put in past the application, which draws only what was judged.
func (s *site) sampled(t *testing.T) (plan, sample string) {
	t.Helper()
	ctx, by := t.Context(), s.people["manager"].Person
	n := store.SamplingPlan{ID: uuid.New(), Name: "Spring", Stage: app.Final, Share: 20, Weights: sampling.UsualWeights(), Words: "New tutors.", By: by, At: when}
	l, err := sampling.NewList([]sampling.Item{{Attempt: s.id, Stratum: sampling.Stratum{Assessor: s.people["tutor"].Person, Units: "H2", Method: "from evidence", Site: "at the centre"}, Risk: 1}})
	must(t, err)
	m := store.Sample{ID: uuid.New(), Plan: n.ID, Number: 1, Seed: strings.Repeat("0f", 16), Digest: l.Digest(), Listed: 1, Size: 1, Words: sampling.Before(1, 1), By: by, At: when}
	must(t, s.db.Write(ctx, s.centre, func(tx *store.Tx) error {
		if err := tx.AddSamplingPlan(ctx, n); err != nil {
			return err
		}
		return tx.AddSample(ctx, m, l.Items(), make([][]sampling.Factor, 1), []int{0})
	}))
	return n.ID.String(), m.ID.String()
}
