// Package post sends letters through a mail server, by SMTP.
//
// A letter travels encrypted: by TLS from the start on port 465, else by STARTTLS, and a server on another machine that offers
// neither is refused. One on this machine may be spoken to in clear. Sending takes as long as the server takes; it is a job's work.
package post

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net"
	"net/mail"
	"net/smtp"
	"time"
)

// patience is how long a mail server may take over one letter (our own value).
const patience = 30 * time.Second

// Settings say which server letters go through.
type Settings struct {
	Server         string // HOST:PORT
	From           string // "Northgate Centre <office@northgate.example>", or the address alone
	User, Password string // "" where the server asks for none
	Roots          *x509.CertPool
}

// Office sends letters. It is safe for use by many goroutines.
type Office struct {
	Settings
	host, port string
	from       *mail.Address
}

// New refuses settings by which no letter could be sent; it does not ask the server yet.
func New(s Settings) (*Office, error) {
	host, port, err := net.SplitHostPort(s.Server)
	if err != nil || host == "" || port == "" {
		return nil, fmt.Errorf("the mail server %q is not HOST:PORT, as in mail.northgate.example:587", s.Server)
	}
	from, err := mail.ParseAddress(s.From)
	if err != nil {
		return nil, fmt.Errorf("letters need the address that they come from, as in “Northgate Centre <office@northgate.example>”, and %q is none", s.From)
	}
	if (s.User == "") != (s.Password == "") {
		return nil, errors.New("the mail server’s user and password are given together, or neither")
	}
	return &Office{Settings: s, host: host, port: port, from: from}, nil
}

// Try greets the server and signs in there, and sends nothing.
func (o *Office) Try(ctx context.Context) error {
	return o.connected(ctx, func(*smtp.Client) error { return nil })
}

// Send hands a letter to the server. An error leaves open whether it went.
func (o *Office) Send(ctx context.Context, l Letter) error {
	to, err := mail.ParseAddress(l.To)
	if err != nil {
		return fmt.Errorf("send a letter: read its address: %w", err)
	}
	text, err := l.write(o.from, to, time.Now())
	if err != nil {
		return err
	}
	return o.connected(ctx, func(c *smtp.Client) error {
		if err := c.Mail(o.from.Address); err != nil {
			return err
		}
		if err := c.Rcpt(to.Address); err != nil {
			return err
		}
		w, err := c.Data()
		if err != nil {
			return err
		}
		if _, err := w.Write(text); err != nil {
			return err
		}
		return w.Close()
	})
}

// connected runs fn with the server greeted and signed in to.
func (o *Office) connected(ctx context.Context, fn func(*smtp.Client) error) (err error) {
	ctx, stop := context.WithTimeout(ctx, patience)
	defer stop()
	conn, err := (&net.Dialer{}).DialContext(ctx, "tcp", o.Server)
	if err != nil {
		return fmt.Errorf("reach the mail server: %w", err)
	}
	defer conn.Close() // what counts is how the conversation ended
	until, _ := ctx.Deadline()
	if err := conn.SetDeadline(until); err != nil {
		return fmt.Errorf("reach the mail server: %w", err)
	}
	defer context.AfterFunc(ctx, func() { conn.Close() })()
	if err := o.speak(conn, fn); err != nil {
		return fmt.Errorf("speak with the mail server %s: %w", o.Server, errors.Join(err, ctx.Err()))
	}
	return nil
}

func (o *Office) speak(conn net.Conn, fn func(*smtp.Client) error) error {
	secret := &tls.Config{ServerName: o.host, MinVersion: tls.VersionTLS12, RootCAs: o.Roots}
	if o.port == "465" {
		conn = tls.Client(conn, secret)
	}
	c, err := smtp.NewClient(conn, o.host)
	if err != nil {
		return err
	}
	if offered, _ := c.Extension("STARTTLS"); offered {
		if err := c.StartTLS(secret); err != nil {
			return err
		}
	} else if o.port != "465" && !here(conn) {
		return errors.New("it offers no encryption (STARTTLS), and letters hold links that let people in")
	}
	if o.User != "" {
		if err := c.Auth(smtp.PlainAuth("", o.User, o.Password, o.host)); err != nil {
			return err
		}
	}
	if err := fn(c); err != nil {
		return err
	}
	return c.Quit()
}

// here says whether the other end is on this machine.
func here(conn net.Conn) bool {
	a, ok := conn.RemoteAddr().(*net.TCPAddr)
	return ok && a.IP.IsLoopback()
}
