// Package pdf draws a portfolio: it lays a Document, which is plain data, out
// on A4 pages and hands them to its own streaming writer.
//
// A document is laid out more than once with the same code: passes that only
// measure, until every page number that the text quotes is known, and one
// that writes. Pictures are opened in the writing pass alone, one after the
// other, and copied through as they are. The same document always gives the
// same bytes.
//
// Measures inside the package are points (1/72 inch), with y growing down
// from the top of the page.
package pdf

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/go-fonts/dejavu/dejavusans"
	"github.com/go-fonts/dejavu/dejavusansbold"
	"github.com/go-fonts/dejavu/dejavusansmono"
	"github.com/go-fonts/dejavu/dejavusansoblique"

	"witnessmark/internal/pdf/typeface"
	"witnessmark/internal/pdf/writer"
)

// Document is everything a file says, in reading order.
type Document struct {
	Title, Author, Subject string
	Language               string    // such as en-GB
	Created                time.Time // written into the file as given
	HeadLeft, HeadRight    string    // running head: the trainee, the unit
	Foot                   string    // running foot, left; the right is "Page x of y"
	Blocks                 []Block
	Attachments            []Attachment
	Sign                   *Signing // nil: the file is not signed
}

// Attachment is a file inside the file.
type Attachment = writer.Attachment

// Signing is what a file is signed with.
type Signing = writer.Signing

// Block is one piece of a document; the types of this package whose name says
// so are all there are.
type Block interface {
	// least is the height below which the block should not start on a page.
	least(f *flow) float64
	// place sets the block down at f.y and moves f.y below it.
	place(f *flow)
}

// Report is what Draw has to tell about a file it wrote.
type Report struct {
	Pages    int
	Missing  []rune   // runes that no embedded face has; they show as a sign
	Unjoined []rune   // runes of scripts whose letters join; they show one by one
	NotShown []string // labels of pictures that a PDF cannot carry as they are
}

// Carries reads the head of a picture and says whether a document can show it
// as it is; the error tells why not.
func Carries(r io.Reader) error { return writer.Carries(r) }

// Draw writes d to w. An error from a picture's Open or from w stops it and
// is returned wrapped, as is ctx's; so is a reference to an anchor that no
// block sets, before anything is written. A picture that is no JPEG is
// named in the report and a sentence stands in its place.
func Draw(ctx context.Context, w io.Writer, d Document) (Report, error) {
	faces, err := parseFaces()
	if err != nil {
		return Report{}, err
	}
	known, shared := index{}, newMemory(faces)
	for {
		m := newFlow(ctx, d, shared, known)
		m.run()
		if m.err != nil {
			return Report{}, fmt.Errorf("lay out %q: %w", d.Title, m.err)
		}
		if err := m.unresolved(); err != nil {
			return Report{}, fmt.Errorf("lay out %q: %w", d.Title, err)
		}
		if !known.learn(m) {
			break
		}
	}
	f := newFlow(ctx, d, shared, known)
	f.file = writer.New(w, writer.Meta{Title: d.Title, Author: d.Author, Subject: d.Subject,
		Language: d.Language, Producer: "Witnessmark", Created: d.Created})
	for i, face := range faces {
		f.fonts[i] = f.file.AddFont(face)
	}
	if d.Sign != nil {
		f.file.SetSigning(*d.Sign)
	}
	for _, a := range d.Attachments {
		f.file.Attach(a)
	}
	f.run()
	if err := errors.Join(f.err, f.file.Close()); err != nil {
		return Report{}, fmt.Errorf("draw %q: %w", d.Title, err)
	}
	return Report{Pages: f.number, Missing: slices.Sorted(maps.Keys(f.lacking)), Unjoined: slices.Sorted(maps.Keys(f.unjoined)), NotShown: f.notShown}, nil
}

// The faces, by the place they have in flow.faces.
const (
	sans = iota
	bold
	mono
	oblique // names in formulas
	faceCount
)

func parseFaces() ([faceCount]*typeface.Face, error) {
	var faces [faceCount]*typeface.Face
	for i, data := range [faceCount][]byte{dejavusans.TTF, dejavusansbold.TTF, dejavusansmono.TTF, dejavusansoblique.TTF} {
		face, err := typeface.Parse(data)
		if err != nil {
			return faces, fmt.Errorf("read embedded face: %w", err)
		}
		faces[i] = face
	}
	return faces, nil
}

// index is what one pass leaves for the next: the page of each anchor, how
// many digits are kept free for it, the number of pages, and the signs that
// cannot be shown or not as they are written.
type index struct {
	pages             map[string]int
	digits            map[string]int
	total             int
	lacking, unjoined []rune
}

// learn takes over what a pass found and tells whether anything changed. The
// layout depends on the digits and the signs alone; the first only ever grow and
// the second are the same in all passes, so that passes come to an end.
func (x *index) learn(m *flow) bool {
	found, total := m.found, m.number
	lacking, unjoined := slices.Sorted(maps.Keys(m.lacking)), slices.Sorted(maps.Keys(m.unjoined))
	if x.total == total && maps.Equal(x.pages, found) && slices.Equal(x.lacking, lacking) && slices.Equal(x.unjoined, unjoined) {
		return false
	}
	x.lacking, x.unjoined = lacking, unjoined
	if x.digits == nil {
		x.digits = map[string]int{}
	}
	for anchor, page := range found {
		x.digits[anchor] = max(x.digits[anchor], len(fmt.Sprint(page)))
	}
	x.pages, x.total = found, total
	return true
}

// page is the number to print for an anchor, padded with figure spaces to the
// digits kept free for it.
func (x *index) page(anchor string) string {
	n, ok := x.pages[anchor]
	if !ok {
		return "0"
	}
	s := fmt.Sprint(n)
	return strings.Repeat("\u2007", max(0, x.digits[anchor]-len(s))) + s
}

// unresolved names the anchors that are quoted and never set.
func (f *flow) unresolved() error {
	var lost []string
	for anchor := range f.quoted {
		if _, ok := f.found[anchor]; !ok {
			lost = append(lost, anchor)
		}
	}
	if len(lost) == 0 {
		return nil
	}
	slices.Sort(lost)
	return fmt.Errorf("nothing stands at %s", strings.Join(lost, ", "))
}
