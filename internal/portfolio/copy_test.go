package portfolio

import (
	"testing"

	"witnessmark/internal/decision"
)

// What leaves the centre is the covered copy wherever one is called for, and the original's digest always.
func TestOnlyCoveredCopiesLeaveTheCentre(t *testing.T) {
	gone := &decision.Record{Kind: decision.KindWithdraw}
	for _, test := range []struct {
		name   string
		photos Photos
		e      Evidence
		show   Show
		shown  string
	}{
		{"as received", UploadedWithPlace, Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p"}, Original, "o"},
		{"covered", UploadedWithPlace, Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p", CoveredDigest: "c", Covers: 1}, Covered, "c"},
		{"told where it was taken", UploadedWithPlace, Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p", BareDigest: "b", CoveredDigest: "c"}, Original, "o"},
		{"without the place", Uploaded, Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p", BareDigest: "b", CoveredDigest: "c"}, Bare, "b"},
		{"without anything of the camera's", Uploaded, Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p", BareDigest: "b"}, Bare, "b"},
		{"bare digest not known, place told", Uploaded, Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p", CoveredDigest: "c"}, Covered, "c"},
		{"bare digest not known", Uploaded, Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p"}, Preview, "p"},
		{"a HEIC", Uploaded, Evidence{MediaType: mediaHEIC, Digest: "o", PreviewDigest: "p", CoveredDigest: "c"}, Covered, "c"},
		{"covered, whatever the choice", Uploaded, Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p", BareDigest: "b", CoveredDigest: "c", Covers: 1}, Covered, "c"},
		{"in inks", Uploaded, Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p", BareDigest: "b", Uncarried: true}, Preview, "p"},
		{"small", Previews, Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p", BareDigest: "b"}, Preview, "p"},
		{"small, of the covered copy", Previews, Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p", BareDigest: "b", CoveredDigest: "c", Covers: 1}, Covered, "p"},
		{"nothing small was made", Previews, Evidence{MediaType: mediaJPEG, Digest: "o", BareDigest: "b"}, Listed, ""},
		{"no choice was made", "", Evidence{MediaType: mediaJPEG, Digest: "o", PreviewDigest: "p", BareDigest: "b"}, Preview, "p"},
		{"a document", Uploaded, Evidence{MediaType: "application/pdf", Digest: "o"}, Listed, ""},
		{"a covered PNG", UploadedWithPlace, Evidence{MediaType: mediaPNG, Digest: "o", PreviewDigest: "p", CoveredDigest: "c", Covers: 2}, Covered, "c"},
		{"covers that could not be painted", UploadedWithPlace, Evidence{MediaType: mediaJPEG, Digest: "o", Covers: 1}, Listed, ""},
		{"covers over a kind that cannot be drawn", UploadedWithPlace, Evidence{MediaType: mediaHEIC, Digest: "o", Covers: 1}, Listed, ""},
		{"could not be drawn", UploadedWithPlace, Evidence{MediaType: mediaJPEG, Digest: "o", Withheld: true}, Listed, ""},
		{"withdrawn", UploadedWithPlace, Evidence{MediaType: mediaJPEG, Digest: "o", Withdrawn: gone}, Listed, ""},
		{"withdrawn, with its covered copy", UploadedWithPlace, Evidence{MediaType: mediaJPEG, Digest: "o", CoveredDigest: "c", Covers: 1, Withdrawn: gone}, Covered, "c"},
	} {
		a := assembly{photos: test.photos, seen: map[string]int{}}
		if f := a.file(test.e, Ref{}); f.Show != test.show || f.Shown != test.shown || f.Digest != "o" {
			t.Errorf("%s: shown as %d, %q with digest %q; want %d, %q", test.name, f.Show, f.Shown, f.Digest, test.show, test.shown)
		}
	}
}
