package app_test

import (
	"bytes"
	"image"
	"image/draw"
	"image/jpeg"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/codecard"
)

func TestCodeCards(t *testing.T) {
	c := newCentre(t)
	b := sample.Brief()
	it, _, ok := b.Item("before")
	if !ok || it.Photo == nil {
		t.Fatal("the sample brief has no photo “before”")
	}
	it.Photo.Card = true
	id := c.setBrief(t, b)
	ctx := t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	s, err := c.Sheet(ctx, c.trainee, id)
	must(t, err)
	if s.Card == uuid.Nil {
		t.Fatal("the attempt has no card")
	}
	for want, card := range map[string]uuid.UUID{app.CardRead: s.Card, app.CardOther: uuid.New(), app.CardNotRead: uuid.Nil} {
		e, err := c.AddFile(ctx, c.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg"}, bytes.NewReader(withCard(t, card)))
		must(t, err)
		must(t, c.MakePreview(ctx, c.id, e.ID))
		if got := c.evidence(t, e.ID).Card; got != want {
			t.Errorf("the card is %q; want %q", got, want)
		}
	}
}

// withCard is a photo with the card in it; without one for the zero id.
func withCard(t *testing.T, id uuid.UUID) []byte {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, 900, 700))
	for i := range img.Pix {
		img.Pix[i] = 200
	}
	if id != uuid.Nil {
		dots, err := codecard.Dots(id)
		must(t, err)
		for y, row := range dots {
			for x, dark := range row {
				c := image.White
				if dark {
					c = image.Black
				}
				draw.Draw(img, image.Rect(100+8*x, 100+8*y, 108+8*x, 108+8*y), c, image.Point{}, draw.Src)
			}
		}
	}
	var out bytes.Buffer
	must(t, jpeg.Encode(&out, img, nil))
	return out.Bytes()
}
