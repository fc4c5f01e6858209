package app_test

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/heif"
	"witnessmark/internal/heif/heiftest"
	"witnessmark/internal/photo"
	"witnessmark/internal/store"
)

// drawsHEIC gives the centre the system's decoder, which `make test` installs.
func (c *centre) drawsHEIC(t *testing.T) {
	t.Helper()
	d, err := heif.Find()
	if err != nil {
		t.Fatalf("%v: install %s", err, heif.Packages)
	}
	c.App = c.WithHEIC(d)
}

// drawsBy gives it a script as its decoder.
func (c *centre) drawsBy(t *testing.T, wall time.Duration, script string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "heif-double")
	must(t, os.WriteFile(path, []byte("#!/bin/sh\n"+script+"\n"), 0o700))
	d, err := heif.New(path, wall)
	must(t, err)
	c.App = c.WithHEIC(d)
}

// privately opens an attempt on a private site.
func (c *centre) privately(t *testing.T) uuid.UUID {
	t.Helper()
	id := c.set(t)
	must(t, c.OpenAttemptOn(t.Context(), c.trainee, id, true, true, &app.PrivateSite{Code: "mill-04", Householder: "Tess, the tutor"}))
	return id
}

// heic sends a HEIC, with covers over it.
func (c *centre) heic(t *testing.T, attempt uuid.UUID, content []byte, covers ...store.Cover) store.Evidence {
	t.Helper()
	e, err := c.AddFile(t.Context(), c.trainee, attempt, app.NewFile{ID: newID(t), Item: "before", Name: "loft.heic", Covers: covers}, bytes.NewReader(content))
	must(t, err)
	return e
}

// everybodySees opens what people get of a file, small and whole, and holds the pictures against what must be seen.
func (c *centre) everybodySees(t *testing.T, id uuid.UUID, check func(who string, img image.Image)) {
	t.Helper()
	for _, who := range []account.Caller{c.trainee, c.tutor, c.manager} {
		for _, preview := range []bool{false, true} {
			f, err := c.OpenFile(t.Context(), who, id, preview)
			b := read(t, f, err)
			img, err := jpeg.Decode(bytes.NewReader(b))
			must(t, err)
			if info, err := photo.Check(bytes.NewReader(b), int64(len(b))); err != nil || info.HasLocation || info.Make != "" || info.Orientation != 1 {
				t.Errorf("%s is shown a copy that says %+v (%v)", who.Name, info, err)
			}
			check(who.Name, img)
		}
	}
}

// A HEIC is shown as a JPEG, the right way up, whichever way its camera was held, and a tutor may ask for the original.
func TestHEICIsShown(t *testing.T) {
	for name, content := range map[string][]byte{"upright": heiftest.Upright, "turned": heiftest.Turned} {
		t.Run(name, func(t *testing.T) {
			c := newCentre(t)
			c.drawsHEIC(t)
			e := c.heic(t, c.privately(t), content)
			for range 2 {
				must(t, c.MakePreview(t.Context(), c.id, e.ID))
			}
			c.everybodySees(t, e.ID, func(who string, img image.Image) {
				if size := img.Bounds().Size(); size != image.Pt(heiftest.Width, heiftest.Height) {
					t.Errorf("%s is shown %v pixels", who, size)
				}
				if at, got, differs := heiftest.Differs(img, 16); differs {
					t.Errorf("%s is shown %v at %.2f, %.2f, want %v", who, got, at.X, at.Y, at.Colour)
				}
			})
			f, err := c.OpenOriginal(t.Context(), c.tutor, e.ID)
			if !bytes.Equal(read(t, f, err), content) {
				t.Error("the original is not what was sent")
			}
			now := c.evidence(t, e.ID)
			if now.MediaType != "image/heic" || now.Width != heiftest.Width || now.Height != heiftest.Height || now.Orientation != 1 || !now.TakenAt.Equal(heiftest.TakenAt) {
				t.Errorf("the row says %+v", now)
			}
		})
	}
}

// Until the covered copy of a HEIC is made nobody is shown it; the copy has the covers where they were laid on the upright
// picture.
func TestCoversOverHEIC(t *testing.T) {
	c := newCentre(t)
	c.drawsHEIC(t)
	e := c.heic(t, c.privately(t), heiftest.Turned, store.Cover{X: 0, Y: 0, W: 1, H: 0.5})
	c.neverShown(t, e.ID)
	must(t, c.MakePreview(t.Context(), c.id, e.ID))
	c.everybodySees(t, e.ID, func(who string, img image.Image) {
		for _, p := range heiftest.Points {
			r, g, b, _ := img.At(int(p.X*heiftest.Width), int(p.Y*heiftest.Height)).RGBA()
			dark := r>>8 < 60 && g>>8 < 60 && b>>8 < 60
			if dark != (p.Y < 0.5) {
				t.Errorf("%s at %.2f, %.2f is shown %v", who, p.X, p.Y, color.RGBA{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8), 255})
			}
		}
	})
}

// neverShown asks for a file in every way that people have, and wants it refused.
func (c *centre) neverShown(t *testing.T, id uuid.UUID) {
	t.Helper()
	for _, who := range []account.Caller{c.trainee, c.tutor, c.manager} {
		for _, preview := range []bool{false, true} {
			_, err := c.OpenFile(t.Context(), who, id, preview)
			wantKind(t, who.Name+" looks under the covers", err, fault.KindConflict)
		}
	}
}

// Where nothing draws a HEIC, or what does fails on it, it is kept as it came and its job is done; under covers it is never
// shown.
func TestHEICThatIsNotDrawn(t *testing.T) {
	cover := store.Cover{X: 0, Y: 0, W: 0.5, H: 1}
	sized := bytes.Replace(heiftest.Upright, []byte("\x00\x00\x00\xf0\x00\x00\x00\xa0"), []byte("\x00\x00\xea\x60\x00\x00\xea\x60"), 1)
	if bytes.Equal(sized, heiftest.Upright) {
		t.Fatal("the picture's size is not where it was looked for")
	}
	for name, tt := range map[string]struct {
		content []byte
		set     func(*centre)
	}{
		"no decoder":                     {heiftest.Upright, func(*centre) {}},
		"it hangs":                       {heiftest.Upright, func(c *centre) { c.drawsBy(t, 50*time.Millisecond, "sleep 3600") }},
		"it draws another picture":       {heiftest.Upright, func(c *centre) { c.drawsBy(t, time.Minute, "cp "+another(t)+" out.jpg") }},
		"it draws what is no picture":    {heiftest.Upright, func(c *centre) { c.drawsBy(t, time.Minute, "echo x > out.jpg") }},
		"it says 60,000 × 60,000 pixels": {sized, func(c *centre) { c.drawsBy(t, time.Minute, "cp "+another(t)+" out.jpg") }},
		"cut":                            {heiftest.Upright[:700], func(c *centre) { c.drawsHEIC(t) }},
	} {
		t.Run(name, func(t *testing.T) {
			c := newCentre(t)
			tt.set(c)
			id := c.privately(t)
			plain, covered := c.heic(t, id, tt.content), c.heic(t, id, tt.content, cover)
			for _, e := range []store.Evidence{plain, covered} {
				must(t, c.MakePreview(t.Context(), c.id, e.ID))
				if now := c.evidence(t, e.ID); now.PreviewDigest != "" || now.CoveredDigest != "" {
					t.Errorf("it has a copy: %+v", now)
				}
			}
			f, err := c.OpenFile(t.Context(), c.tutor, plain.ID, true)
			if !bytes.Equal(read(t, f, err), tt.content) || f.Type != "image/heic" {
				t.Errorf("got %s, want the HEIC as it came", f.Type)
			}
			c.neverShown(t, covered.ID)
		})
	}
}

// another is a sound picture of another size than those of heiftest.
func another(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "another.jpg")
	must(t, os.WriteFile(path, picture(t, 1), 0o600))
	return path
}

// Trouble of the machine is an error, which runs the job again.
func TestHEICIsTriedAgainAfterTrouble(t *testing.T) {
	c := newCentre(t)
	c.drawsHEIC(t)
	e := c.heic(t, c.privately(t), heiftest.Upright)
	stopped, cancel := context.WithCancel(t.Context())
	cancel()
	if err := c.MakePreview(stopped, c.id, e.ID); err == nil {
		t.Error("a job that was stopped counts as done")
	}
	t.Setenv("TMPDIR", filepath.Join(t.TempDir(), "not there"))
	if err := c.MakePreview(t.Context(), c.id, e.ID); err == nil {
		t.Error("without room for the picture the job counts as done")
	}
}
