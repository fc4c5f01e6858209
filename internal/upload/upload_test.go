package upload_test

import (
	"net/http"
	"strconv"
	"strings"
	"testing"
	"time"
)

// A file in three parts, with the clock and the words that it was announced with.
func TestAFileInParts(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	size := strconv.Itoa(len(data))
	id := newID(t)
	a := s.own.announce(t, id, data).want(t, http.StatusCreated).wantHeaders(t, "Upload-Offset", "0", "Witnessmark-Received", "", "Tus-Resumable", "1.0.0")
	at := a.header.Get("Location")
	if !strings.HasPrefix(at, "/uploads/") || strings.Contains(at, id.String()) {
		t.Fatalf("the upload lies at %q, want a path with an id of the server's", at)
	}
	third := len(data) / 3
	s.own.patch(t, at, 0, data[:third]).want(t, http.StatusNoContent).wantHeaders(t, "Upload-Offset", strconv.Itoa(third), "Witnessmark-Received", "")
	s.own.head(t, at).want(t, http.StatusOK).wantHeaders(t, "Upload-Offset", strconv.Itoa(third), "Upload-Length", size, "Witnessmark-Received", "")
	s.own.patch(t, at, third, data[third:2*third]).want(t, http.StatusNoContent)
	// Announced again half-way: the same address, nothing cut short.
	s.own.announce(t, id, data).want(t, http.StatusCreated).wantHeaders(t, "Location", at, "Upload-Offset", strconv.Itoa(2*third))
	done := []string{"Upload-Offset", size, "Witnessmark-Received", digestOf(data)}
	s.own.patch(t, at, 2*third, data[2*third:]).want(t, http.StatusNoContent).wantHeaders(t, done...)
	s.own.head(t, at).want(t, http.StatusOK).wantHeaders(t, done...)
	s.own.announce(t, id, data).want(t, http.StatusCreated).wantHeaders(t, append(done, "Location", at)...)
	s.own.patch(t, at, len(data), nil).want(t, http.StatusNoContent).wantHeaders(t, done...)
	s.wantOnce(t, s.own, data)
	e, err := s.db.Evidence(t.Context(), s.centre, id)
	must(t, err)
	if e.Name != "rig.jpg" || e.Caption != "The rig, cold" || e.Width != 160 || e.By != s.own.who.Person || !e.Steady ||
		e.OffsetMS == nil || *e.OffsetMS < 2990 || *e.OffsetMS > 3010 || e.DeviceAt.UnixMilli() != s.now().Add(-time.Hour).UnixMilli() {
		t.Errorf("the evidence is kept as %+v", e)
	}
	if s.log.Len() > 0 {
		t.Errorf("the log says\n%s", s.log.String())
	}
}

// That nothing has to be covered is an answer, and is kept; no word of covers is none.
func TestLookedOver(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	for i, covers := range []string{"", "[]", `[{"x":0,"y":0,"w":1,"h":0.5}]`} {
		id, data := newID(t), picture(t, i+1)
		said := s.own.announcement(id, data)
		if covers != "" {
			said["covers"] = covers
		}
		at := s.own.send(t, http.MethodPost, "/uploads", nil, map[string]string{"Upload-Length": strconv.Itoa(len(data)), "Upload-Metadata": coded(said)}).
			want(t, http.StatusCreated).header.Get("Location")
		s.own.patch(t, at, 0, data).want(t, http.StatusNoContent)
		e, err := s.db.Evidence(t.Context(), s.centre, id)
		must(t, err)
		if e.LookedOver != (covers != "") {
			t.Errorf("with covers %q it is looked over: %v", covers, e.LookedOver)
		}
	}
}
