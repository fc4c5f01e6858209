package pdf

import (
	"fmt"
	"io"
	"strings"

	"witnessmark/internal/decision"
	"witnessmark/internal/portfolio"
)

// pictures are an item's files: photos over their captions, the rest as a list.
func (p *sheets) pictures(files []portfolio.File) []Block {
	var bs []Block
	var figures []Figure
	var listed []portfolio.File
	for i := range files {
		if f := &files[i]; f.Show == portfolio.Listed {
			listed = append(listed, *f)
		} else {
			figures = append(figures, p.photo(f))
		}
	}
	switch len(figures) {
	case 0:
	case 1:
		bs = append(bs, figures[0])
	default:
		bs = append(bs, Gallery{Figures: figures})
	}
	if len(listed) > 0 {
		bs = append(bs, p.fileTable(listed))
	}
	return bs
}

// photo is a picture, upright and whole, with its caption, its clocks and the start of its digest.
func (p *sheets) photo(f *portfolio.File) Figure {
	orientation := f.Orientation
	wide, high := f.Width, f.Height
	if f.Show == portfolio.Preview || f.Show == portfolio.Covered {
		if orientation >= 5 && orientation <= 8 { // the copy stands upright already
			wide, high = high, wide
		}
		orientation = 1
	}
	digest := f.Shown
	fig := Figure{
		Label: fmt.Sprintf("Photo %d", f.Number), Caption: Plain(f.Caption), Anchor: f.Anchor, Notes: p.photoNotes(f),
		Picture: &Picture{Key: digest, Wide: wide, High: high, Orientation: orientation,
			Open: func() (io.ReadCloser, error) {
				r, err := p.open(digest)
				if err != nil {
					return nil, fmt.Errorf("%s (SHA-256 %s): %w", f.Name, digest, err)
				}
				return r, nil
			}},
	}
	fig.Alt = fmt.Sprintf("Photo %d: %s", f.Number, f.Caption)
	if strings.TrimSpace(f.Caption) == "" {
		fig.Caption = Quiet("no caption")
		fig.Alt = fmt.Sprintf("Photo %d for %s, without a caption", f.Number, f.Where.Title)
	}
	return fig
}

func (p *sheets) photoNotes(f *portfolio.File) Text {
	t := p.photoTimes(f)
	t = Join(t, Plain(fmt.Sprintf("\n%s, %s, %d × %d pixels", orDash(f.Name), size(f.Size), f.Width, f.Height)))
	if f.Show == portfolio.Preview {
		t = Join(t, Plain("\n"+previewed(f)))
	}
	if f.Show == portfolio.Covered {
		t = Join(t, Plain("\n"+copied(f)+" Its SHA-256 "), Text{{Text: first16(f.Shown), Mono: true, To: "files"}}, Plain("…"))
	}
	if f.Show == portfolio.Bare {
		t = Join(t, Plain("\n"+bared))
	}
	t = Join(t, p.withdrawn(f), Plain(card(f.Card)))
	return Join(t, Plain("\nSHA-256"+ofOriginal(f)+" "), Text{{Text: first16(f.Digest), Mono: true, To: "files"}}, Plain("…"+same(f)))
}

// previewed says why a preview stands in for an original.
func previewed(f *portfolio.File) string {
	switch {
	case f.Uncarried:
		return "Shown is a JPEG preview; the original's colours or its coding are of a kind that a file for the archive cannot carry."
	case f.MediaType == "image/jpeg":
		return "Shown is a smaller preview of the original."
	}
	return "Shown is a JPEG preview; the original is a " + kind(f.MediaType) + " file."
}

// bared says what an original is shown without.
const bared = "Shown is every pixel of the original, without what the camera wrote beside them, such as the place."

// copied says what stands in for an original.
func copied(f *portfolio.File) string {
	if f.Covers == 0 && f.MediaType == "image/heic" {
		return "Shown is a JPEG copy; the original is a HEIC file, which cannot be shown on paper as it is."
	}
	if f.Covers == 0 && f.Private {
		return "Shown is a copy without what the camera wrote into the file: it was taken on a private site, and nothing in it had to be covered."
	}
	if f.Covers == 0 {
		return "Shown is a copy without what the camera wrote into the file, which tells where it was taken."
	}
	return fmt.Sprintf("Shown is a copy with %s covered over, so that nobody's privacy leaves the centre.", counted(f.Covers, "part"))
}

func ofOriginal(f *portfolio.File) string {
	if f.Show != portfolio.Original && f.Show != portfolio.Listed {
		return " of the original"
	}
	return ""
}

// withdrawn says who took an original away, and why; nothing where it is kept.
func (p *sheets) withdrawn(f *portfolio.File) Text {
	w := f.Withdrawn
	if w == nil {
		return nil
	}
	return Join(Plain("\n"), Strong("The original was withdrawn"), Plain(fmt.Sprintf(" by %s on %s; its digest stays. “%s”", orDash(w.ByName), p.minute(w.At), w.Words)))
}

// card says what was read of the code card in a photo; "" where it was not looked for.
func card(read string) string {
	switch read {
	case "read":
		return "\nThis attempt's code card was read in it."
	case "other":
		return "\nThe code card of another attempt was read in it."
	case "not_read":
		return "\nNo code card was read in it, which proves nothing."
	}
	return ""
}

// early says that something was captured before the hold point that it stands behind was released, or is not proved to be from after
// it; of is the number of the stage whose hold point is meant, where that is an earlier one, and 0 else.
func early(o decision.Order, of int) Text {
	point := "the hold point"
	if of > 0 {
		point = fmt.Sprintf("the hold point of stage %d", of)
	}
	switch o {
	case decision.Before:
		return Text{{Text: "Captured before " + point + " was released.\n", Bold: true, Tone: Wrong}}
	case decision.NotProved:
		return Text{{Text: "Not proved that it was captured after " + point + " was released.\n", Bold: true}}
	}
	return nil
}

// photoTimes are the clocks of a photo: the phone's, the server's and, where the picture states it, the camera's.
func (p *sheets) photoTimes(f *portfolio.File) Text {
	phone := "On the phone " + p.second(f.DeviceAt)
	if f.DeviceAt.IsZero() {
		phone = "Time on the phone not known"
	}
	return Join(early(f.Order, f.HoldOf), Plain(phone+"\nReceived "+p.second(f.ReceivedAt)), p.camera(f))
}

// camera is the camera's own time and who added the file, where that is not the trainee.
func (p *sheets) camera(f *portfolio.File) Text {
	var t Text
	switch {
	case f.TakenAt.IsZero():
	case f.TakenZoned:
		t = Plain("\nTaken by the camera's clock " + p.second(f.TakenAt))
	default: // a wall clock, kept as if in UTC
		t = Plain("\nTaken by the camera's clock " + f.TakenAt.UTC().Format("2 January 2006 15:04:05") + ", zone not stated")
	}
	if f.By != "" && f.By != p.d.Trainee {
		t = Join(t, Plain("\nBy "+f.By))
	}
	return t
}

func first16(digest string) string { return digest[:min(16, len(digest))] }

// fileTable lists files that are not shown.
func (p *sheets) fileTable(files []portfolio.File) Table {
	t := Table{Caption: "Kept as files", Columns: []Column{{Title: "File", Fixed: 40}, {Title: "Name, kind and caption", Share: 1}, {Title: "Phone and received", Fixed: 138}, {Title: "SHA-256", Fixed: 104}}}
	for i := range files {
		f := &files[i]
		what := Join(Strong(orDash(f.Name)), Quiet(fmt.Sprintf("\n%s, %s%s", kind(f.MediaType), size(f.Size), same(f))))
		if strings.TrimSpace(f.Caption) != "" {
			what = Join(what, Plain("\n"+f.Caption))
		}
		what = Join(what, p.withdrawn(f), Quiet(card(f.Card)))
		switch {
		case f.Withdrawn != nil:
		case unlooked(f):
			what = Join(what, Quiet("\nIt was taken on a private site, and nobody has said yet what is to be covered; until then it stays in the centre."))
		case f.Covers > 0:
			what = Join(what, Quiet("\nParts of this picture are to be covered, and it cannot be drawn; the original stays in the centre."))
		case f.Picture():
			what = Join(what, Quiet("\nA picture of this kind cannot be shown here as it is; the original is kept with the evidence."))
		}
		t.Rows = append(t.Rows, Row{Anchor: f.Anchor, Cells: []Cell{{Text: Plain(fmt.Sprint(f.Number))}, {Text: what}, {Text: Join(early(f.Order, f.HoldOf), p.clocks(f.DeviceAt, f.ReceivedAt), p.camera(f))},
			{Text: Join(Text{{Text: first16(f.Digest), Mono: true, To: "files"}}, Plain("…"))}}})
	}
	return t
}

// kind is a media type as people call it.
func kind(media string) string {
	switch media {
	case "image/jpeg":
		return "JPEG"
	case "image/png":
		return "PNG"
	case "image/heic":
		return "HEIC"
	case "application/pdf":
		return "PDF"
	}
	return orDash(media)
}
