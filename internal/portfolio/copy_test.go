package portfolio

import (
	"testing"

	"witnessmark/internal/decision"
)

// What leaves the centre is the covered copy wherever one is called for, and the original's digest always.
func TestOnlyCoveredCopiesLeaveTheCentre(t *testing.T) {
	gone := &decision.Record{Kind: decision.KindWithdraw}
	for _, test := range []struct {
		name  string
		e     Evidence
		show  Show
		shown string
	}{
		{"as received", Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p"}, Original, "o"},
		{"covered", Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p", CoveredDigest: "c", Covers: 1}, Covered, "c"},
		{"told where it was taken", Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p", CoveredDigest: "c"}, Covered, "c"},
		{"a covered PNG", Evidence{MediaType: mediaPNG, Digest: "o", PreviewDigest: "p", CoveredDigest: "c", Covers: 2}, Covered, "c"},
		{"covers that could not be painted", Evidence{MediaType: mediaJPEG, Digest: "o", Covers: 1}, Listed, ""},
		{"covers over a kind that cannot be drawn", Evidence{MediaType: mediaHEIC, Digest: "o", Covers: 1}, Listed, ""},
		{"could not be drawn", Evidence{MediaType: mediaJPEG, Digest: "o", Withheld: true}, Listed, ""},
		{"withdrawn", Evidence{MediaType: mediaJPEG, Digest: "o", Withdrawn: gone}, Listed, ""},
		{"withdrawn, with its covered copy", Evidence{MediaType: mediaJPEG, Digest: "o", CoveredDigest: "c", Covers: 1, Withdrawn: gone}, Covered, "c"},
	} {
		a := assembly{seen: map[string]int{}}
		if f := a.file(test.e, Ref{}); f.Show != test.show || f.Shown != test.shown || f.Digest != "o" {
			t.Errorf("%s: shown as %d, %q with digest %q; want %d, %q", test.name, f.Show, f.Shown, f.Digest, test.show, test.shown)
		}
	}
}
