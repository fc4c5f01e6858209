package post

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"mime"
	"mime/quotedprintable"
	"net/mail"
	"strings"
	"time"
)

// Letter is a plain text to one person.
type Letter struct {
	To      string // an address, with a name before it or alone
	Subject string
	Text    string // lines split by \n
}

// write is the letter as it travels (RFC 5322, text as quoted-printable), marked as sent by a machine (RFC 3834) so that nobody's absence
// notice answers it.
func (l Letter) write(from, to *mail.Address, at time.Time) ([]byte, error) {
	if strings.ContainsAny(l.Subject, "\r\n") {
		return nil, errors.New("send a letter: its subject has a line break")
	}
	var b bytes.Buffer
	_, domain, _ := strings.Cut(from.Address, "@")
	for _, h := range [][2]string{
		{"From", from.String()}, {"To", to.String()}, {"Subject", mime.QEncoding.Encode("utf-8", l.Subject)}, {"Date", at.Format(time.RFC1123Z)},
		{"Message-ID", "<" + rand.Text() + "@" + domain + ">"}, {"MIME-Version", "1.0"}, {"Content-Type", "text/plain; charset=utf-8"},
		{"Content-Transfer-Encoding", "quoted-printable"}, {"Auto-Submitted", "auto-generated"},
	} {
		fmt.Fprintf(&b, "%s: %s\r\n", h[0], h[1])
	}
	b.WriteString("\r\n")
	w := quotedprintable.NewWriter(&b)
	if _, err := w.Write([]byte(strings.ReplaceAll(l.Text, "\n", "\r\n"))); err != nil {
		return nil, fmt.Errorf("write a letter: %w", err)
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("write a letter: %w", err)
	}
	return b.Bytes(), nil
}
