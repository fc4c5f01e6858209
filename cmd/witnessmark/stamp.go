package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"fmt"
	"io"
	"math/big"
	"mime"
	"net/http"
	"net/url"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/pades"
)

// How long a time-stamp authority may take, and how much it may send (our own values; a token takes some 5 KB).
const (
	stampWait = 20 * time.Second
	maxStamp  = 64 << 10
)

// stamper asks the authority at an address for time-stamps (RFC 3161 over HTTP, section 3.4). Plain http will do: what comes back is
// signed, and its nonce shows that it is to this question.
func stamper(address string) (app.Stamper, error) {
	u, err := url.Parse(address)
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return nil, fmt.Errorf("%q is no address of a time-stamp authority, such as http://tsa.example.org/stamp", address)
	}
	client := &http.Client{Timeout: stampWait}
	return func(ctx context.Context, imprint [sha256.Size]byte) ([]byte, error) {
		nonce, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 128))
		if err != nil {
			return nil, fmt.Errorf("ask for a time-stamp: %w", err)
		}
		query, err := pades.Query(imprint, nonce)
		if err != nil {
			return nil, err
		}
		reply, err := post(ctx, client, address, query)
		if err != nil {
			return nil, fmt.Errorf("ask %s for a time-stamp: %w", u.Host, err)
		}
		return pades.Reply(reply, imprint, nonce)
	}, nil
}

func post(ctx context.Context, client *http.Client, address string, query []byte) ([]byte, error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, address, bytes.NewReader(query))
	if err != nil {
		return nil, err
	}
	r.Header.Set("Content-Type", pades.QueryType)
	answer, err := client.Do(r)
	if err != nil {
		return nil, err
	}
	defer answer.Body.Close() // only read
	if answer.StatusCode != http.StatusOK {
		return nil, fmt.Errorf("it answered %s", answer.Status)
	}
	if kind, _, err := mime.ParseMediaType(answer.Header.Get("Content-Type")); err != nil || kind != pades.ReplyType {
		return nil, fmt.Errorf("it sent %q, not a time-stamp", answer.Header.Get("Content-Type"))
	}
	body, err := io.ReadAll(io.LimitReader(answer.Body, maxStamp+1))
	if err == nil && len(body) > maxStamp {
		err = fmt.Errorf("it sent more than %d bytes", maxStamp)
	}
	return body, err
}
