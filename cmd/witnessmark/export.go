package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/google/uuid"

	"witnessmark/internal/app"
)

type exportCmd struct {
	Install   installation `embed:""`
	Centre    string       `help:"The centre's code." required:"" placeholder:"CODE"`
	Portfolio string       `arg:"" help:"The portfolio's id: it stands on its cover, as Document."`
	To        string       `arg:"" help:"A folder for the bag, which is made."`
}

// Run writes the bag. A folder that is there already is refused, so that nothing old stays among it.
func (c *exportCmd) Run(w *world) error {
	id, err := uuid.Parse(c.Portfolio)
	if err != nil {
		return fmt.Errorf("%q is no id of a portfolio: it looks like 01a21db0-3e1c-793f-a2b2-239bc7fe9ade", c.Portfolio)
	}
	return c.Install.withApp(w.ctx, w.out, func(a *app.App) error {
		centre, err := a.CentreByCode(w.ctx, c.Centre)
		if err != nil {
			return err
		}
		if err := os.Mkdir(c.To, 0o700); err != nil {
			return fmt.Errorf("make the bag's folder: %w", err)
		}
		n, err := a.ExportPortfolio(w.ctx, centre.ID, id, func(path string, r io.Reader) error {
			return putFile(filepath.Join(c.To, filepath.FromSlash(path)), r)
		})
		if err != nil {
			return errors.Join(err, os.RemoveAll(c.To))
		}
		_, err = fmt.Fprintf(w.out, "The bag is in %s: the portfolio, its record, its proofs, and %d files of evidence. sha256sum -c checks it in there by manifest-sha256.txt, "+
			"and witnessmark verify --bag together with the portfolio.\n", c.To, n)
		return err
	})
}

// putFile writes one file, and the folders that it lies in.
func putFile(name string, r io.Reader) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
		return fmt.Errorf("write the bag: %w", err)
	}
	f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return fmt.Errorf("write the bag: %w", err)
	}
	_, err = io.Copy(f, r)
	return errors.Join(err, f.Sync(), f.Close())
}
