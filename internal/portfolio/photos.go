package portfolio

// Photos says how photos stand in a centre's portfolios: the centre's choice.
type Photos string

// The ways. What covers lie over is shown by its covered copy whatever the choice.
const (
	Previews          Photos = "previews"            // small upright pictures, so that the file can be sent by e-mail
	Uploaded          Photos = "uploaded"            // every pixel as it came, without what the camera wrote beside the picture, such as the place
	UploadedWithPlace Photos = "uploaded_with_place" // byte for byte as they came
)

// Choices lists the ways, the usual one first.
func Choices() []Photos { return []Photos{Previews, Uploaded, UploadedWithPlace} }

// Words says what a choice is.
func (p Photos) Words() string {
	switch p {
	case Previews:
		return "as previews, so that the file can be sent by e-mail"
	case Uploaded:
		return "as they were uploaded, without the place and what else the camera wrote beside the picture"
	case UploadedWithPlace:
		return "as they were uploaded, with the place where the camera wrote it"
	}
	return string(p)
}

// Stays says that nothing of a file leaves the centre. On a private site that is everything but the copies, without what the camera
// wrote, of photos that somebody looked at for what has to be covered.
func (e Evidence) Stays() bool {
	return e.Private && (!e.LookedOver || e.CoveredDigest == "")
}

// show says how a file is shown, and the digest of what is. Only JPEG originals can stand in the document as they are, none for which
// a covered copy stands in, or should, and none in inks or of a coding that a file for the archive cannot carry: such a picture is
// shown by its preview. A copy is shown small where the choice is previews, which are drawn from the copy then.
func (p Photos) show(e Evidence) (Show, string) {
	small := p != Uploaded && p != UploadedWithPlace
	whole := !small && e.MediaType == mediaJPEG && !e.Uncarried && e.Withdrawn == nil && e.Covers == 0 && !e.Withheld && !e.Private
	switch {
	case e.Stays():
		return Listed, ""
	case whole && p == UploadedWithPlace:
		return Original, e.Digest
	case whole && e.BareDigest != "":
		return Bare, e.BareDigest
	case e.CoveredDigest != "" && small && e.PreviewDigest != "":
		return Covered, e.PreviewDigest
	case e.CoveredDigest != "":
		return Covered, e.CoveredDigest
	case e.Withdrawn != nil, e.Withheld, e.Covers > 0, !picture(e.MediaType), e.PreviewDigest == "":
		return Listed, ""
	}
	return Preview, e.PreviewDigest
}
