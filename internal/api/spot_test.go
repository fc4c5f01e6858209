package api_test

import (
	"net/http"
	"strings"
	"testing"
)

// what a phone may send wrong of hand-overs and releases on the spot, and the place that is named.
func TestBadSealsAndSpots(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	own, tutor := s.people["own"], s.people["teaches"]
	digest := strings.Repeat("ab", 32)
	thing := func(change func(body)) []body {
		b := body{"id": newID(t), "kind": "file", "digest": digest}
		change(b)
		return []body{b}
	}
	seal := func(change func(body)) body {
		b := body{"id": newID(t), "sealed_at": "2026-05-04T10:00:00.123Z", "items": thing(func(body) {})}
		change(b)
		return body{"own_work": true, "sent_at": "2026-05-04T10:00:01Z", "seal": b}
	}
	claim := func(change func(body)) body {
		b := body{"id": newID(t), "stage": "wire", "day": "2026-05-04", "at": "2026-05-04T10:00:00Z", "items": thing(func(body) {}), "mac": digest}
		change(b)
		return b
	}
	release := func(change func(body)) body {
		b := body{"id": newID(t), "stage": "wire", "day": "2026-05-04", "released_at": "2026-05-04T10:00:00Z", "evidence_number": "000123"}
		change(b)
		return b
	}
	for _, c := range []struct {
		name, path string
		who        *client
		body       body
		place      string
	}{
		{"no list in the seal", "/hand-over", own, seal(func(b body) { delete(b, "items") }), "/seal/items"},
		{"the seal null", "/hand-over", own, body{"own_work": true, "seal": nil}, "/seal"},
		{"no time of sealing", "/hand-over", own, seal(func(b body) { delete(b, "sealed_at") }), "/seal/sealed_at"},
		{"a kind that is none", "/hand-over", own, seal(func(b body) { b["items"] = thing(func(b body) { b["kind"] = "tape" }) }), "/seal/items/0/kind"},
		{"a short digest", "/hand-over", own, seal(func(b body) { b["items"] = thing(func(b body) { b["digest"] = "ab" }) }), "/seal/items/0/digest"},
		{"no hexadecimal digest", "/hand-over", own, seal(func(b body) { b["items"] = thing(func(b body) { b["digest"] = strings.Repeat("zz", 32) }) }), "/seal/items/0/digest"},
		{"one thing twice", "/hand-over", own, seal(func(b body) {
			one := thing(func(body) {})
			b["items"] = append(one, one...)
		}), "/seal"},
		{"a clock in words", "/hand-over", own, seal(func(b body) { b["clock_offset_ms"] = "fast" }), "/seal/clock_offset_ms"},
		{"a clock null", "/hand-over", own, seal(func(b body) { b["clock_offset_ms"] = nil }), "/seal/clock_offset_ms"},
		{"half a millisecond", "/hand-over", own, seal(func(b body) { b["clock_offset_ms"] = 0.5 }), "/seal/clock_offset_ms"},
		{"a clock beyond all years", "/hand-over", own, seal(func(b body) { b["clock_offset_ms"] = 1e18 }), "/seal/clock_offset_ms"},
		{"an entry's clock in words", "/entries", own, body{"entries": []body{{"id": newID(t), "item": "why", "text": "x", "clock_offset_ms": true}}}, "/entries/0/clock_offset_ms"},
		{"no digits of a code", "/spot-claims", own, claim(func(b body) { b["mac"] = "12" }), "/mac"},
		{"no day", "/spot-claims", own, claim(func(b body) { delete(b, "day") }), "/day"},
		{"a day that is none", "/spot-claims", own, claim(func(b body) { b["day"] = "2026-02-30" }), "/day"},
		{"a list with one thing twice", "/spot-claims", own, claim(func(b body) {
			one := thing(func(body) {})
			b["items"] = append(one, one...)
		}), "/items"},
		{"an evidence number of five digits", "/spot-releases", tutor, release(func(b body) { b["evidence_number"] = "12345" }), "/evidence_number"},
		{"an evidence number in letters", "/spot-releases", tutor, release(func(b body) { b["evidence_number"] = "12345a" }), "/evidence_number"},
		{"endless words", "/spot-releases", tutor, release(func(b body) { b["words"] = strings.Repeat("x", 4001) }), "/words"},
		{"no reason", "/take-in", tutor, body{"id": newID(t), "words": ""}, "/words"},
		{"no reason", "/go-on-without", tutor, body{"words": ""}, "/words"},
	} {
		t.Run(c.path+" "+c.name, func(t *testing.T) {
			a := c.who.json(t, "POST", s.at(c.path), c.body)
			a.want(t, http.StatusUnprocessableEntity)
			a.hasPlace(t, c.place)
		})
	}
	for _, c := range []struct {
		path string
		who  *client
		body body
	}{
		{"/spot-claims", own, claim(func(b body) { b["stage"] = "nowhere" })},
		{"/spot-releases", tutor, release(func(b body) { b["stage"] = "nowhere" })},
	} {
		c.who.json(t, "POST", s.at(c.path), c.body).want(t, http.StatusNotFound)
	}
	var sheet struct {
		State string
		Seal  *struct{}
	}
	own.json(t, "GET", s.at(""), nil).into(t, &sheet)
	if sheet.State != "open" || sheet.Seal != nil {
		t.Errorf("after all that the attempt is %+v, want it open", sheet)
	}
}

// A list that was sealed on a phone whose clock is years wrong, with one photo still to come.
func TestSealedThroughTheAPI(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	own := s.people["own"]
	b := body{
		"own_work": true, "sent_at": "1970-01-02T00:00:05Z",
		"seal": body{
			"id": newID(t), "sealed_at": "1970-01-02T00:00:00Z", "clock_offset_ms": int64(56) * 365 * 24 * 3600 * 1000,
			"items": []body{{"id": newID(t), "kind": "file", "digest": strings.Repeat("ab", 32)}},
		},
	}
	for range 2 {
		a := own.json(t, "POST", s.at("/hand-over"), b)
		a.want(t, http.StatusOK)
		var got struct {
			State   string
			Awaited int
		}
		if a.into(t, &got); got.State != "handed_over" || got.Awaited != 1 {
			t.Errorf("handed over with %+v, want one awaited", got)
		}
	}
	var sheet struct {
		Seal struct{ Listed, Awaited int }
		Held []struct{}
	}
	s.people["teaches"].json(t, "GET", s.at(""), nil).into(t, &sheet)
	if sheet.Seal.Listed != 1 || sheet.Seal.Awaited != 1 || sheet.Held == nil || len(sheet.Held) != 0 {
		t.Errorf("the tutor's sheet says %+v", sheet)
	}
}
