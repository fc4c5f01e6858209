//go:build linux

package faults_test

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"sync"
	"testing"
)

// The kinds of effect.
const (
	entry      = "entry"
	file       = "file"
	handedOver = "hand-over"
)

// effect is one thing that a request has when it is taken. Its key is the sender's own; no two effects share one.
type effect struct {
	kind, attempt, key string
	content            string // what has to come back, byte for byte
}

// ledger is what was acknowledged, kept by the driver apart from the program.
type ledger struct {
	mu   sync.Mutex
	has  map[string]effect // by key
	list []effect          // in the order of their first acknowledgement
}

func newLedger() *ledger { return &ledger{has: map[string]effect{}} }

// acknowledged writes effects down; one that is there already was acknowledged twice, which is fine.
func (l *ledger) acknowledged(sent []effect) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, e := range sent {
		if _, twice := l.has[e.key]; !twice {
			l.has[e.key] = e
			l.list = append(l.list, e)
		}
	}
}

// compare says what of the ledger is not found as it was acknowledged, what is found twice, and what is found that nobody
// was told of: every request is sent until it is acknowledged, so nothing else may be there.
func (l *ledger) compare(found []effect) []string {
	l.mu.Lock()
	defer l.mu.Unlock()
	times := map[string][]effect{}
	for _, e := range found {
		times[e.key] = append(times[e.key], e)
	}
	var wrong []string
	for _, e := range l.list {
		switch got := times[e.key]; {
		case len(got) == 0:
			wrong = append(wrong, fmt.Sprintf("lost: %s %s of attempt %s", e.kind, e.key, e.attempt))
		case len(got) > 1:
			wrong = append(wrong, fmt.Sprintf("there %d times: %s %s of attempt %s", len(got), e.kind, e.key, e.attempt))
		case got[0] != e:
			wrong = append(wrong, fmt.Sprintf("changed: %+v came back as %+v", e, got[0]))
		}
		delete(times, e.key)
	}
	for _, got := range times {
		wrong = append(wrong, fmt.Sprintf("never acknowledged: %+v", got[0]))
	}
	slices.Sort(wrong)
	return wrong
}

// attempts lists the attempts that something was acknowledged for.
func (l *ledger) attempts() []string {
	var out []string
	for _, e := range l.list {
		out = append(out, e.attempt)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// count is how many effects of a kind were acknowledged.
func (l *ledger) count(kind string) int {
	n := 0
	for _, e := range l.list {
		if e.kind == kind {
			n++
		}
	}
	return n
}

// sheet is what the ledger asks of an attempt.
type sheet struct {
	State        string
	HandedOverAt string `json:"handed_over_at"`
	Stages       []struct {
		Items []struct {
			Key   string
			Files []struct{ ID, SHA256 string }
			Lines []struct {
				Entry   *line
				Earlier []line
			}
		}
	}
}

type line struct{ Text, Working, Note string }

// found reads an attempt back through the API, with the bytes of its files.
func (w *world) found(t *testing.T, attempt string) []effect {
	t.Helper()
	var s sheet
	must(t, json.Unmarshal(w.tutor.ok(t, http.MethodGet, "/api/attempts/"+attempt, nil), &s))
	var out []effect
	if s.HandedOverAt != "" {
		out = append(out, effect{kind: handedOver, attempt: attempt, key: attempt})
	}
	for _, st := range s.Stages {
		for _, it := range st.Items {
			for _, l := range it.Lines {
				lines := l.Earlier
				if l.Entry != nil {
					lines = append(lines, *l.Entry)
				}
				for _, e := range lines {
					out = append(out, effect{kind: entry, attempt: attempt, key: e.Note, content: it.Key + "|" + e.Text + "|" + e.Working})
				}
			}
			for _, f := range it.Files {
				data := w.tutor.ok(t, http.MethodGet, "/api/files/"+f.ID, nil)
				digest := fmt.Sprintf("%x", sha256.Sum256(data))
				if digest != f.SHA256 {
					t.Errorf("file %s: its bytes have the digest %s, its row says %s", f.ID, digest, f.SHA256)
				}
				out = append(out, effect{kind: file, attempt: attempt, key: f.ID, content: digest})
			}
		}
	}
	return out
}

// check compares the ledger with what the API gives back, and gives what is wrong.
func (w *world) check(t *testing.T) []string {
	t.Helper()
	var all []effect
	for _, attempt := range w.ledger.attempts() {
		all = append(all, w.found(t, attempt)...)
	}
	return w.ledger.compare(all)
}

// checkKept compares the ledger with the rows themselves, past the program: nothing is there that no page shows.
func (w *world) checkKept(t *testing.T) {
	t.Helper()
	super := w.settle(t)
	for _, c := range []struct {
		what, sql string
		want      int
	}{
		{"entries", `SELECT count(*) FROM entry`, w.ledger.count(entry)},
		{"files", `SELECT count(*) FROM evidence`, w.ledger.count(file)},
		{"previews", `SELECT count(preview_digest) FROM evidence`, w.ledger.count(file)},
		{"attempts that are checked", `SELECT count(*) FROM attempt WHERE state = 'checked'`, w.ledger.count(handedOver)},
		{"attempts that are handed over, however far", `SELECT count(*) FROM attempt WHERE handed_over_at IS NOT NULL`, w.ledger.count(handedOver)},
		{"markings", `SELECT count(*) FROM marking`, w.ledger.count(handedOver)},
		{"attempts with a marking", `SELECT count(DISTINCT attempt_id) FROM marking`, w.ledger.count(handedOver)},
		{"jobs to mark", `SELECT count(*) FROM river.river_job WHERE kind = 'mark'`, w.ledger.count(handedOver)},
		// Signing the logs is tried once, since the next comes within a minute: one that was killed is given up.
		{"jobs given up", `SELECT count(*) FROM river.river_job WHERE state IN ('cancelled', 'discarded') AND kind <> 'sign_logs'`, 0},
	} {
		var got int
		must(t, super.QueryRow(t.Context(), c.sql).Scan(&got))
		if got != c.want {
			t.Errorf("%s: %d are kept, want %d", c.what, got, c.want)
		}
	}
}

func TestTheLedgerCanFail(t *testing.T) {
	a, b := effect{entry, "1", "a", "x"}, effect{file, "1", "b", "y"}
	for _, c := range []struct {
		name  string
		found []effect
		want  int
	}{
		{"all there", []effect{b, a}, 0},
		{"one lost", []effect{a}, 1},
		{"one twice", []effect{a, b, b}, 1},
		{"one changed", []effect{a, {file, "1", "b", "z"}}, 1},
		{"one in another attempt", []effect{{entry, "2", "a", "x"}, b}, 1},
		{"one that nobody was told of", []effect{a, b, {entry, "1", "c", "x"}}, 1},
	} {
		l := newLedger()
		l.acknowledged([]effect{a, b, a})
		if got := l.compare(c.found); len(got) != c.want {
			t.Errorf("%s: got %q, want %d", c.name, got, c.want)
		}
	}
}
