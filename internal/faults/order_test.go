//go:build linux

package faults_test

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
)

// request is one message of a phone's queue. It is made afresh each time that it is sent, as a phone makes it, under the same
// ids.
type request struct {
	what string
	send func() (int, []byte, error)
	sent []effect
	once bool // a second time it is refused, since the first had its effect
}

// written is what one attempt is filled with: the same for two of them, but for ids.
type written struct {
	lines  []typed // in the order in which they were typed
	photos [][]byte
}

type typed struct{ item, text, working string }

// corrections is how many lines are typed over others.
const corrections = 8

func (tr *trainee) writes() (written, error) {
	var w written
	for n := range len(slots) + corrections {
		slot := slots[n%len(slots)]
		if n >= len(slots) {
			slot = slots[tr.rng.IntN(len(slots))]
		}
		line := typed{item: slot, text: fmt.Sprint(10 + tr.rng.IntN(80))}
		if slot == "risk" {
			line.text = "yes"
		}
		if slot == "dt" {
			line.working = line.text + " = " + line.text
		}
		w.lines = append(w.lines, line)
	}
	for range 2 {
		data, err := tr.picture(60, 40)
		if err != nil {
			return w, err
		}
		w.photos = append(w.photos, data)
	}
	return w, nil
}

// queue is the next attempt's requests in the phone's order: it is opened, every line goes by itself, then the photos, one of
// them in parts, and it is handed over with the list of all that.
func (tr *trainee) queue(w written) []request {
	tr.attempt, tr.planned = tr.planned[0], tr.planned[1:]
	attempt, began := tr.attempt, time.Now().Add(-time.Hour)
	at := func(rest string) string { return "/api/attempts/" + attempt + rest }
	post := func(rest string, b body) func() (int, []byte, error) {
		return func() (int, []byte, error) {
			b := maps.Clone(b)
			b["sent_at"] = time.Now()
			raw, err := json.Marshal(b)
			if err != nil {
				return 0, nil, err
			}
			return tr.send(http.MethodPost, at(rest), "application/json", raw)
		}
	}
	all := []request{{what: "open", once: true, send: func() (int, []byte, error) {
		return tr.send(http.MethodPost, at("/open"), "application/json", []byte(`{"plan_agreed":true,"risk_seen":true}`))
	}}}
	var listed []body
	for n, l := range w.lines {
		id, note := uuid.NewString(), uuid.NewString()
		line := body{"id": id, "item": l.item, "text": l.text, "note": note, "captured_at": began.Add(time.Duration(n) * time.Second), "clock_offset_ms": 0}
		if l.working != "" {
			line["working"] = l.working
		}
		listed = append(listed, body{"id": id, "kind": "entry", "digest": digestOf(l.item, l.text, l.working)})
		all = append(all, request{
			what: l.item + " " + l.text, send: post("/entries", body{"entries": []body{line}}),
			sent: []effect{{kind: entry, attempt: attempt, key: note, content: l.item + "|" + l.text + "|" + l.working}},
		})
	}
	for n, data := range w.photos {
		id := uuid.NewString()
		f := tr.sentFile(id, data)
		listed = append(listed, body{"id": id, "kind": "file", "digest": f.content})
		r := request{what: "photo", sent: []effect{f}, send: func() (int, []byte, error) {
			return tr.send(http.MethodPut, at("/files/"+id+"?item=before"), "image/jpeg", data)
		}}
		if n == 0 {
			r = request{what: "photo in parts", sent: []effect{f}, send: func() (int, []byte, error) { return tr.inParts(attempt, id, data) }}
		}
		all = append(all, r)
	}
	seal := body{"id": uuid.NewString(), "sealed_at": began.Add(time.Minute), "clock_offset_ms": 0, "items": listed}
	return append(all, request{
		what: "hand over", send: post("/hand-over", body{"own_work": true, "seal": seal}),
		sent: []effect{{kind: handedOver, attempt: attempt, key: attempt}},
	})
}

// inParts is a photo's upload from its announcement to its end, as one thing that comes in its turn or is refused.
func (tr *trainee) inParts(attempt, id string, data []byte) (int, []byte, error) {
	s := &sending{tr: tr, addr: tr.addr, attempt: attempt, id: id, data: data, digest: tr.sentFile(id, data).content, chunk: len(data)/3 + 1}
	r, err := s.announce()
	if err == nil {
		s.at = r.Header.Get("Location")
	}
	for err == nil && r.StatusCode < 300 && r.Header.Get("Witnessmark-Received") == "" {
		var offset int
		if offset, err = strconv.Atoi(r.Header.Get("Upload-Offset")); err == nil {
			r, err = s.part(offset)
		}
	}
	if err != nil {
		return 0, nil, err
	}
	got, err := io.ReadAll(r.Body)
	return r.StatusCode, got, err
}

// digestOf is what the list says of a line: the phone reckons it by itself.
func digestOf(item, text, working string) string {
	return fmt.Sprintf("%x", sha256.Sum256([]byte(strings.Join([]string{item, "", "", text, "", working}, "\x1f"))))
}

// deliverAll sends requests in the order given, each one to three times and now and then at once. What is refused as out of
// its turn is sent again after the rest, in another order. It gives how often that was.
func (tr *trainee) deliverAll(all []request) (refused int, err error) {
	for len(all) > 0 {
		var left []request
		for _, r := range all {
			taken, err := tr.some(r)
			if err != nil {
				return refused, err
			}
			if !taken {
				left = append(left, r)
			}
		}
		if len(left) == len(all) {
			return refused, fmt.Errorf("%q and %d more are refused however often they are sent", left[0].what, len(left)-1)
		}
		refused += len(left)
		tr.rng.Shuffle(len(left), func(i, k int) { left[i], left[k] = left[k], left[i] })
		all = left
	}
	return refused, nil
}

// some sends a request one to three times, and says whether it was taken. A time after that it may not be refused.
func (tr *trainee) some(r request) (taken bool, err error) {
	type answer struct {
		status int
		got    []byte
		err    error
	}
	times := 1 + tr.rng.IntN(3)
	answers := make(chan answer, times)
	one := func() {
		status, got, err := r.send()
		answers <- answer{status, got, err}
	}
	atOnce := tr.rng.IntN(2) == 0
	for range times {
		if atOnce {
			go one()
		} else {
			one()
		}
	}
	yes, no := 0, 0
	for range times {
		switch a := <-answers; {
		case a.err != nil:
			err = fmt.Errorf("%s: %w", r.what, a.err)
		case a.status < 300:
			yes++
			tr.world.ledger.acknowledged(r.sent)
		case a.status == http.StatusConflict || a.status == http.StatusPreconditionFailed || a.status == http.StatusLocked:
			no++
		default:
			err = fmt.Errorf("%s: answered %d: %s", r.what, a.status, a.got)
		}
	}
	if yes > 0 && no > 0 && !r.once && r.what != "photo in parts" { // two that send one file at once get in each other's way
		err = fmt.Errorf("%s: taken %d times and refused %d times", r.what, yes, no)
	}
	return yes > 0, err
}

// end is how an attempt stands in the end, without what two of them cannot share: ids and times.
func (w *world) end(t *testing.T, attempt string) string {
	t.Helper()
	var s struct {
		State  string
		Held   []json.RawMessage
		Stages []struct {
			Items []struct {
				Key   string
				Done  bool
				Files []struct{ SHA256 string }
				Lines []struct {
					Entry   *struct{ Text, Working string }
					Earlier []struct{ Text, Working string }
					Finding json.RawMessage
				}
			}
		}
	}
	must(t, json.Unmarshal(w.tutor.ok(t, http.MethodGet, "/api/attempts/"+attempt, nil), &s))
	for _, st := range s.Stages {
		for _, it := range st.Items {
			slices.SortFunc(it.Files, func(a, b struct{ SHA256 string }) int { return strings.Compare(a.SHA256, b.SHA256) })
		}
	}
	out, err := json.MarshalIndent(s, "", " ")
	must(t, err)
	return string(out)
}

// TestAQueueInAnyOrder sends what a phone has to say of an attempt in a random order, as a bad link and a browser that repeats
// by itself may: in the end the attempt stands as one that got the same in the phone's order. In each place what was typed last
// counts, whatever came last; what cannot be taken in that order is refused as a conflict, and taken when it is sent again.
func TestAQueueInAnyOrder(t *testing.T) {
	t.Parallel()
	t.Logf("seed %d: run it again with -args -seed %d", *seed, *seed)
	w := furnish(t, install(t, true))
	w.setTasks(t, 2)
	type pair struct{ inOrder, mixed string }
	var pairs []pair
	refused := 0
	for _, tr := range w.work {
		what, err := tr.writes()
		must(t, err)
		var p pair
		_, err = tr.deliverAll(tr.queue(what))
		must(t, err)
		p.inOrder = tr.attempt
		mixed := tr.queue(what)
		tr.rng.Shuffle(len(mixed), func(i, k int) { mixed[i], mixed[k] = mixed[k], mixed[i] })
		n, err := tr.deliverAll(mixed)
		must(t, err)
		p.mixed = tr.attempt
		refused += n
		pairs = append(pairs, p)
	}
	w.settle(t) // all of them are marked
	for n, p := range pairs {
		if in, mixed := w.end(t, p.inOrder), w.end(t, p.mixed); in != mixed {
			t.Errorf("trainee %d: in the phone's order it ends as\n%s\nin another as\n%s", n, in, mixed)
		}
	}
	for _, s := range w.check(t) {
		t.Error(s)
	}
	w.checkKept(t)
	if refused == 0 {
		t.Error("nothing was refused: nothing was out of its turn")
	}
	t.Logf("%d requests were refused as out of their turn, and taken later", refused)
}
