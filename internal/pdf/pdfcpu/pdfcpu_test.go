// Package pdfcpu holds portfolios against a PDF library of others (Apache-2.0), in a module of its own so that the program does not
// carry it.
package pdfcpu

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"io"
	"testing"
	"time"

	"github.com/pdfcpu/pdfcpu/pkg/api"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"

	"witnessmark/internal/pades"
	"witnessmark/internal/pades/padestest"
	"witnessmark/internal/pdf"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/portfolio/portfoliotest"
)

// portfolioOf draws the sample portfolio with its record attached, signed or not.
func portfolioOf(t *testing.T, sign bool) []byte {
	t.Helper()
	src, files := portfoliotest.Source(t)
	doc := portfolio.Assemble(src)
	o := pdf.Options{
		Open:        func(digest string) (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(files[digest])), nil },
		Attachments: []pdf.Attachment{{Name: "record.json", MediaType: "application/json", Relationship: "Data", Description: "The record", Made: doc.MadeAt, Data: []byte("{}")}},
	}
	if sign {
		key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
		if err != nil {
			t.Fatal(err)
		}
		by := padestest.Issue(t, pades.Identity{}, &x509.Certificate{Subject: pkix.Name{CommonName: doc.CentreName}, KeyUsage: x509.KeyUsageDigitalSignature}, key)
		at := time.Now()
		o.Sign = &pdf.Signing{Name: doc.CentreName, At: at, Sign: func(digest [32]byte) ([]byte, error) { return pades.Sign(digest, by, at, nil) }}
	}
	var b bytes.Buffer
	if _, err := pdf.Portfolio(t.Context(), &b, doc, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// pdfcpu finds nothing wrong by its relaxed rules, and finds the attachment.
func TestPDFCPU(t *testing.T) {
	api.DisableConfigDir()
	for name, sign := range map[string]bool{"plain": false, "signed": true} {
		t.Run(name, func(t *testing.T) {
			b := portfolioOf(t, sign)
			conf := model.NewDefaultConfiguration()
			conf.ValidationMode = model.ValidationRelaxed
			if err := api.Validate(bytes.NewReader(b), conf); err != nil {
				t.Errorf("pdfcpu: %v", err)
			}
			all, err := api.Attachments(bytes.NewReader(b), conf)
			if err != nil || len(all) != 1 || all[0].FileName != "record.json" {
				t.Errorf("pdfcpu finds the attachments %+v, %v", all, err)
			}
		})
	}
}

// Half a file is refused, so the check can fail.
func TestPDFCPURefuses(t *testing.T) {
	api.DisableConfigDir()
	b := portfolioOf(t, false)
	if err := api.Validate(bytes.NewReader(b[:len(b)/2]), model.NewDefaultConfiguration()); err == nil {
		t.Error("taken")
	}
}
