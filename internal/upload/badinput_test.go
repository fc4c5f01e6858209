package upload_test

import (
	"bytes"
	"io"
	"maps"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/app"
)

// without is metadata without one key.
func without(m map[string]string, key string) map[string]string {
	m = maps.Clone(m)
	delete(m, key)
	return m
}

// with is metadata with one value changed.
func with(m map[string]string, key, value string) map[string]string {
	m = maps.Clone(m)
	m[key] = value
	return m
}

// What is announced wrongly is refused with what is wrong, and leaves nothing behind. The rules are those of tus 1.0.0
// (protocol text of the tus project, "Core Protocol" and "Creation").
func TestBadAnnouncements(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	size := strconv.Itoa(len(data))
	good := s.own.announcement(newID(t), data)
	said := func(m map[string]string) map[string]string {
		return map[string]string{"Upload-Length": size, "Upload-Metadata": coded(m)}
	}
	long := func(n int64) map[string]string {
		return map[string]string{"Upload-Length": strconv.FormatInt(n, 10), "Upload-Metadata": coded(good)}
	}
	for _, c := range []struct {
		name    string
		headers map[string]string
		status  int
		title   string
	}{
		{"no length", with(said(good), "Upload-Length", ""), 400, "Upload-Length"},
		{"a negative length", long(-1), 400, "Upload-Length"},
		{"a length in words", with(said(good), "Upload-Length", "much"), 400, "Upload-Length"},
		{"no bytes", long(0), 422, "at least 1"},
		{"a byte too many", long(app.EvidenceLimit + 1), 413, "bigger"},
		{"a length of 2^63", with(said(good), "Upload-Length", "9223372036854775808"), 400, "Upload-Length"},
		{"a length that is told later", map[string]string{"Upload-Defer-Length": "1", "Upload-Metadata": coded(good)}, 400, "length"},
		{"both lengths", with(said(good), "Upload-Defer-Length", "1"), 400, "length"},
		{"a length told later that is none", map[string]string{"Upload-Defer-Length": "2", "Upload-Metadata": coded(good)}, 400, "length"},
		{"no version", with(said(good), "Tus-Resumable", ""), 412, "load it again"},
		{"another version", with(said(good), "Tus-Resumable", "1.1"), 412, "load it again"},
		{"a version that is none", with(said(good), "Tus-Resumable", "\u00ff;--"), 412, "load it again"},
		{"no metadata", map[string]string{"Upload-Length": size}, 400, "Upload-Metadata"},
		{"bad base64", with(said(good), "Upload-Metadata", coded(good)+",place a%%b"), 400, `"place"`},
		{"base64 of no text", with(said(good), "Upload-Metadata", "caption /w=="), 400, `"caption"`},
		{"a key twice", with(said(good), "Upload-Metadata", coded(good)+",item YmVmb3Jl"), 400, `"item" is there twice`},
		{"an empty pair", with(said(good), "Upload-Metadata", coded(good)+",,"), 400, "Upload-Metadata"},
		{"a key that nobody knows", said(with(good, "owner", s.peer.who.Person.String())), 400, `"owner"`},
		{"100 KB of metadata", said(with(good, "caption", strings.Repeat("x", 75_000))), 431, ""},
		{"a caption too long", said(with(good, "caption", strings.Repeat("x", 4001))), 422, "caption"},
		{"a caption with the character zero", said(with(good, "caption", "a\x00b")), 422, "no character"},
		{"a checksum of an algorithm that nobody knows", with(said(good), "Upload-Checksum", "rot13 YmVmb3Jl"), 400, "whole file"},
		{"a part of several", with(said(good), "Upload-Concat", "partial"), 400, "put together"},
		{"put together of others", with(said(good), "Upload-Concat", "final;/uploads/a /uploads/a"), 400, "put together"},
		{"no id", said(without(good, "id")), 422, "id"},
		{"an id that is none", said(with(good, "id", "../../etc/passwd")), 422, "not an id"},
		{"an id in capitals", said(with(good, "id", strings.ToUpper(good["id"]))), 422, "not an id"},
		{"no attempt", said(without(good, "attempt")), 404, "attempt"},
		{"an attempt that is not there", said(with(good, "attempt", uuid.NewString())), 404, "attempt"},
		{"another trainee's attempt", said(with(good, "attempt", s.peer.attempt.String())), 404, "attempt"},
		{"no item", said(without(good, "item")), 422, ""},
		{"an item that the brief does not have", said(with(good, "item", "nowhere")), 422, ""},
		{"no digest", said(without(good, "digest")), 422, "SHA-256"},
		{"a digest in capitals", said(with(good, "digest", strings.ToUpper(good["digest"]))), 422, "SHA-256"},
		{"a digest of another kind", said(with(good, "digest", "d41d8cd98f00b204e9800998ecf8427e")), 422, "SHA-256"},
		{"a time in words", said(with(good, "at", "yesterday")), 422, "milliseconds"},
		{"a time in the year 30,000", said(with(good, "sent", "884541340800000")), 422, "milliseconds"},
		{"covers that are none", said(with(good, "covers", `{"x":`)), 422, "cover"},
		{"a cover beside the picture", said(with(good, "covers", `[{"x":0.5,"y":0,"w":0.6,"h":0.1}]`)), 422, "cover"},
		{"a cover of no size", said(with(good, "covers", `[{"x":0.5,"y":0,"w":0,"h":0.1}]`)), 422, "cover"},
		{"a cover with more than that", said(with(good, "covers", `[{"x":0,"y":0,"w":1,"h":1,"run":"me"}]`)), 422, "cover"},
		{"more covers than a photo has room for", said(with(good, "covers", "["+strings.Repeat(`{"x":0,"y":0,"w":1,"h":1},`, 100)+`{"x":0,"y":0,"w":1,"h":1}]`)), 422, "cover"},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := s.own.send(t, http.MethodPost, "/uploads", nil, c.headers).want(t, c.status)
			if c.status != http.StatusRequestHeaderFieldsTooLarge { // that one never came as far as us
				a.wantTitle(t, c.title)
			}
			a.wantHeaders(t, "Location", "")
		})
	}
	if n, err := s.unfinished(t); err != nil || n != 0 {
		t.Errorf("%d uploads are kept (%v), want none", n, err)
	}
	s.own.announce(t, uuid.MustParse(good["id"]), data).want(t, http.StatusCreated) // the good one is taken all the same
}

// Parts that do not fit are refused, and the upload goes on from where it was.
func TestBadParts(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	id := newID(t)
	at := s.own.announce(t, id, data).want(t, http.StatusCreated).header.Get("Location")
	half := len(data) / 2
	s.own.patch(t, at, 0, data[:half]).want(t, http.StatusNoContent)
	part := partHeaders(half)
	for _, c := range []struct {
		name    string
		method  string
		path    string
		headers map[string]string
		body    io.Reader
		status  int
		title   string
	}{
		{"further back", "PATCH", at, partHeaders(0), bytes.NewReader(data), 409, "how far"},
		{"further on", "PATCH", at, partHeaders(half + 1), bytes.NewReader(data[half:]), 409, "how far"},
		{"before the beginning", "PATCH", at, partHeaders(-1), bytes.NewReader(data), 400, "Upload-Offset"},
		{"beyond what a number holds", "PATCH", at, with(part, "Upload-Offset", "9223372036854775808"), nil, 400, "Upload-Offset"},
		{"from a word", "PATCH", at, with(part, "Upload-Offset", "half"), nil, 400, "Upload-Offset"},
		{"from nowhere", "PATCH", at, with(part, "Upload-Offset", ""), nil, 400, "Upload-Offset"},
		{"of another type", "PATCH", at, with(part, "Content-Type", "image/jpeg"), bytes.NewReader(data[half:]), 400, "offset+octet-stream"},
		{"of another version", "PATCH", at, with(part, "Tus-Resumable", "2.0.0"), bytes.NewReader(data[half:]), 412, "load it again"},
		{"longer than what is left", "PATCH", at, part, bytes.NewReader(append(data[half:len(data):len(data)], 0)), 413, "announced"},
		{"with another length", "PATCH", at, with(part, "Upload-Length", "5"), bytes.NewReader(data[half:]), 400, "length"},
		{"with a checksum", "PATCH", at, with(part, "Upload-Checksum", "sha256 AAAA"), bytes.NewReader(data[half:]), 400, "whole file"},
		{"of no upload", "PATCH", "/uploads/" + uuid.NewString(), part, bytes.NewReader(data[half:]), 404, "no such upload"},
		{"of the evidence's id", "PATCH", "/uploads/" + id.String(), part, bytes.NewReader(data[half:]), 404, "no such upload"},
		{"of an id that is none", "PATCH", "/uploads/..%2f..%2fetc%2fpasswd", part, bytes.NewReader(data[half:]), 404, "no such upload"},
		{"of the id in capitals", "PATCH", "/uploads/" + strings.ToUpper(at[len("/uploads/"):]), part, nil, 404, "no such upload"},
		{"read back", "GET", at, nil, nil, 405, "cannot be done"},
		{"taken away", "DELETE", at, nil, nil, 405, "cannot be done"},
		{"put", "PUT", at, part, bytes.NewReader(data[half:]), 405, "cannot be done"},
		{"under another method's name", "POST", at, with(part, "X-HTTP-Method-Override", "PATCH"), bytes.NewReader(data[half:]), 405, "cannot be done"},
		{"announced again with another length", "POST", "/uploads",
			map[string]string{"Upload-Length": "5", "Upload-Metadata": coded(s.own.announcement(id, data))}, nil, 409, "Another file"},
		{"announced again with another digest", "POST", "/uploads",
			map[string]string{"Upload-Length": strconv.Itoa(len(data)), "Upload-Metadata": coded(s.own.announcement(id, data[1:]))}, nil, 409, "Another file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s.own.send(t, c.method, c.path, c.body, c.headers).want(t, c.status).wantTitle(t, c.title)
			s.own.head(t, at).want(t, http.StatusOK).wantHeaders(t, "Upload-Offset", strconv.Itoa(half))
		})
	}
	s.own.patch(t, at, half, data[half:]).want(t, http.StatusNoContent)
	s.own.patch(t, at, half, data[half:]).want(t, http.StatusConflict).wantTitle(t, "how far") // after it is complete
	s.wantOnce(t, s.own, data)
}

// Of a body of no announced length that goes on for too long nothing is read beyond the file's size.
func TestABodyThatGoesOn(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	at := s.own.announce(t, newID(t), data).want(t, http.StatusCreated).header.Get("Location")
	body := io.MultiReader(bytes.NewReader(data), bytes.NewReader(make([]byte, 1000))) // net/http sends it in chunks
	s.own.send(t, http.MethodPatch, at, body, partHeaders(0)).want(t, http.StatusNoContent)
	s.own.head(t, at).want(t, http.StatusOK).wantHeaders(t, "Upload-Offset", strconv.Itoa(len(data)), "Witnessmark-Received", digestOf(data))
	s.wantOnce(t, s.own, data)
}

// An upload is its owner's alone, whatever anybody else knows of it.
func TestAnUploadIsItsOwners(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	id := newID(t)
	at := s.own.announce(t, id, data).want(t, http.StatusCreated).header.Get("Location")
	s.own.patch(t, at, 0, data[:100]).want(t, http.StatusNoContent)
	nobody := &phone{site: s, attempt: s.own.attempt}
	for _, done := range []bool{false, true} {
		s.peer.patch(t, at, 100, data[100:]).want(t, http.StatusNotFound).wantTitle(t, "no such upload")
		s.peer.head(t, at).want(t, http.StatusNotFound).wantHeaders(t, "Upload-Offset", "", "Witnessmark-Received", "")
		s.peer.announce(t, id, data).want(t, http.StatusNotFound).wantTitle(t, "no such upload")
		nobody.patch(t, at, 100, data[100:]).want(t, http.StatusUnauthorized).wantTitle(t, "Sign in")
		nobody.head(t, at).want(t, http.StatusUnauthorized)
		nobody.announce(t, id, data).want(t, http.StatusUnauthorized).wantTitle(t, "Sign in")
		if !done {
			s.own.patch(t, at, 100, data[100:]).want(t, http.StatusNoContent)
		}
	}
	s.wantOnce(t, s.own, data)
	if got := s.files(t, s.peer); len(got) != 0 {
		t.Errorf("the other trainee has the files %q, want none", got)
	}
}

// A file's name is a name and no path: it is kept as it was sent, and nothing is written anywhere by it.
func TestANameIsNoPath(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	id := newID(t)
	const name = `../../../../tmp/…\..\rig.jpg`
	headers := map[string]string{"Upload-Length": strconv.Itoa(len(data)), "Content-Type": "application/offset+octet-stream",
		"Upload-Metadata": coded(with(s.own.announcement(id, data), "name", name))}
	s.own.send(t, http.MethodPost, "/uploads", bytes.NewReader(data), headers).want(t, http.StatusCreated).
		wantHeaders(t, "Upload-Offset", strconv.Itoa(len(data)), "Witnessmark-Received", digestOf(data))
	e, err := s.db.Evidence(t.Context(), s.centre, id)
	must(t, err)
	if e.Name != name {
		t.Errorf("the name is kept as %q, want %q", e.Name, name)
	}
	digest := digestOf(data)
	got, err := filepath.Glob(filepath.Join(s.dir, "*", "*", "*"))
	must(t, err)
	if want := filepath.Join(s.dir, digest[:2], digest[2:4], digest); len(got) != 1 || got[0] != want {
		t.Errorf("the folder has %q, want %q alone", got, want)
	}
	left, err := os.ReadDir(filepath.Join(s.dir, "parts"))
	if err != nil || len(left) != 0 {
		t.Errorf("%d parts are left (%v), want none", len(left), err)
	}
}

// Announcing without end gets nobody anywhere: so many files of one person are on their way at most.
func TestAnnouncingWithoutEnd(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	refused := 0
	for range 210 {
		if a := s.own.announce(t, newID(t), data); a.status != http.StatusCreated {
			a.want(t, http.StatusConflict).wantTitle(t, "on their way")
			refused++
		}
	}
	if n, err := s.unfinished(t); refused != 10 || n != 200 || err != nil {
		t.Errorf("%d of 210 were refused and %d are kept (%v), want 10 and 200", refused, n, err)
	}
	s.peer.announce(t, newID(t), data).want(t, http.StatusCreated)
}
