package store_test

import (
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/store"
)

// fillPortfolioSet asks for a cohort's portfolios.
func (b bench) fillPortfolioSet(t *testing.T) {
	t.Helper()
	set := store.PortfolioSet{ID: newID(t), Cohort: b.cohort, Unit: b.unit, RequestedBy: b.tutor, RequestedAt: monday}
	b.write(t, func(tx *store.Tx) error {
		return tx.AddPortfolioSet(t.Context(), set, []uuid.UUID{newID(t)}, []uuid.UUID{b.ann})
	})
}
