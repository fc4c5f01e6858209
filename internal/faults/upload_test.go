//go:build linux

package faults_test

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"
)

// sending is a photo on its way in parts, as a phone sends it.
type sending struct {
	tr       *trainee
	addr     string // of the program, or of what stands before it
	attempt  string
	id       string
	data     []byte
	digest   string
	chunk    int
	at       string // the upload's address, "" until it was heard of
	heard    int    // bytes that were acknowledged
	troubles int    // answers that did not come, or said to try again
	afresh   int    // times that all of it was thrown away as altered
	sent     int    // bytes of the photo that were sent, some of them more than once
	byItself bool   // each request by a connection of its own
}

// upload sends a photo in parts of chunk bytes until it is acknowledged, now and then announced twice at once, and writes
// the acknowledgement into the ledger.
func (tr *trainee) upload(addr, id string, data []byte, chunk int) *sending {
	s := &sending{tr: tr, addr: addr, attempt: tr.attempt, id: id, data: data, digest: tr.sentFile(id, data).content, chunk: chunk}
	s.all()
	return s
}

// all sends until the photo is acknowledged.
func (s *sending) all() {
	tr, received, patience := s.tr, false, patience*time.Duration(max(1, 16_000 / *bits))
	for began := time.Now(); tr.failed == nil && !received; {
		if time.Since(began) > patience {
			tr.failed = fmt.Errorf("upload %s was not received in %v", s.id, patience)
			return
		}
		received = s.once()
	}
	if received {
		tr.world.ledger.acknowledged([]effect{tr.sentFile(s.id, s.data)})
	}
	tr.again += min(s.troubles, 1)
}

// once announces the photo and sends part after part until something goes wrong or all of it is received.
func (s *sending) once() (received bool) {
	twice := make(chan struct{})
	go func() {
		defer close(twice)
		if len(s.data)%3 == 0 {
			s.announce()
		}
	}()
	r, err := s.announce()
	<-twice
	if !s.ok("announce", r, err, http.StatusCreated) {
		return false
	}
	at := r.Header.Get("Location")
	if s.at != "" && s.at != at {
		s.tr.failed = fmt.Errorf("upload %s lies at %s and at %s", s.id, s.at, at)
	}
	s.at = at
	for {
		if got := r.Header.Get("Witnessmark-Received"); got != "" {
			if got != s.digest {
				s.tr.failed = fmt.Errorf("upload %s was received as %s, not %s", s.id, got, s.digest)
			}
			return s.tr.failed == nil
		}
		offset, err := strconv.Atoi(r.Header.Get("Upload-Offset"))
		if err != nil || offset < s.heard {
			s.tr.failed = fmt.Errorf("upload %s: %d bytes were acknowledged, and now it is at %q", s.id, s.heard, r.Header.Get("Upload-Offset"))
			return false
		}
		s.heard = offset
		r, err = s.part(offset)
		if !s.ok("send", r, err, http.StatusNoContent) {
			return false
		}
	}
}

// ok says whether an answer is the wanted one. No answer, a server in trouble, another request in the way and bytes that
// arrived altered are reasons to go on from the beginning; everything else is a failure.
func (s *sending) ok(what string, r *http.Response, err error, want int) bool {
	if err == nil && r.StatusCode == want {
		return true
	}
	s.troubles++
	switch {
	case err != nil || r.StatusCode >= 500 || r.StatusCode == http.StatusLocked || r.StatusCode == http.StatusConflict:
		time.Sleep(10 * time.Millisecond)
	case r.StatusCode == 460:
		s.afresh++
		s.at, s.heard = "", 0
	default:
		body, _ := io.ReadAll(r.Body)
		s.tr.failed = fmt.Errorf("%s %s: answered %d: %s", what, s.id, r.StatusCode, body)
	}
	return false
}

func (s *sending) announce() (*http.Response, error) {
	var pairs []string
	for k, v := range map[string]string{"id": s.id, "attempt": s.attempt, "item": "before", "digest": s.digest} {
		pairs = append(pairs, k+" "+base64.StdEncoding.EncodeToString([]byte(v)))
	}
	return s.do(http.MethodPost, "/uploads", nil, map[string]string{"Upload-Length": strconv.Itoa(len(s.data)), "Upload-Metadata": strings.Join(pairs, ",")})
}

// part sends the photo's next chunk.
func (s *sending) part(offset int) (*http.Response, error) {
	data := s.data[offset:min(offset+s.chunk, len(s.data))]
	s.sent += len(data)
	return s.do(http.MethodPatch, s.at, data, map[string]string{"Upload-Offset": strconv.Itoa(offset), "Content-Type": "application/offset+octet-stream"})
}

// do sends a request and reads the whole answer.
func (s *sending) do(method, path string, part []byte, headers map[string]string) (*http.Response, error) {
	req, err := http.NewRequest(method, "http://"+s.addr+path, bytes.NewReader(part))
	if err != nil {
		return nil, err
	}
	req.Header.Set("Tus-Resumable", "1.0.0")
	for k, v := range headers {
		req.Header.Set(k, v)
	}
	req.AddCookie(s.tr.cookie)
	req.Close = s.byItself
	r, err := sender.Do(req)
	if err != nil {
		return nil, err
	}
	body, err := io.ReadAll(r.Body)
	if err := errors.Join(err, r.Body.Close()); err != nil {
		return nil, err
	}
	r.Body = io.NopCloser(bytes.NewReader(body))
	return r, nil
}

// opened makes a trainee's attempt ready to be worked on.
func (w *world) opened(t *testing.T) []*trainee {
	t.Helper()
	w.setTasks(t, 1)
	for _, tr := range w.work {
		if tr.open(); tr.failed != nil {
			t.Fatal(tr.failed)
		}
	}
	return w.work
}

// TestUploadsOverALinkThatBreaks has every connection cut after a random number of bytes, twenty times and more.
func TestUploadsOverALinkThatBreaks(t *testing.T) {
	t.Parallel()
	w := furnish(t, install(t, true))
	link := newLink(t, w.addr, 0, 0, func(rng *rand.Rand) (up, down int64) { return someBytes(rng, 60_000, 1500) })
	var all sync.WaitGroup
	var sentAgain atomic.Int32
	for _, tr := range w.opened(t) {
		all.Go(func() {
			for n := 0; tr.failed == nil && (n < 2 || link.cuts.Load() < 20 || sentAgain.Load() < 20); n++ {
				data, err := tr.picture(400, 300)
				if err != nil {
					tr.failed = err
					return
				}
				s := tr.upload(link.Addr().String(), uuid.NewString(), data, 8<<10+tr.rng.IntN(32<<10))
				sentAgain.Add(int32(s.troubles))
			}
		})
	}
	all.Wait()
	for _, tr := range w.work {
		if tr.failed != nil {
			t.Fatalf("seed %d: %v\n%s", *seed, tr.failed, w.tail(t))
		}
	}
	for _, s := range w.check(t) {
		t.Error(s)
	}
	if link.cuts.Load() < 20 || sentAgain.Load() < 20 {
		t.Errorf("%d connections were cut and %d requests were in trouble, want 20 and more", link.cuts.Load(), sentAgain.Load())
	}
	t.Logf("seed %d: %d connections cut, %d photos received", *seed, link.cuts.Load(), w.ledger.count(file))
}

// TestASlowPhone has every burst of bytes come 300 ms late, few of them in a second, and one connection in five cut, each
// request with one of its own: line and photo arrive, and a cut costs no more than the piece that was under way.
func TestASlowPhone(t *testing.T) {
	t.Parallel()
	w := furnish(t, install(t, true))
	nth, which := 0, 0
	slow := newLink(t, w.addr, 300*time.Millisecond, *bits/8, func(rng *rand.Rand) (up, down int64) {
		if nth%5 == 0 {
			which = rng.IntN(5)
		}
		nth++
		if (nth-1)%5 != which {
			return never, never
		}
		return someBytes(rng, 600, 150) // no request and no answer is shorter
	})
	tr := w.opened(t)[0]
	data, err := tr.picture(150, 100)
	must(t, err)
	direct := tr.client
	phone := *direct
	phone.addr = slow.Addr().String()
	tr.client = &phone
	tr.deliver("line", http.MethodPost, tr.at("/entries"), "application/json",
		body{"entries": []body{{"id": uuid.NewString(), "item": "tf", "text": "61", "note": "slow"}}},
		[]effect{{kind: entry, attempt: tr.attempt, key: "slow", content: "tf|61|"}})
	tr.client = direct
	id := uuid.NewString()
	s := &sending{tr: tr, addr: slow.Addr().String(), attempt: tr.attempt, id: id, data: data, digest: tr.sentFile(id, data).content, chunk: 1024, byItself: true}
	if s.all(); tr.failed != nil {
		t.Fatalf("seed %d: %v\n%s", *seed, tr.failed, w.tail(t))
	}
	if s.troubles == 0 || slow.cuts.Load() == 0 {
		t.Errorf("%d connections were cut and %d requests were in trouble, want some", slow.cuts.Load(), s.troubles)
	}
	if most := len(data) + s.troubles*s.chunk; s.sent > most {
		t.Errorf("%d bytes were sent of a photo of %d, want at most %d: one piece more for each of %d cuts", s.sent, len(data), most, s.troubles)
	}
	for _, s := range w.check(t) {
		t.Error(s)
	}
	t.Logf("seed %d: %d connections cut, %d bytes sent of a photo of %d", *seed, slow.cuts.Load(), s.sent, len(data))
}

// TestTheProgramIsKilledInMidUpload kills it again and again while a photo comes in small parts: what was acknowledged is
// never sent a second time.
func TestTheProgramIsKilledInMidUpload(t *testing.T) {
	t.Parallel()
	w := furnish(t, install(t, false))
	tr := w.opened(t)[0]
	rng := rand.New(rand.NewPCG(*seed, 1<<34))
	data, err := tr.picture(2000, 1500)
	must(t, err)
	sent := make(chan *sending, 1)
	go func() { sent <- tr.upload(tr.addr, uuid.NewString(), data, len(data)/200) }()
	for range times(3) {
		time.Sleep(moment(rng) / 2)
		w.kill()
		w.start(t)
	}
	s := <-sent
	if tr.failed != nil {
		t.Fatalf("seed %d: %v\n%s", *seed, tr.failed, w.tail(t))
	}
	if s.troubles == 0 || s.heard == 0 {
		t.Errorf("nothing was killed while it mattered: %d requests in trouble, %d bytes heard of", s.troubles, s.heard)
	}
	for _, s := range w.check(t) {
		t.Error(s)
	}
}

// TestAByteThatFlipsOnTheWay changes one bit of a part: everything of that photo is thrown away, and the second time it
// arrives.
func TestAByteThatFlipsOnTheWay(t *testing.T) {
	t.Parallel()
	w := furnish(t, install(t, true))
	tr := w.opened(t)[0]
	to, err := url.Parse("http://" + w.addr)
	must(t, err)
	var parts atomic.Int32
	proxy := &httputil.ReverseProxy{Rewrite: func(r *httputil.ProxyRequest) {
		r.SetURL(to)
		if r.Out.Method == http.MethodPatch && parts.Add(1) == 2 {
			r.Out.Body = &flipping{r.Out.Body, tr.rng.IntN(1000)}
		}
	}}
	link := httptest.NewServer(proxy)
	defer link.Close()
	data, err := tr.picture(300, 200)
	must(t, err)
	s := tr.upload(strings.TrimPrefix(link.URL, "http://"), uuid.NewString(), data, 10_000)
	if tr.failed != nil || s.afresh != 1 {
		t.Errorf("the photo was thrown away %d times, want once: %v", s.afresh, tr.failed)
	}
	for _, s := range w.check(t) {
		t.Error(s)
	}
}

// flipping is a body with one bit changed, so many bytes from now.
type flipping struct {
	io.ReadCloser
	in int
}

func (f *flipping) Read(p []byte) (int, error) {
	n, err := f.ReadCloser.Read(p)
	if f.in >= 0 && f.in < n {
		p[f.in] ^= 1
	}
	f.in -= n
	return n, err
}

// TestAnUploadOnAFullDisk sends more than there is room for: the part that does not fit is refused with 507 and leaves the
// upload where it was; something smaller still arrives.
func TestAnUploadOnAFullDisk(t *testing.T) {
	t.Parallel()
	if !mayMount(t) {
		return
	}
	w := furnish(t, installSmall(t))
	tr := w.opened(t)[0]
	big, err := tr.picture(2000, 1500) // more than the whole disk
	must(t, err)
	s := &sending{tr: tr, addr: tr.addr, attempt: tr.attempt, id: uuid.NewString(), data: big, digest: tr.sentFile("", big).content}
	r, err := s.announce()
	must(t, err)
	at, offset := r.Header.Get("Location"), 0
	part := func() *http.Response {
		r, err := s.do(http.MethodPatch, at, big[offset:offset+200<<10],
			map[string]string{"Upload-Offset": strconv.Itoa(offset), "Content-Type": "application/offset+octet-stream"})
		must(t, err)
		return r
	}
	for r = part(); r.StatusCode == http.StatusNoContent; r = part() {
		offset += 200 << 10
	}
	for range 2 {
		if body, err := io.ReadAll(r.Body); err != nil || r.StatusCode != http.StatusInsufficientStorage || !strings.Contains(string(body), "no room left") {
			t.Fatalf("a part on a full disk: %d %s, %v", r.StatusCode, body, err)
		}
		head, err := s.do(http.MethodHead, at, nil, nil)
		must(t, err)
		if got := head.Header.Get("Upload-Offset"); head.StatusCode != http.StatusOK || got != strconv.Itoa(offset) || offset == 0 {
			t.Errorf("after the refusal the upload is at %q, want %d", got, offset)
		}
		r = part() // sent again it is refused again
	}
	small, err := tr.picture(100, 100)
	must(t, err)
	if tr.upload(tr.addr, uuid.NewString(), small, 4000); tr.failed != nil {
		t.Errorf("something smaller: %v", tr.failed)
	}
	for _, s := range w.check(t) {
		t.Error(s)
	}
}
