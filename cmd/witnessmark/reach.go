package main

import (
	"crypto/tls"
	"errors"
	"fmt"
	"net/netip"
	"strings"
	"time"
)

// reach is how people's devices come to the server over https: the settings that serve and doctor share.
type reach struct {
	TLSCert        string   `help:"Certificate file; phones need https for everything that works off line." variable:"WITNESSMARK_TLS_CERT" placeholder:"FILE"`
	TLSKey         string   `help:"The certificate's key file." variable:"WITNESSMARK_TLS_KEY" placeholder:"FILE"`
	TrustedProxies []string `name:"trusted-proxy" help:"Network of a proxy that ends https before this server, such as 10.0.0.5/32; several with commas." variable:"WITNESSMARK_TRUSTED_PROXY" placeholder:"CIDR"`
}

// https says whether anything ends https at all.
func (r reach) https() bool { return r.TLSCert != "" || r.TLSKey != "" || len(r.TrustedProxies) > 0 }

// certificate reads the pair of files; none named is no certificate and no fault.
func (r reach) certificate() ([]tls.Certificate, error) {
	if r.TLSCert == "" && r.TLSKey == "" {
		return nil, nil
	}
	if r.TLSCert == "" || r.TLSKey == "" {
		return nil, errors.New("--tls-cert and --tls-key go together: name both files")
	}
	pair, err := tls.LoadX509KeyPair(r.TLSCert, r.TLSKey)
	if err != nil {
		return nil, fmt.Errorf("the certificate %s with its key %s cannot be used: %w", r.TLSCert, r.TLSKey, err)
	}
	return []tls.Certificate{pair}, nil
}

// proxies reads the networks of the trusted proxies.
func (r reach) proxies() ([]netip.Prefix, error) {
	var out []netip.Prefix
	for _, s := range r.TrustedProxies {
		p, err := netip.ParsePrefix(strings.TrimSpace(s))
		if err != nil {
			return nil, fmt.Errorf("--trusted-proxy %s is not a network such as 10.0.0.5/32", s)
		}
		out = append(out, p)
	}
	return out, nil
}

// soon is how long before its end a certificate should be renewed (common practice, no source).
const soon = 14 * 24 * time.Hour

// examine looks at it as doctor does.
func (r reach) examine(now time.Time) finding {
	f := finding{about: "https"}
	certs, err := r.certificate()
	switch {
	case err != nil:
		f.found, f.advice = "certificate "+r.TLSCert, err.Error()
		return f
	case len(certs) > 0:
		end := certs[0].Leaf.NotAfter
		f.found = fmt.Sprintf("certificate %s, good until %s", r.TLSCert, end.Format("2 January 2006"))
		if now.After(end) {
			f.advice = "It has run out, so browsers refuse the site. Renew it and start the server again."
		} else if now.After(end.Add(-soon)) {
			f.advice = "It runs out within two weeks. Renew it and start the server again."
		}
		return f
	case len(r.TrustedProxies) > 0:
		f.found = "ended by the proxy at " + strings.Join(r.TrustedProxies, ", ")
		if _, err := r.proxies(); err != nil {
			f.advice = err.Error()
		}
		return f
	}
	f.found = "none"
	f.advice = "Set WITNESSMARK_TLS_CERT and WITNESSMARK_TLS_KEY, or WITNESSMARK_TRUSTED_PROXY: over plain http passwords can be read on the way, and no page opens without signal, since browsers let a site work off line only over https or on the very machine that it runs on."
	return f
}
