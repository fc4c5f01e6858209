package app_test

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"image/jpeg"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/photo"
	"witnessmark/internal/store"
)

// located is a picture that tells where it was taken.
func located(t *testing.T, n int) []byte {
	t.Helper()
	b, err := photo.WithEXIF(picture(t, n), photo.EXIF{Make: "Phonemaker", GPS: &photo.GPS{Latitude: 53.4794, Longitude: -2.2453}})
	must(t, err)
	return b
}

// forgetting does the jobs that take bytes away, as the queue would.
func (c *centre) forgetting(t *testing.T) {
	t.Helper()
	db, err := sql.Open("pgx", c.super)
	must(t, err)
	defer db.Close()
	rows, err := db.QueryContext(t.Context(), `SELECT args FROM river.river_job WHERE kind = 'forget' ORDER BY id`)
	must(t, err)
	defer rows.Close()
	for rows.Next() {
		var raw []byte
		var args store.ForgetArgs
		must(t, rows.Scan(&raw))
		must(t, json.Unmarshal(raw, &args))
		for range 2 { // a job may run twice
			must(t, c.ForgetBytes(t.Context(), args.Centre, args.Digests))
		}
	}
	must(t, rows.Err())
}

// holds says whether the folder has the bytes.
func (c *centre) holds(t *testing.T, digest string) bool {
	t.Helper()
	_, err := os.Stat(filepath.Join(c.dir, digest[:2], digest[2:4], digest))
	if !errors.Is(err, fs.ErrNotExist) {
		must(t, err)
	}
	return err == nil
}

func (c *centre) evidence(t *testing.T, id uuid.UUID) store.Evidence {
	t.Helper()
	e, err := c.db.Evidence(t.Context(), c.id, id)
	must(t, err)
	return e
}

// read is all that somebody gets of a file.
func read(t *testing.T, f app.File, err error) []byte {
	t.Helper()
	must(t, err)
	b, err := io.ReadAll(f.Content)
	must(t, err)
	must(t, f.Content.Close())
	return b
}

// onSite opens an attempt on a private site and sends a photo with its left half covered.
func (c *centre) onSite(t *testing.T) (attempt uuid.UUID, e store.Evidence, original []byte) {
	t.Helper()
	ctx := t.Context()
	attempt = c.set(t)
	must(t, c.OpenAttemptOn(ctx, c.trainee, attempt, true, true, &app.PrivateSite{Code: "mill-04", Householder: "Tess, the tutor"}))
	original = located(t, 1)
	e, err := c.AddFile(ctx, c.trainee, attempt, app.NewFile{
		ID: newID(t), Item: "before", Name: "loft.jpg", Covers: []store.Cover{{X: 0, Y: 0, W: 0.5, H: 1}},
	}, bytes.NewReader(original))
	must(t, err)
	return attempt, e, original
}

func TestPrivateSites(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx := t.Context()
	for _, test := range []struct {
		name string
		site app.PrivateSite
		want string // the field
	}{
		{"no code", app.PrivateSite{Householder: "Tess"}, "site"},
		{"an address", app.PrivateSite{Code: "14 Mill Lane", Householder: "Tess"}, "site"},
		{"too long", app.PrivateSite{Code: strings.Repeat("A", 25), Householder: "Tess"}, "site"},
		{"a hyphen at its end", app.PrivateSite{Code: "MILL-", Householder: "Tess"}, "site"},
		{"a line more", app.PrivateSite{Code: "MILL\n4", Householder: "Tess"}, "site"},
		{"nobody told", app.PrivateSite{Code: "MILL-04", Householder: "  "}, "householder"},
		{"a novel", app.PrivateSite{Code: "MILL-04", Householder: strings.Repeat("a", 121)}, "householder"},
	} {
		f, ok := fault.As(c.OpenAttemptOn(ctx, c.trainee, id, true, true, &test.site))
		if !ok || len(f.Fields) != 1 || f.Fields[0].Name != test.want {
			t.Errorf("%s: %v; want what to mend at %s", test.name, f, test.want)
		}
	}
	must(t, c.OpenAttemptOn(ctx, c.trainee, id, true, true, &app.PrivateSite{Code: " mill-04", Householder: "Tess, the tutor "}))
	if s, err := c.Sheet(ctx, c.tutor, id); err != nil || s.Site != "MILL-04" || s.Householder != "Tess, the tutor" || s.State != decision.Open {
		t.Errorf("the sheet says %q, %q, %s (%v)", s.Site, s.Householder, s.State, err)
	}
}

// Until the covered copy is made nobody is shown the photo, then everybody is shown the copy; a tutor may ask for the original.
func TestCoveredPhotos(t *testing.T) {
	c := newCentre(t)
	_, e, original := c.onSite(t)
	ctx := t.Context()
	for _, preview := range []bool{false, true} {
		_, err := c.OpenFile(ctx, c.tutor, e.ID, preview)
		wantKind(t, "before the copy is made", err, fault.KindConflict)
	}
	for range 2 {
		must(t, c.MakePreview(ctx, c.id, e.ID))
	}
	for _, who := range []account.Caller{c.trainee, c.tutor, c.manager} {
		for _, preview := range []bool{false, true} {
			f, err := c.OpenFile(ctx, who, e.ID, preview)
			b := read(t, f, err)
			img, err := jpeg.Decode(bytes.NewReader(b))
			must(t, err)
			if r, g, bl, _ := img.At(img.Bounds().Dx()/4, img.Bounds().Dy()/2).RGBA(); r>>8 > 60 || g>>8 > 60 || bl>>8 > 60 {
				t.Errorf("%s is shown what lies under the cover (preview %v)", who.Name, preview)
			}
			info, err := photo.Check(bytes.NewReader(b), int64(len(b)))
			if err != nil || info.HasLocation || info.Make != "" {
				t.Errorf("%s is shown a copy that says %+v (%v)", who.Name, info, err)
			}
		}
	}
	f, err := c.OpenOriginal(ctx, c.tutor, e.ID)
	if !bytes.Equal(read(t, f, err), original) {
		t.Error("the original is not what was sent")
	}
	_, err = c.OpenOriginal(ctx, c.trainee, e.ID)
	wantKind(t, "the trainee asks for the original", err, fault.KindForbidden)
	_, err = c.OpenOriginal(ctx, c.other, e.ID)
	wantKind(t, "another cohort's tutor asks for the original", err, fault.KindNotFound)
}

// A photo that tells where it was taken has a copy without it, covers or none. What a portfolio shows of it is the centre's choice, and
// no place leaves the centre unless it chose that.
func TestPlacesDoNotLeaveTheCentre(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx, told, silent := t.Context(), located(t, 2), picture(t, 3)
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	e, err := c.AddFile(ctx, c.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg"}, bytes.NewReader(told))
	must(t, err)
	plain, err := c.AddFile(ctx, c.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "plain.jpg"}, bytes.NewReader(silent))
	must(t, err)
	bare, err := io.ReadAll(photo.Strip(bytes.NewReader(told)))
	must(t, err)
	for _, tt := range []struct {
		choice app.PhotoChoice
		with   [][]byte // pictures that are in it, byte for byte
		place  bool
	}{
		{"previews", nil, false}, // which nobody has to choose
		{"uploaded", [][]byte{bare, silent}, false},
		{"uploaded_with_place", [][]byte{told, silent}, true},
		{"previews", nil, false},
	} {
		if tt.with != nil {
			must(t, c.ChoosePortfolioPhotos(ctx, c.manager, tt.choice))
		}
		pdf := c.built(t) // makes the copies itself where the queue has not come to them
		for _, word := range []string{"Phonemaker", "Exif"} {
			if bytes.Contains(pdf, []byte(word)) != tt.place {
				t.Errorf("%s: the portfolio holds %q: %v", tt.choice, word, !tt.place)
			}
		}
		for _, want := range tt.with {
			if !bytes.Contains(pdf, want) {
				t.Errorf("%s: a photo of %d bytes is not in the portfolio", tt.choice, len(want))
			}
		}
		if tt.with == nil && bytes.Contains(pdf, silent) {
			t.Errorf("%s: a photo is in the portfolio as it was received", tt.choice)
		}
		must(t, c.ChoosePortfolioPhotos(ctx, c.manager, "previews"))
	}
	if c.evidence(t, plain.ID).CoveredDigest != "" || c.evidence(t, e.ID).CoveredDigest == "" {
		t.Error("of the two photos the one that tells its place has a covered copy")
	}
	wantKind(t, "a way that there is not", c.ChoosePortfolioPhotos(ctx, c.manager, "huge"), fault.KindInvalid)
	wantKind(t, "a tutor chooses", c.ChoosePortfolioPhotos(ctx, c.tutor, "uploaded"), fault.KindForbidden)
	// The bytes change behind the program's back: in the part that is shown, and beside it, where only the whole digest tells.
	for _, choice := range []app.PhotoChoice{"uploaded", "uploaded_with_place"} {
		must(t, c.ChoosePortfolioPhotos(ctx, c.manager, choice))
		c.spoil(t, plain.Digest)
		again, err := c.RequestPortfolio(ctx, c.manager, c.trainee.Person, "H2")
		must(t, err)
		must(t, c.BuildPortfolio(ctx, c.id, again))
		_, err = c.OpenPortfolio(ctx, c.manager, again)
		wantKind(t, "a portfolio of damaged bytes", err, fault.KindConflict)
		c.spoil(t, plain.Digest) // back to what it was
	}
}

// spoil flips the last bit of a stored file, which is behind its picture's end or its end itself; once more flips it back.
func (c *centre) spoil(t *testing.T, digest string) {
	t.Helper()
	n := 0
	must(t, filepath.WalkDir(c.dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.Name() != digest {
			return err
		}
		n++
		b, err := os.ReadFile(path)
		must(t, err)
		b[len(b)-1] ^= 1
		return errors.Join(os.Chmod(path, 0o600), os.WriteFile(path, b, 0o600))
	}))
	if n != 1 {
		t.Fatalf("%d files of digest %s", n, digest)
	}
}

// built is the bytes of the trainee's portfolio.
func (c *centre) built(t *testing.T) []byte {
	t.Helper()
	id, err := c.RequestPortfolio(t.Context(), c.manager, c.trainee.Person, "H2")
	must(t, err)
	must(t, c.BuildPortfolio(t.Context(), c.id, id))
	p, err := c.OpenPortfolio(t.Context(), c.manager, id)
	must(t, err)
	b, err := io.ReadAll(p.Content)
	must(t, err)
	must(t, p.Content.Close())
	return b
}

func TestCoversAreOnlyAdded(t *testing.T) {
	c := newCentre(t)
	id, e, _ := c.onSite(t)
	ctx := t.Context()
	must(t, c.MakePreview(ctx, c.id, e.ID))
	before := c.evidence(t, e.ID)
	more := []store.Cover{{X: 0.75, Y: 0.5, W: 0.25, H: 0.5}}
	for _, bad := range []store.Cover{{X: -0.1, W: 0.2, H: 0.2}, {X: 0.9, W: 0.2, H: 0.2}, {W: 0, H: 1}, {W: 2, H: 1}} {
		wantKind(t, "a cover beside the picture", c.CoverFile(ctx, c.trainee, e.ID, []store.Cover{bad}), fault.KindInvalid)
	}
	wantKind(t, "no cover", c.CoverFile(ctx, c.trainee, e.ID, nil), fault.KindInvalid)
	wantKind(t, "another tutor's cover", c.CoverFile(ctx, c.other, e.ID, more), fault.KindNotFound)
	must(t, c.CoverFile(ctx, c.trainee, e.ID, more))
	_, err := c.OpenFile(ctx, c.tutor, e.ID, true)
	wantKind(t, "the old preview", err, fault.KindConflict)
	must(t, c.MakePreview(ctx, c.id, e.ID))
	now := c.evidence(t, e.ID)
	if len(now.Covers) != 2 || now.CoveredDigest == before.CoveredDigest || now.PreviewDigest == before.PreviewDigest || now.Digest != before.Digest {
		t.Errorf("the photo is now %+v; before %+v", now, before)
	}
	c.forgetting(t)
	if c.holds(t, before.CoveredDigest) || c.holds(t, before.PreviewDigest) || !c.holds(t, now.CoveredDigest) || !c.holds(t, now.PreviewDigest) || !c.holds(t, now.Digest) {
		t.Error("the copies with less covered are still kept, or what is needed is not")
	}
	must(t, c.SafetyStop(ctx, c.trainee, id, "Somebody is on the ladder."))
	wantKind(t, "a trainee whose attempt is not open", c.CoverFile(ctx, c.trainee, e.ID, more), fault.KindConflict)
	must(t, c.CoverFile(ctx, c.tutor, e.ID, more))
}

// A withdrawn original is gone; its digest, the covered copy and the record stay, and a portfolio builds and says so.
func TestWithdrawingAnOriginal(t *testing.T) {
	c := newCentre(t)
	id, e, original := c.onSite(t)
	ctx := t.Context()
	wantKind(t, "before the copy is made", c.WithdrawFile(ctx, c.tutor, e.ID, "A face is in it."), fault.KindConflict)
	must(t, c.MakePreview(ctx, c.id, e.ID))
	wantKind(t, "without a reason", c.WithdrawFile(ctx, c.tutor, e.ID, " "), fault.KindInvalid)
	wantKind(t, "by the trainee", c.WithdrawFile(ctx, c.trainee, e.ID, "I look silly."), fault.KindForbidden)
	must(t, c.WithdrawFile(ctx, c.tutor, e.ID, "The householder's face is in it."))
	wantKind(t, "again", c.WithdrawFile(ctx, c.tutor, e.ID, "Again."), fault.KindConflict)
	c.forgetting(t)
	now := c.evidence(t, e.ID)
	if c.holds(t, e.Digest) || !c.holds(t, now.CoveredDigest) || !c.holds(t, now.PreviewDigest) || now.Digest != e.Digest || now.WithdrawnAt.IsZero() {
		t.Errorf("after withdrawal the row is %+v, the original kept: %v", now, c.holds(t, e.Digest))
	}
	must(t, c.MakePreview(ctx, c.id, e.ID)) // a job that comes late
	_, err := c.OpenOriginal(ctx, c.tutor, e.ID)
	wantKind(t, "the original", err, fault.KindNotFound)
	f, err := c.OpenFile(ctx, c.trainee, e.ID, false)
	if len(read(t, f, err)) == 0 {
		t.Error("the covered copy is not shown")
	}
	s, err := c.Sheet(ctx, c.trainee, id)
	must(t, err)
	w := s.Stages[0].Items[0].Files[0].Withdrawn
	if w == nil || w.ByName != "Person tess" || w.Words != "The householder's face is in it." || w.Subject != e.ID.String() {
		t.Errorf("the sheet says %+v", w)
	}
	// A phone that did not hear the answer sends the same again: it is acknowledged, and not kept again.
	_, err = c.AddFile(ctx, c.trainee, id, app.NewFile{ID: e.ID, Item: "before", Name: "loft.jpg"}, bytes.NewReader(original))
	must(t, err)
	c.forgetting(t)
	if c.holds(t, e.Digest) {
		t.Error("sent again, the withdrawn original is kept again")
	}
	pdf := c.built(t)
	if bytes.Contains(pdf, original[200:400]) {
		t.Error("the portfolio holds the original")
	}
}

func TestWithdrawingAPhotoWithoutCovers(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx := t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	var es []store.Evidence
	for range 2 { // the same photo twice
		e, err := c.AddFile(ctx, c.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg"}, bytes.NewReader(located(t, 1)))
		must(t, err)
		must(t, c.MakePreview(ctx, c.id, e.ID))
		es = append(es, c.evidence(t, e.ID))
	}
	must(t, c.WithdrawFile(ctx, c.tutor, es[0].ID, "A car's number is in it."))
	c.forgetting(t)
	if !c.holds(t, es[1].Digest) || !c.holds(t, es[1].PreviewDigest) || !c.holds(t, es[1].CoveredDigest) {
		t.Error("bytes that other evidence needs are gone")
	}
	_, err := c.OpenFile(ctx, c.tutor, es[0].ID, true)
	wantKind(t, "the withdrawn one", err, fault.KindNotFound)
	must(t, c.WithdrawFile(ctx, c.tutor, es[1].ID, "A car's number is in it."))
	c.forgetting(t)
	for what, digest := range map[string]string{"original": es[1].Digest, "preview": es[1].PreviewDigest, "copy": es[1].CoveredDigest} {
		if c.holds(t, digest) {
			t.Errorf("the %s is still kept", what)
		}
	}
	c.built(t)
}

// The bytes of one centre's withdrawn photo stay while another centre's evidence is the same file.
func TestAnotherCentresBytesStay(t *testing.T) {
	c := newCentre(t)
	_, e, original := c.onSite(t)
	ctx := t.Context()
	must(t, c.MakePreview(ctx, c.id, e.ID))
	db, err := sql.Open("pgx", c.super)
	must(t, err)
	defer db.Close()
	_, err = db.ExecContext(ctx, `INSERT INTO centre (code, name, created_at) VALUES ('SOUTH', 'South', now())`)
	must(t, err)
	must(t, c.WithdrawFile(ctx, c.tutor, e.ID, "A face is in it."))
	// As another centre would have it; row security does not let this centre see it.
	_, err = db.ExecContext(ctx, `SET session_replication_role = replica`)
	must(t, err)
	_, err = db.ExecContext(ctx, `
		INSERT INTO evidence (centre_id, evidence_id, attempt_id, item, digest, size, media_type, width, height, orientation, name, caption, taken_zoned, received_at, by_id)
		SELECT (SELECT max(centre_id) FROM centre), gen_random_uuid(), attempt_id, item, digest, size, media_type, width, height, orientation, name, caption, taken_zoned, received_at, by_id
		FROM evidence WHERE evidence_id = $1`, e.ID)
	must(t, err)
	c.forgetting(t)
	if !c.holds(t, e.Digest) {
		t.Errorf("the other centre's %d bytes are gone", len(original))
	}
}
