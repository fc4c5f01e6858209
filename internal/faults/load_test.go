//go:build linux

package faults_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"net/http"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/google/uuid"
)

// trainee writes: entries, photos and hand-overs, one attempt after the other, for as long as it may.
type trainee struct {
	*client
	world   *world
	rng     *rand.Rand
	planned []string // attempts not opened yet
	attempt string   // the open one, "" where there is none
	left    int      // steps until it is handed over
	failed  error    // an answer that should not have come
	again   int      // requests that had to be sent more than once
}

func newTrainee(w *world, c *client, n int) *trainee {
	return &trainee{client: c, world: w, rng: rand.New(rand.NewPCG(*seed, uint64(n)))}
}

// slots are the places of the brief to write into.
var slots = []string{"tf", "tr", "dt", "why", "risk"}

// write goes on until it is told to stop, and ends with nothing open between it and the program.
func (tr *trainee) write(stop *atomic.Bool) {
	for !stop.Load() && tr.failed == nil {
		switch {
		case tr.attempt == "" && len(tr.planned) == 0:
			return
		case tr.attempt == "":
			tr.open()
		case tr.left == 0:
			tr.handOver()
		case tr.rng.IntN(4) == 0:
			tr.photo()
		default:
			tr.entries(1 + tr.rng.IntN(4))
		}
	}
}

// open starts the next attempt, fills every place once and adds a photo, so that it can be handed over at any time.
func (tr *trainee) open() {
	tr.attempt, tr.planned, tr.left = tr.planned[0], tr.planned[1:], 2+tr.rng.IntN(8)
	raw := []byte(`{"plan_agreed":true,"risk_seen":true}`)
	status, before, got, err := tr.insist(http.MethodPost, tr.at("/open"), "application/json", raw)
	// Sent again, it is open already: there is no second effect that one could have had.
	if err != nil || status != http.StatusNoContent && (status != http.StatusConflict || before == 0) {
		tr.fail("open", status, got, err)
		return
	}
	tr.entries(len(slots))
	tr.photo()
}

func (tr *trainee) at(rest string) string { return "/api/attempts/" + tr.attempt + rest }

// entries sends n entries at once.
func (tr *trainee) entries(n int) {
	tr.left--
	lines, sent := tr.lines(n)
	tr.deliver("entries", http.MethodPost, tr.at("/entries"), "application/json", body{"entries": lines}, sent)
}

// handOver sends what was typed last with it.
func (tr *trainee) handOver() {
	lines, sent := tr.lines(1)
	sent = append(sent, effect{kind: handedOver, attempt: tr.attempt, key: tr.attempt})
	tr.deliver("hand over", http.MethodPost, tr.at("/hand-over"), "application/json", body{"own_work": true, "entries": lines}, sent)
	tr.attempt = ""
}

// lines makes entries, the first of them over all slots in turn, each told apart by its note.
func (tr *trainee) lines(n int) ([]body, []effect) {
	var lines []body
	var sent []effect
	from := tr.rng.IntN(len(slots))
	for i := range n {
		slot := slots[(from+i)%len(slots)]
		note := fmt.Sprintf("%s %x", uuid.NewString(), tr.bytes(8))
		text, working := fmt.Sprintf("%d", 10+tr.rng.IntN(80)), ""
		switch slot {
		case "dt":
			working = text + " = " + text
		case "risk":
			text = "yes"
		case "why":
			text = strings.Repeat(fmt.Sprintf("%x é 水 ", tr.bytes(4)), 1+tr.rng.IntN(100))
		}
		line := body{"id": uuid.NewString(), "item": slot, "text": text, "note": note}
		if working != "" {
			line["working"] = working
		}
		lines = append(lines, line)
		sent = append(sent, effect{kind: entry, attempt: tr.attempt, key: note, content: slot + "|" + text + "|" + working})
	}
	return lines, sent
}

// photo sends a picture of noise, each one different, at once or in parts.
func (tr *trainee) photo() {
	tr.left = max(tr.left-1, 0)
	data, err := tr.picture(40+tr.rng.IntN(200), 40+tr.rng.IntN(100))
	if err != nil {
		tr.failed = err
		return
	}
	id := uuid.NewString()
	if tr.rng.IntN(2) == 0 {
		tr.upload(tr.addr, id, data, 1+tr.rng.IntN(len(data)))
		return
	}
	tr.deliver("photo", http.MethodPut, tr.at("/files/"+id+"?item=before"), "image/jpeg", data, []effect{tr.sentFile(id, data)})
}

// sentFile is what a photo has to come back as.
func (tr *trainee) sentFile(id string, data []byte) effect {
	return effect{kind: file, attempt: tr.attempt, key: id, content: fmt.Sprintf("%x", sha256.Sum256(data))}
}

// picture is a JPEG of noise: no two are the same, and none gets small.
func (tr *trainee) picture(width, height int) ([]byte, error) {
	img := image.NewGray(image.Rect(0, 0, width, height))
	copy(img.Pix, tr.bytes(len(img.Pix)))
	var data bytes.Buffer
	err := jpeg.Encode(&data, img, nil)
	return data.Bytes(), err
}

// deliver sends something until it is acknowledged, one to three times, some of them at once, and writes the acknowledgement
// into the ledger.
func (tr *trainee) deliver(what, method, path, media string, content any, sent []effect) {
	raw, isBytes := content.([]byte)
	if !isBytes {
		var err error
		if raw, err = json.Marshal(content); err != nil {
			tr.failed = err
			return
		}
	}
	atOnce, after := 1, 0
	switch tr.rng.IntN(6) {
	case 0:
		atOnce = 2
	case 1:
		after = 1
	case 2:
		atOnce, after = 2, 1
	}
	var all sync.WaitGroup
	errs, befores := make([]error, atOnce), make([]int, atOnce)
	one := func(i int) {
		status, before, got, err := tr.insist(method, path, media, raw)
		if err == nil && status >= 300 {
			err = fmt.Errorf("%s: answered %d: %s", what, status, got)
		}
		errs[i], befores[i] = err, befores[i]+before
		if err == nil {
			tr.world.ledger.acknowledged(sent)
		}
	}
	for i := range atOnce {
		all.Go(func() { one(i) })
	}
	all.Wait()
	if after > 0 && errs[0] == nil {
		one(0)
	}
	tr.failed = errors.Join(errs...)
	for _, n := range befores {
		tr.again += min(n, 1)
	}
}

func (tr *trainee) fail(what string, status int, got []byte, err error) {
	tr.failed = errors.Join(err, fmt.Errorf("%s: answered %d: %s", what, status, got))
}

func (tr *trainee) bytes(n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(tr.rng.UintN(256))
	}
	return b
}
