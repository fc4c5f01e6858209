// Package cli is the command that verifies portfolios on somebody's own machine: files in, words and an exit code out. It opens nothing
// but the files that it is given.
package cli

import (
	"crypto/x509"
	"errors"
	"fmt"
	"io"
	"os"

	"witnessmark/internal/ledger"
	"witnessmark/internal/verify"
)

// Exit codes.
const (
	Genuine = 0
	Altered = 1
	Unknown = 2 // it cannot be told, or the command was given wrongly
)

// Command is the command line; the tags are kong's.
type Command struct {
	Files     []string `arg:"" name:"file" help:"Portfolios, as PDF."`
	Key       []string `help:"A public key of the centre's decision log, or a file that holds some, such as what witnessmark keys show prints: give all that you have. Take them from where you know them to be the centre's, not from the portfolio." placeholder:"KEY" sep:"none"`
	Witness   []string `help:"The public key of a witness whose signature counts, or a file that holds it." placeholder:"KEY" sep:"none"`
	Later     []string `help:"A later state of the log that a witness signed, with the proof that it goes on from the portfolio's: the centre's page of its decision log gives it out, and so does witnessmark keys show --witnessed." placeholder:"FILE" sep:"none"`
	Authority []string `help:"A certificate (PEM) of a time-stamp authority that you trust." placeholder:"FILE" sep:"none"`
	Bag       string   `help:"The folder of the bag of originals that came with the portfolio." placeholder:"DIR"`
	Format    bool     `help:"Check the file's form as well: PDF/A-3 and PDF/UA-1, by the program's own rules."`
}

// Run checks the files and writes what it found; the code is the worst of them. The error is that something could not be read, or
// was given wrongly.
func (c *Command) Run(out io.Writer) (code int, err error) {
	o, err := c.options()
	if err != nil {
		return Unknown, err
	}
	var all []*verify.Portfolio
	for i, name := range c.Files {
		p, err := one(name, o)
		if err != nil {
			return Unknown, err
		}
		if i > 0 {
			fmt.Fprintln(out)
		}
		if _, err := io.WriteString(out, p.Report(name)); err != nil {
			return Unknown, fmt.Errorf("write what was found: %w", err)
		}
		word, _ := p.Verdict()
		code = worse(code, codeOf(word))
		all = append(all, p)
	}
	lines := verify.Together(all)
	for _, l := range lines {
		if l.State == verify.Broken {
			code = Altered
		}
	}
	if text := verify.Between(lines); text != "" {
		fmt.Fprint(out, "\n"+text)
	}
	return code, nil
}

func codeOf(w verify.Word) int {
	switch w {
	case verify.Genuine, verify.GenuineCentreTime:
		return Genuine
	case verify.Altered:
		return Altered
	}
	return Unknown
}

// worse is the worse of two codes: altered, then unknown, then genuine.
func worse(a, b int) int {
	switch {
	case a == Altered || b == Altered:
		return Altered
	case a == Unknown || b == Unknown:
		return Unknown
	}
	return Genuine
}

func one(name string, o verify.Options) (*verify.Portfolio, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("read the portfolio: %w", err)
	}
	info, err := f.Stat()
	if err == nil && !info.Mode().IsRegular() {
		err = fmt.Errorf("%s is no file", name)
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return verify.File(f, info.Size(), o), f.Close()
}

func (c *Command) options() (o verify.Options, err error) {
	if c.Bag != "" {
		if len(c.Files) > 1 {
			return o, errors.New("a bag is one portfolio's: check that one by itself with --bag")
		}
		o.Bag = os.DirFS(c.Bag)
	}
	o.Format = c.Format
	if o.Keys, err = parsed(c.Key, ledger.ParseKey); err != nil {
		return o, err
	}
	if o.Witnesses, err = parsed(c.Witness, ledger.ParseWitness); err != nil {
		return o, err
	}
	for _, name := range c.Later {
		text, err := small(name)
		if err != nil {
			return o, fmt.Errorf("read a later state of the log: %w", err)
		}
		r, err := ledger.ParseRequest(string(text))
		if err != nil {
			return o, fmt.Errorf("%s is no later state of a log: its first line says from how many entries it goes on, such as old 18", name)
		}
		o.Later = append(o.Later, r)
	}
	if len(c.Authority) > 0 {
		o.Authorities = x509.NewCertPool()
	}
	for _, name := range c.Authority {
		text, err := small(name)
		if err != nil {
			return o, fmt.Errorf("read the authority's certificate: %w", err)
		}
		if !o.Authorities.AppendCertsFromPEM(text) {
			return o, fmt.Errorf("%s holds no certificate in PEM", name)
		}
	}
	return o, nil
}

// parsed reads keys that were given as their text, or in files that hold some.
func parsed[K any](given []string, parse func(string) (K, error)) (keys []K, err error) {
	for _, g := range given {
		k, err := parse(g)
		if err == nil {
			keys = append(keys, k)
			continue
		}
		text, inFile := small(g)
		if inFile != nil {
			return nil, fmt.Errorf("%w; nor is there a file %s", err, g)
		}
		words := ledger.KeyTexts(string(text))
		if len(words) == 0 {
			return nil, fmt.Errorf("%s holds no key", g)
		}
		for _, word := range words {
			if k, err = parse(word); err != nil {
				return nil, err
			}
			keys = append(keys, k)
		}
	}
	return keys, nil
}

// small reads a file that holds a key or a certificate.
func small(name string) ([]byte, error) {
	const most = 1 << 20
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	text, err := io.ReadAll(io.LimitReader(f, most))
	return text, errors.Join(err, f.Close())
}
