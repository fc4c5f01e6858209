package api_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"testing"

	"witnessmark/internal/app"
)

// TestFiles sends files that are none, or not those that were meant; nothing of them is kept.
func TestFiles(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	own := s.people["own"]
	good := picture(t, 1)
	digest := func(b []byte) http.Header {
		d := sha256.Sum256(b)
		return http.Header{"Repr-Digest": {"sha-256=:" + base64.StdEncoding.EncodeToString(d[:]) + ":"}}
	}
	for _, c := range []struct {
		name   string
		bytes  []byte
		header http.Header
		status int
		place  string
	}{
		{"cut in half", good[:len(good)/2], nil, 422, "stops half-way"},
		{"no bytes", []byte{}, nil, 422, ""},
		{"three bytes", []byte("\xff\xd8\xff"), nil, 422, "half-way"},
		{"60,000 × 60,000", claiming(t, good, 60_000), nil, 422, "60,000"},
		{"a text", []byte("GIF89a nothing of the kind"), nil, 422, ""},
		{"other bytes than announced", good, digest(picture(t, 2)), 422, "Repr-Digest"},
		{"a digest that is none", good, http.Header{"Repr-Digest": {"sha-256=abc"}}, 422, "Repr-Digest"},
		{"a PDF cut", []byte("%PDF-1.7\n1 0 obj\n"), nil, 422, "half-way"},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := own.send(t, "PUT", s.at("/files/"+newID(t)+"?item=before"), c.bytes, c.header)
			a.want(t, c.status)
			a.hasPlace(t, c.place)
		})
	}
	id := newID(t)
	for range 2 { // the second time the answer to the first got lost
		own.send(t, "PUT", s.at("/files/"+id+"?item=before&name=rig.jpg"), good, digest(good)).want(t, http.StatusOK)
	}
	var sheet struct {
		Stages []struct {
			Items []struct{ Files []struct{ ID, SHA256 string } }
		}
	}
	own.json(t, "GET", s.at(""), nil).into(t, &sheet)
	if files := sheet.Stages[0].Items[0].Files; len(files) != 1 || files[0].SHA256 != fmt.Sprintf("%x", sha256.Sum256(good)) {
		t.Errorf("the sheet has %+v, want the one file", files)
	}
	a := own.json(t, "GET", "/api/files/"+id, nil)
	if a.want(t, http.StatusOK); !bytes.Equal(a.Body.Bytes(), good) || a.Header().Get("Content-Type") != "image/jpeg" {
		t.Errorf("the file comes back as %d bytes of %s, want the %d sent", a.Body.Len(), a.Header().Get("Content-Type"), len(good))
	}
	a = own.send(t, "GET", "/api/files/"+id, nil, http.Header{"Range": {"bytes=0-1"}})
	if a.Code != http.StatusPartialContent || !bytes.Equal(a.Body.Bytes(), good[:2]) {
		t.Errorf("a part of the file comes back as %d with %d bytes", a.Code, a.Body.Len())
	}
}

// claiming is a JPEG whose frame header (ITU-T T.81, B.2.2) claims a size that its pixels do not have.
func claiming(t *testing.T, jpeg []byte, side int) []byte {
	t.Helper()
	i := bytes.Index(jpeg, []byte{0xff, 0xc0})
	if i < 0 {
		t.Fatal("the picture has no frame header")
	}
	out := bytes.Clone(jpeg)
	for _, at := range []int{i + 5, i + 7} {
		out[at], out[at+1] = byte(side>>8), byte(side)
	}
	return out
}

// TestTooBigAFile sends more than a file may have: once announced, once not. The second is read up to the limit alone.
func TestTooBigAFile(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	for _, announced := range []bool{true, false} {
		sent := &counter{r: io.MultiReader(bytes.NewReader(picture(t, 1)), zeros{})}
		req := httptest.NewRequestWithContext(t.Context(), "PUT", s.at("/files/"+newID(t)+"?item=before"), io.LimitReader(sent, app.EvidenceLimit*2))
		req.ContentLength = -1
		if announced {
			req.ContentLength = app.EvidenceLimit + 1
		}
		a := s.people["own"].exchange(t, req)
		a.want(t, http.StatusRequestEntityTooLarge)
		a.hasPlace(t, "25 MiB")
		if announced && sent.n > 0 || sent.n > app.EvidenceLimit+1<<20 {
			t.Errorf("announced %t: %d bytes were read", announced, sent.n)
		}
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

type counter struct {
	r io.Reader
	n int
}

func (c *counter) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.n += n
	return n, err
}

// TestAnUploadThatStops has the connection end before the length that was announced.
func TestAnUploadThatStops(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	req := httptest.NewRequestWithContext(t.Context(), "PUT", s.at("/files/"+newID(t)+"?item=before"),
		io.MultiReader(bytes.NewReader(picture(t, 1)[:100]), broken{}))
	req.ContentLength = 5000
	a := s.people["own"].exchange(t, req)
	a.want(t, http.StatusBadRequest)
	a.hasPlace(t, "stopped before its end")
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }
