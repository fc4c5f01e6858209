package app_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// bagged is the digests of the evidence in the bag of a portfolio that is built now, and the portfolio.
func (l logged) bagged(t *testing.T) (there map[string][]byte, pdf []byte) {
	t.Helper()
	id, pdf := l.built(t)
	there = map[string][]byte{}
	_, err := l.ExportPortfolio(t.Context(), l.id, id, func(path string, r io.Reader) error {
		data, err := io.ReadAll(r)
		if sum := sha256.Sum256(data); filepath.Dir(filepath.FromSlash(path)) == filepath.FromSlash("data/originals") {
			there[hex.EncodeToString(sum[:])] = data
		}
		return err
	})
	must(t, err)
	return there, pdf
}

// A photo that tells its place leaves as it was received where the centre chose that, and as its copy where it did not. One with covers
// never does, nor one of a private site.
func TestWhatLeavesUnderEachChoice(t *testing.T) {
	l := newLogged(t)
	id, ctx, told := l.set(t), t.Context(), located(t, 2)
	must(t, l.OpenAttempt(ctx, l.trainee, id, true, true))
	e, err := l.AddFile(ctx, l.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg"}, bytes.NewReader(told))
	must(t, err)
	hidden, err := l.AddFile(ctx, l.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "face.jpg", Covers: []store.Cover{{W: 0.5, H: 1}}}, bytes.NewReader(located(t, 3)))
	must(t, err)
	for _, choice := range app.PhotoChoices() {
		must(t, l.ChoosePortfolioPhotos(ctx, l.manager, choice))
		there, _ := l.bagged(t)
		want := l.evidence(t, e.ID).CoveredDigest
		if choice == "uploaded_with_place" {
			want = e.Digest
		}
		if len(there) != 2 || there[want] == nil || there[l.evidence(t, hidden.ID).CoveredDigest] == nil || there[hidden.Digest] != nil {
			t.Errorf("%s: %d files leave; as wanted %v", choice, len(there), there[want] != nil)
		}
	}
	// A byte of what the camera wrote changes, which is not in what is shown.
	must(t, l.ChoosePortfolioPhotos(ctx, l.manager, "uploaded"))
	l.spoilWord(t, e.Digest, "Phonemaker")
	again, err := l.RequestPortfolio(ctx, l.manager, l.trainee.Person, "H2")
	must(t, err)
	must(t, l.BuildPortfolio(ctx, l.id, again))
	_, err = l.OpenPortfolio(ctx, l.manager, again)
	wantKind(t, "a portfolio that states the digest of damaged bytes", err, fault.KindConflict)
}

// spoilWord changes a word in a stored file.
func (c *centre) spoilWord(t *testing.T, digest, word string) {
	t.Helper()
	must(t, filepath.WalkDir(c.dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.Name() != digest {
			return err
		}
		b, err := os.ReadFile(path)
		must(t, err)
		at := bytes.Index(b, []byte(word))
		b[at] ^= 1
		return errors.Join(os.Chmod(path, 0o600), os.WriteFile(path, b, 0o600))
	}))
}

// Of a photo of a private site nothing leaves the centre before somebody looked at it for what has to be covered, and then a copy
// without what the camera wrote, whatever the centre chose; of what is no picture nothing ever does.
func TestNothingUnseenLeavesAPrivateSite(t *testing.T) {
	l := newLogged(t)
	id, ctx := l.privately(t), t.Context()
	send := func(name string, data []byte, looked bool) store.Evidence {
		e, err := l.AddFile(ctx, l.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: name, LookedOver: looked}, bytes.NewReader(data))
		must(t, err)
		return e
	}
	unseen, seen, document := send("unseen.jpg", picture(t, 1), false), send("seen.jpg", picture(t, 2), true), send("letter.pdf", []byte("%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n%%EOF\n"), true)
	copyOf := func(e store.Evidence) string { return l.evidence(t, e.ID).CoveredDigest }
	leave := func(what string, want ...uuid.UUID) {
		t.Helper()
		for _, choice := range app.PhotoChoices() {
			must(t, l.ChoosePortfolioPhotos(ctx, l.manager, choice))
			there, pdf := l.bagged(t)
			if len(there) != len(want) {
				t.Errorf("%s, %s: %d files leave, want %d", what, choice, len(there), len(want))
			}
			for _, w := range want {
				if there[l.evidence(t, w).CoveredDigest] == nil {
					t.Errorf("%s, %s: a copy is not there", what, choice)
				}
			}
			for i, original := range [][]byte{picture(t, 1), picture(t, 2)} {
				if bytes.Contains(pdf, original) {
					t.Errorf("%s, %s: photo %d is in the portfolio as it was received", what, choice, i+1)
				}
			}
		}
	}
	leave("before anybody looked", seen.ID)
	if copyOf(seen) == "" || copyOf(document) != "" {
		t.Errorf("copies: %q of a photo, %q of a document", copyOf(seen), copyOf(document))
	}
	for _, c := range []account.Caller{l.other, l.manager} {
		if l.NothingToCover(ctx, c, unseen.ID) == nil {
			t.Errorf("%s says that there is nothing to cover", c.Name)
		}
	}
	wantKind(t, "of a document", l.NothingToCover(ctx, l.tutor, document.ID), fault.KindConflict)
	must(t, l.NothingToCover(ctx, l.trainee, unseen.ID))
	must(t, l.NothingToCover(ctx, l.tutor, unseen.ID)) // again has no effect
	leave("afterwards", seen.ID, unseen.ID)
}

// A photo that came before it was asked whether somebody had looked has its copy made once somebody has.
func TestOlderPhotosOfAPrivateSite(t *testing.T) {
	l := newLogged(t)
	id, ctx := l.privately(t), t.Context()
	e, err := l.AddFile(ctx, l.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "loft.jpg"}, bytes.NewReader(picture(t, 1)))
	must(t, err)
	must(t, l.MakePreview(ctx, l.id, e.ID))
	l.superuser(t, `UPDATE evidence SET covered_digest = NULL`) // as it was left then
	if there, _ := l.bagged(t); len(there) != 0 {
		t.Errorf("%d files leave, want none", len(there))
	}
	must(t, l.NothingToCover(ctx, l.tutor, e.ID))
	there, _ := l.bagged(t)
	if now := l.evidence(t, e.ID); now.CoveredDigest == "" || len(there) != 1 || there[now.CoveredDigest] == nil {
		t.Errorf("%d files leave, with the copy %q", len(there), now.CoveredDigest)
	}
}
