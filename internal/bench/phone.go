package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"strconv"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/api"
)

// phone is one client: a connection that is kept, and a request in which only what is fresh is written anew. It shares the
// machine with the server that is measured, so it must cost as little as pgbench's own clients do; net/http's costs as much
// as the server.
type phone struct {
	conn    net.Conn
	in      *bufio.Reader
	request []byte
	fresh   []place
}

// place is where something fresh stands in the request.
type place struct {
	at   int
	text func(n number) string // as long for every number
}

// newPhone connects to the server.
func newPhone(address string, w world) (*phone, error) {
	request, fresh, err := requestOf(w, address)
	if err != nil {
		return nil, err
	}
	conn, err := net.Dial("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("connect to the server: %w", err)
	}
	return &phone{conn: conn, in: bufio.NewReader(conn), request: request, fresh: fresh}, nil
}

// requestOf writes a hand-over as a trainee's phone sends it, and says where its fresh parts are.
func requestOf(w world, host string) ([]byte, []place, error) {
	entries := make([]api.NewEntry, len(w.entries))
	fresh := []func(number) string{number.attempt, func(n number) string { return token(n.trainee()) }}
	for k, e := range w.entries {
		id, err := uuid.Parse(numberOf(0).entry(k))
		if err != nil {
			return nil, nil, fmt.Errorf("read the id of an entry: %w", err)
		}
		entries[k] = api.NewEntry{ID: id, Item: e.Item, Part: e.Part, Phase: e.Phase, Text: e.Text, Unit: e.Unit, Working: e.Working,
			CapturedAt: time.Now().UTC().Add(-time.Minute)}
		fresh = append(fresh, func(n number) string { return n.entry(k) })
	}
	body, err := json.Marshal(api.HandOver{OwnWork: true, Entries: entries})
	if err != nil {
		return nil, nil, fmt.Errorf("write the body of a hand-over: %w", err)
	}
	n := numberOf(0)
	request := fmt.Appendf(nil, "POST /api/attempts/%s/hand-over HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nContent-Length: %d\r\nCookie: wm=%s\r\n\r\n%s",
		n.attempt(), host, len(body), token(n.trainee()), body)
	places := make([]place, len(fresh))
	for i, text := range fresh {
		if bytes.Count(request, []byte(text(n))) != 1 {
			return nil, nil, fmt.Errorf("%q does not stand once in the request", text(n))
		}
		places[i] = place{bytes.Index(request, []byte(text(n))), text}
	}
	return request, places, nil
}

// of is the request with the number; it is good until the next.
func (p *phone) of(n number) []byte {
	for _, f := range p.fresh {
		copy(p.request[f.at:], f.text(n))
	}
	return p.request
}

// handOver sends the hand-over with the number and wants it taken.
func (p *phone) handOver(ctx context.Context, n number) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if _, err := p.conn.Write(p.of(n)); err != nil {
		return fmt.Errorf("hand over: %w", err)
	}
	status, body, err := readAnswer(p.in)
	if err != nil {
		return fmt.Errorf("read the answer: %w", err)
	}
	if status != "200" {
		return fmt.Errorf("handing over %d was answered with %s: %s", n, status, body)
	}
	return nil
}

// readAnswer reads one answer of the server's: the code of its status, and its body where it has one.
func readAnswer(in *bufio.Reader) (status string, body []byte, err error) {
	line, err := in.ReadSlice('\n')
	if err != nil {
		return "", nil, err
	}
	words := bytes.SplitN(line, []byte(" "), 3)
	if len(words) < 2 || !bytes.HasPrefix(words[0], []byte("HTTP/1.")) || len(words[1]) != 3 {
		return "", nil, fmt.Errorf("%q is no status line", line)
	}
	status = string(words[1])
	length, err := readLength(in)
	if err != nil {
		return "", nil, err
	}
	body = make([]byte, length)
	_, err = io.ReadFull(in, body)
	return status, body, err
}

// readLength reads the header and gives the length of the body, 0 where it names none.
func readLength(in *bufio.Reader) (length int, err error) {
	for {
		line, err := in.ReadSlice('\n')
		if err != nil {
			return 0, err
		}
		if line = bytes.TrimRight(line, "\r\n"); len(line) == 0 {
			return length, nil
		}
		name, value, _ := bytes.Cut(line, []byte(":"))
		if !bytes.EqualFold(name, []byte("Content-Length")) {
			continue
		}
		if length, err = strconv.Atoi(string(bytes.TrimSpace(value))); err != nil || length < 0 {
			return 0, fmt.Errorf("%q is no length of an answer", value)
		}
	}
}
