//go:build linux

package faults_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"testing"
	"time"
)

// body is a JSON object to be sent.
type body map[string]any

// client is one signed-in person.
type client struct {
	addr   string
	person string
	cookie *http.Cookie
}

// answerLimit is how long an answer may take before it counts as lost.
const answerLimit = 30 * time.Second

// sender is everybody's connections.
var sender = http.Client{Timeout: answerLimit}

// send sends once. A cut connection is an error; every answer is none.
func (c *client) send(method, path, media string, raw []byte) (int, []byte, error) {
	req, err := http.NewRequest(method, "http://"+c.addr+path, bytes.NewReader(raw))
	if err != nil {
		return 0, nil, err
	}
	if len(raw) > 0 {
		req.Header.Set("Content-Type", media)
	}
	if c.cookie != nil {
		req.AddCookie(c.cookie)
	}
	r, err := sender.Do(req)
	if err != nil {
		return 0, nil, err
	}
	defer r.Body.Close()
	if k := r.Cookies(); len(k) > 0 && c.cookie == nil { // once, while nobody else uses this client
		c.cookie = k[0]
	}
	got, err := io.ReadAll(r.Body)
	return r.StatusCode, got, err
}

// ok sends JSON while nothing is being killed, and wants it taken.
func (c *client) ok(t *testing.T, method, path string, b body) []byte {
	t.Helper()
	var raw []byte
	if b != nil {
		var err error
		raw, err = json.Marshal(b)
		must(t, err)
	}
	status, got, err := c.send(method, path, "application/json", raw)
	if err != nil || status >= 300 {
		t.Fatalf("%s %s: %d, %v: %s", method, path, status, err, got)
	}
	return got
}

// create is ok for an answer that has an id.
func (c *client) create(t *testing.T, path string, b body) string {
	t.Helper()
	var made struct{ ID string }
	must(t, json.Unmarshal(c.ok(t, http.MethodPost, path, b), &made))
	return made.ID
}

// insist sends the same until there is an answer: no answer, and the answer that it did not work, leave open whether it
// did. It gives the first other answer and how often it was sent before that.
func (c *client) insist(method, path, media string, raw []byte) (status, before int, got []byte, err error) {
	for began := time.Now(); time.Since(began) < patience; before++ {
		status, got, err = c.send(method, path, media, raw)
		if err == nil && status < 500 {
			return status, before, got, nil
		}
		time.Sleep(20 * time.Millisecond)
	}
	return status, before, got, fmt.Errorf("%s %s was not answered in %v: last %d, %w", method, path, patience, status, err)
}
