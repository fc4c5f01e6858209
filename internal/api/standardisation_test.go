package api_test

import (
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/store"
)

// questioned is the id of a decision that a ruling puts in question.
func (s *site) questioned(t *testing.T, ruling string) string {
	t.Helper()
	sheet, err := s.db.RulingSheet(t.Context(), s.centre, mustUUID(t, ruling), uuid.Nil, store.After{})
	must(t, err)
	return sheet.Rows[0].Record.String()
}

// proof is the id of a file that proves a claim of prior learning; prior is its address.
func (s *site) proof(t *testing.T, prior string) string {
	t.Helper()
	sheet, err := s.db.PriorSheet(t.Context(), s.centre, mustUUID(t, prior[strings.LastIndex(prior, "/")+1:]))
	must(t, err)
	return sheet.Files[0].ID.String()
}
