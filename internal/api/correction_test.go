package api_test

import (
	"net/http"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// secondVersion publishes a second version of the site's brief, in which one tolerance is wider.
func (s *site) secondVersion(t *testing.T) {
	t.Helper()
	b := sample.Brief()
	it, _, _ := b.Item("heat")
	it.Figure.Tolerance.Relative = "4 %"
	src, err := brief.Print(b)
	must(t, err)
	tutor := s.people["teaches"]
	tutor.json(t, "POST", "/api/briefs", body{"source": string(src), "over": s.digest}).want(t, http.StatusOK)
	at := strings.TrimSuffix(s.path("/api/briefs/{brief}/versions/2"), "/")
	tutor.json(t, "POST", at+"/ask", body{"digest": brief.Digest(src)}).want(t, http.StatusNoContent)
	s.people["elsewhere"].json(t, "POST", at+"/publish", body{"digest": brief.Digest(src)}).want(t, http.StatusNoContent)
}
