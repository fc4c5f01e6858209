package upload_test

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// stalling is a body that stops half-way, as a phone does that has walked out of the signal, until it is let go.
type stalling struct {
	io.Reader
	here chan struct{} // closed when all has been read that comes
	gone <-chan struct{}
	once sync.Once
}

func (b *stalling) Read(p []byte) (int, error) {
	n, err := b.Reader.Read(p)
	if err == io.EOF {
		b.once.Do(func() { close(b.here) })
		<-b.gone
		return n, io.ErrUnexpectedEOF
	}
	return n, err
}

// stall sends the beginning of something and keeps the connection open; end cuts it, and waits for the answer, if any.
func (p *phone) stall(t *testing.T, method, path string, part []byte, length int, headers map[string]string) (end func() answer) {
	t.Helper()
	ctx, cut := context.WithCancel(t.Context())
	body := &stalling{Reader: bytes.NewReader(part), here: make(chan struct{}), gone: ctx.Done()}
	got := make(chan answer, 1)
	go func() {
		a, err := p.try(ctx, method, path, &sized{body, length}, headers)
		if err != nil {
			a = answer{}
		}
		got <- a
	}()
	select {
	case <-body.here:
	case a := <-got:
		t.Fatalf("answered before everything was sent: %d %s", a.status, a.body)
	}
	return func() answer {
		select { // an answer that is on its way
		case a := <-got:
			return a
		case <-time.After(200 * time.Millisecond):
			cut()
			return <-got
		}
	}
}

// sized makes net/http announce a length.
type sized struct {
	io.Reader
	n int
}

// until asks how far the upload is until it is as far as that.
func (s *site) until(t *testing.T, at string, offset int) {
	t.Helper()
	id := at[len("/uploads/"):]
	for began := time.Now(); ; time.Sleep(5 * time.Millisecond) {
		u, err := s.Upload(t.Context(), s.own.who, mustID(t, id))
		must(t, err)
		if u.Offset == int64(offset) {
			return
		}
		if time.Since(began) > time.Minute {
			t.Fatalf("the upload stays at %d, want %d", u.Offset, offset)
		}
	}
}

// The announcement carries the first bytes and the connection breaks: the address was never heard of, and announcing it
// again gives it, with what came, and the phone goes on from there.
func TestAnnouncedWithBytesCutResumed(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	id := newID(t)
	headers := map[string]string{"Upload-Length": strconv.Itoa(len(data)), "Upload-Metadata": coded(s.own.announcement(id, data)),
		"Content-Type": "application/offset+octet-stream"}
	end := s.own.stall(t, http.MethodPost, "/uploads", data[:5000], len(data), headers)
	at := s.own.announce(t, id, data).want(t, http.StatusCreated).header.Get("Location")
	s.until(t, at, 5000)
	end()
	s.own.head(t, at).want(t, http.StatusOK).wantHeaders(t, "Upload-Offset", "5000")
	// The same announcement again, with its bytes: those that are here are not taken twice.
	s.own.send(t, http.MethodPost, "/uploads", bytes.NewReader(data), headers).want(t, http.StatusCreated).
		wantHeaders(t, "Location", at, "Upload-Offset", "5000")
	s.own.patch(t, at, 5000, data[5000:]).want(t, http.StatusNoContent).wantHeaders(t, "Witnessmark-Received", digestOf(data))
	s.own.send(t, http.MethodPost, "/uploads", bytes.NewReader(data), headers).want(t, http.StatusCreated).
		wantHeaders(t, "Location", at, "Upload-Offset", strconv.Itoa(len(data)), "Witnessmark-Received", digestOf(data))
	s.wantOnce(t, s.own, data)
}

// A phone that lost its signal comes back on another connection while the server still waits on the first: that one ends,
// keeps what it brought, and the phone goes on.
func TestALaterRequestEndsTheOneThatWaits(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	at := s.own.announce(t, newID(t), data).want(t, http.StatusCreated).header.Get("Location")
	end := s.own.stall(t, http.MethodPatch, at, data[:3000], len(data), partHeaders(0))
	s.until(t, at, 3000)
	s.own.head(t, at).want(t, http.StatusOK).wantHeaders(t, "Upload-Offset", "3000")
	if a := end(); a.status != 0 && (a.status != http.StatusNoContent || a.header.Get("Upload-Offset") != "3000") {
		t.Errorf("the request that waited was answered %d %s, want 204 with how far it came, or nothing", a.status, a.body)
	}
	// Two at once: the later goes on from where the earlier is by then, or is told to ask.
	end = s.own.stall(t, http.MethodPatch, at, data[3000:4000], len(data)-3000, partHeaders(3000))
	s.until(t, at, 4000)
	s.own.patch(t, at, 3000, data[3000:]).want(t, http.StatusConflict).wantTitle(t, "how far")
	end()
	s.own.patch(t, at, 4000, data[4000:]).want(t, http.StatusNoContent).wantHeaders(t, "Witnessmark-Received", digestOf(data))
	s.wantOnce(t, s.own, data)
}

// Many at once announce and send the same file, as two pages and an impatient thumb would: one upload, one file.
func TestTheSameFileManyTimesAtOnce(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	id := newID(t)
	headers := map[string]string{"Upload-Length": strconv.Itoa(len(data)), "Upload-Metadata": coded(s.own.announcement(id, data))}
	var all sync.WaitGroup
	var mu sync.Mutex
	places := map[string]int{}
	for range 8 {
		all.Go(func() {
			a, err := s.own.try(t.Context(), http.MethodPost, "/uploads", nil, headers)
			if err != nil || a.status != http.StatusCreated {
				t.Errorf("announced: %d %v %s", a.status, err, a.body)
				return
			}
			at := a.header.Get("Location")
			mu.Lock()
			places[at]++
			mu.Unlock()
			for range 100 {
				a, err := s.own.try(t.Context(), http.MethodHead, at, nil, nil)
				if err != nil {
					t.Error(err)
					return
				}
				if a.header.Get("Witnessmark-Received") == digestOf(data) {
					return
				}
				offset, err := strconv.Atoi(a.header.Get("Upload-Offset"))
				if err != nil { // 423: another one is at it
					time.Sleep(time.Millisecond)
					continue
				}
				part := data[offset:min(offset+4000, len(data))]
				if a, err := s.own.try(t.Context(), http.MethodPatch, at, bytes.NewReader(part), partHeaders(offset)); err != nil ||
					a.status != http.StatusNoContent && a.status != http.StatusConflict && a.status != http.StatusLocked {
					t.Errorf("sent: %d %v %s", a.status, err, a.body)
				}
			}
			t.Error("after a hundred tries the file is not received")
		})
	}
	all.Wait()
	if len(places) != 1 {
		t.Errorf("the file lies at %v, want one place", places)
	}
	s.wantOnce(t, s.own, data)
}

// A byte that changed on the way is told at the end, and everything that came is thrown away: the phone announces the file
// afresh. A photo that arrived as it was sent and is none is not taken either.
func TestAlteredBytesAreThrownAway(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	id := newID(t)
	at := s.own.announce(t, id, data).want(t, http.StatusCreated).header.Get("Location")
	flipped := bytes.Clone(data)
	flipped[len(data)/2] ^= 1
	s.own.patch(t, at, 0, flipped).want(t, 460).wantHeaders(t, "Witnessmark-Received", "").wantTitle(t, "not the file that was sent")
	s.own.head(t, at).want(t, http.StatusNotFound)
	s.own.patch(t, at, len(data), nil).want(t, http.StatusNotFound)
	if got := s.files(t, s.own); len(got) != 0 {
		t.Errorf("the attempt has the files %q, want none", got)
	}
	again := s.own.announce(t, id, data).want(t, http.StatusCreated).wantHeaders(t, "Upload-Offset", "0").header.Get("Location")
	if again == at {
		t.Errorf("announced afresh it lies at %s again", at)
	}
	s.own.patch(t, again, 0, data).want(t, http.StatusNoContent)
	text := []byte("GIF89a nothing of the kind")
	at = s.own.announce(t, newID(t), text).want(t, http.StatusCreated).header.Get("Location")
	s.own.patch(t, at, 0, text).want(t, http.StatusUnprocessableEntity).wantTitle(t, "")
	s.own.head(t, at).want(t, http.StatusNotFound)
	s.wantOnce(t, s.own, data)
}

// The program ended between a file's last byte and its becoming evidence: whoever asks next has it finished.
func TestFinishedByWhoeverAsksNext(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	var want []string
	for i, ask := range []string{http.MethodHead, http.MethodPost, http.MethodPatch} {
		data := picture(t, i)
		id := newID(t)
		at := s.own.announce(t, id, data).want(t, http.StatusCreated).header.Get("Location")
		_, err := s.AppendUpload(t.Context(), s.own.who, mustID(t, at[len("/uploads/"):]), 0, bytes.NewReader(data))
		must(t, err)
		var a answer
		switch ask {
		case http.MethodHead:
			a = s.own.head(t, at).want(t, http.StatusOK)
		case http.MethodPost:
			a = s.own.announce(t, id, data).want(t, http.StatusCreated)
		case http.MethodPatch:
			a = s.own.patch(t, at, len(data), nil).want(t, http.StatusNoContent)
		}
		a.wantHeaders(t, "Upload-Offset", strconv.Itoa(len(data)), "Witnessmark-Received", digestOf(data))
		want = append(want, digestOf(data))
	}
	got := s.files(t, s.own)
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("the attempt has the files %q, want %q", got, want)
	}
}

// Somebody shut out in the middle gets no further, and goes on where they were once they are let in again.
func TestShutOutInTheMiddle(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	at := s.own.announce(t, newID(t), data).want(t, http.StatusCreated).header.Get("Location")
	s.own.patch(t, at, 0, data[:100]).want(t, http.StatusNoContent)
	manager := s.person(t, "max", account.Manager)
	must(t, s.SetSignInAllowed(t.Context(), manager, s.own.who.Person, false))
	s.own.patch(t, at, 100, data[100:]).want(t, http.StatusUnauthorized).wantTitle(t, "Sign in")
	must(t, s.SetSignInAllowed(t.Context(), manager, s.own.who.Person, true))
	s.own.signIn(t)
	s.own.patch(t, at, 100, data[100:]).want(t, http.StatusNoContent).wantHeaders(t, "Witnessmark-Received", digestOf(data))
	s.wantOnce(t, s.own, data)
}

// A file that came by another way under the same id is received already.
func TestReceivedByAnotherWay(t *testing.T) {
	t.Parallel()
	s := newSite(t)
	data := picture(t, 1)
	id := newID(t)
	_, err := s.AddFile(t.Context(), s.own.who, s.own.attempt, app.NewFile{ID: id, Item: "before"}, bytes.NewReader(data))
	must(t, err)
	s.own.announce(t, id, data).want(t, http.StatusCreated).wantHeaders(t, "Upload-Offset", strconv.Itoa(len(data)), "Witnessmark-Received", digestOf(data))
	s.own.announce(t, id, picture(t, 2)).want(t, http.StatusConflict).wantTitle(t, "Another file")
	s.wantOnce(t, s.own, data)
}
