// Package posttest is a mail server for tests, which keeps what it is handed.
package posttest

import (
	"bufio"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/base64"
	"fmt"
	"io"
	"math/big"
	"mime/quotedprintable"
	"net"
	"net/mail"
	"strings"
	"sync"
	"testing"
	"time"
)

// Server listens on loopback until its test ends.
type Server struct {
	Addr  string
	Roots *x509.CertPool // that its certificate is signed under

	mu      sync.Mutex
	plain   bool   // offers no encryption
	refuses string // the answer to every recipient; "" to take all
	users   []string
	arrived []Arrived
}

// Arrived is a letter that was handed in.
type Arrived struct {
	From, To  string // of the envelope
	Encrypted bool
	Header    mail.Header
	Text      string
}

// New starts a server.
func New(t *testing.T) *Server {
	t.Helper()
	cert, roots := certificate(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	s := &Server{Addr: l.Addr().String(), Roots: roots}
	go func() {
		for {
			conn, err := l.Accept()
			if err != nil {
				return
			}
			go s.converse(conn, cert)
		}
	}()
	return s
}

// Plainly has it offer no encryption from now on.
func (s *Server) Plainly() { s.set(func() { s.plain = true }) }

// Refuse answers every recipient so from now on; "" takes all again.
func (s *Server) Refuse(answer string) { s.set(func() { s.refuses = answer }) }

func (s *Server) set(change func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	change()
}

// Users lists what was sent to sign in, as user:password.
func (s *Server) Users() (users []string) {
	s.set(func() { users = append(users, s.users...) })
	return users
}

// Letters lists what was handed in, the oldest first.
func (s *Server) Letters() (letters []Arrived) {
	s.set(func() { letters = append(letters, s.arrived...) })
	return letters
}

// converse speaks as much of RFC 5321 as a client needs that hands in one letter.
func (s *Server) converse(conn net.Conn, cert tls.Certificate) {
	defer conn.Close()
	in := bufio.NewReader(conn)
	say := func(format string, args ...any) { fmt.Fprintf(conn, format+"\r\n", args...) }
	var a Arrived
	say("220 here")
	for {
		line, err := in.ReadString('\n')
		if err != nil {
			return
		}
		line = strings.TrimRight(line, "\r\n")
		word, rest, _ := strings.Cut(line, " ")
		switch strings.ToUpper(word) {
		case "EHLO":
			var plain bool
			s.set(func() { plain = s.plain })
			if !a.Encrypted && !plain {
				say("250-here")
				say("250 STARTTLS")
				continue
			}
			say("250-here")
			say("250 AUTH PLAIN")
		case "STARTTLS":
			say("220 go on")
			c := tls.Server(conn, &tls.Config{Certificates: []tls.Certificate{cert}})
			if err := c.Handshake(); err != nil {
				return
			}
			conn, in, a.Encrypted = c, bufio.NewReader(c), true
		case "AUTH":
			s.set(func() { s.users = append(s.users, credentials(rest)) })
			say("235 welcome")
		case "MAIL":
			a.From = address(rest)
			say("250 ok")
		case "RCPT":
			var refuses string
			s.set(func() { refuses = s.refuses })
			if refuses != "" {
				say("%s", refuses)
				continue
			}
			a.To = address(rest)
			say("250 ok")
		case "DATA":
			say("354 go on")
			if err := a.read(in); err != nil {
				return
			}
			s.set(func() { s.arrived = append(s.arrived, a) })
			say("250 taken")
		case "QUIT":
			say("221 bye")
			return
		default:
			say("502 not known")
		}
	}
}

// read takes the letter up to the lone dot.
func (a *Arrived) read(in *bufio.Reader) error {
	var b strings.Builder
	for {
		line, err := in.ReadString('\n')
		if err != nil {
			return err
		}
		if line == ".\r\n" {
			break
		}
		b.WriteString(strings.TrimPrefix(line, "."))
	}
	m, err := mail.ReadMessage(strings.NewReader(b.String()))
	if err != nil {
		return err
	}
	text, err := io.ReadAll(quotedprintable.NewReader(m.Body))
	a.Header, a.Text = m.Header, strings.ReplaceAll(string(text), "\r\n", "\n")
	return err
}

// credentials reads what signing in plainly sends: who, a zero byte, the user, a zero byte, the password.
func credentials(rest string) string {
	_, text, _ := strings.Cut(rest, " ")
	raw, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		return ""
	}
	return strings.TrimPrefix(strings.ReplaceAll(string(raw), "\x00", ":"), ":")
}

// address is what stands between the angle brackets.
func address(s string) string {
	_, s, _ = strings.Cut(s, "<")
	s, _, _ = strings.Cut(s, ">")
	return s
}

// certificate is one for loopback, signed by itself.
func certificate(t *testing.T) (tls.Certificate, *x509.CertPool) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	c := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "a mail server for tests"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
	}
	der, err := x509.CreateCertificate(rand.Reader, c, c, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	if c, err = x509.ParseCertificate(der); err != nil {
		t.Fatal(err)
	}
	roots := x509.NewCertPool()
	roots.AddCert(c)
	return tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key}, roots
}
