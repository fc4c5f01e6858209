package main

import (
	"bytes"
	"crypto/sha256"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"witnessmark/internal/pades"
	"witnessmark/internal/pades/padestest"
)

// The authority is OpenSSL's own.
func TestStamper(t *testing.T) {
	a := padestest.NewAuthority(t)
	stamp, err := stamper(a.URL)
	if err != nil {
		t.Fatal(err)
	}
	token, err := stamp(t.Context(), sha256.Sum256([]byte("a signature")))
	if err != nil || len(token) == 0 {
		t.Fatalf("got %d bytes, %v", len(token), err)
	}
	other, err := stamp(t.Context(), sha256.Sum256([]byte("a signature")))
	if err != nil || bytes.Equal(token, other) {
		t.Errorf("asked again: the same token, or %v", err)
	}
}

func TestStamperRefuses(t *testing.T) {
	for address, want := range map[string]string{"tsa.example.org": "no address", "ftp://tsa.example.org/": "no address", "http://": "no address"} {
		if _, err := stamper(address); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v", address, err)
		}
	}
	for name, tt := range map[string]struct {
		answer http.HandlerFunc
		want   string
	}{
		"busy":     {func(w http.ResponseWriter, _ *http.Request) { http.Error(w, "busy", http.StatusServiceUnavailable) }, "503"},
		"a page":   {func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write([]byte("<html>")) }, "not a time-stamp"},
		"too much": {func(w http.ResponseWriter, _ *http.Request) { typed(w, make([]byte, maxStamp+1)) }, "more than"},
		"nonsense": {func(w http.ResponseWriter, _ *http.Request) { typed(w, []byte("yes")) }, "none of RFC 3161"},
	} {
		t.Run(name, func(t *testing.T) {
			s := httptest.NewServer(tt.answer)
			defer s.Close()
			stamp, err := stamper(s.URL)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := stamp(t.Context(), [32]byte{1}); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want …%s…", err, tt.want)
			}
		})
	}
}

func typed(w http.ResponseWriter, body []byte) {
	w.Header().Set("Content-Type", pades.ReplyType)
	_, _ = w.Write(body) // a client may go away
}
