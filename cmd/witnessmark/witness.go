package main

import (
	"crypto/rand"
	"errors"
	"fmt"
	"os"
	"time"

	"witnessmark/internal/ledger"
)

// witnessCmd is for somebody outside the centre: it needs neither database nor data folder.
type witnessCmd struct {
	New  witnessNewCmd  `cmd:"" help:"Make a witness's key: somebody outside the centre who signs that they saw its log."`
	Sign witnessSignCmd `cmd:"" help:"Sign a checkpoint, after checking that nothing which you saw before was changed or removed."`
}

type witnessNewCmd struct {
	Name string `arg:"" help:"The witness's name, without spaces, such as ann.holm/witness."`
	Key  string `help:"File for the private key; it must not be there yet." required:"" placeholder:"FILE"`
}

// Run makes the key and prints the public one.
func (c *witnessNewCmd) Run(w *world) error {
	k, err := ledger.NewWitness(c.Name, rand.Reader)
	if err != nil {
		return err
	}
	if err := writeNew(c.Key, k.Private()+"\n"); err != nil {
		return err
	}
	_, err = fmt.Fprintf(w.out, "The private key is in %s: keep it where nobody of the centre reaches it. The centre needs this one:\n%s\n", c.Key, k.Text())
	return err
}

type witnessSignCmd struct {
	Key  string `help:"Your private key." required:"" placeholder:"FILE"`
	Log  string `help:"The log's public key, as the centre gave it to you." required:"" placeholder:"KEY"`
	Seen string `help:"File in which what you signed last is kept; it is made the first time." required:"" placeholder:"FILE"`
	File string `arg:"" help:"What witnessmark keys show --for-witness printed."`
}

// Run checks, signs, and prints the checkpoint with the signature.
func (c *witnessSignCmd) Run(w *world) error {
	key, err := readAtMost(c.Key, maxCheckpoint)
	if err != nil {
		return fmt.Errorf("read your key: %w", err)
	}
	signer, err := ledger.ParseWitnessSigner(string(key))
	if err != nil {
		return err
	}
	text, err := readAtMost(c.File, maxCheckpoint)
	if err != nil {
		return fmt.Errorf("read the request: %w", err)
	}
	seen, err := c.seen()
	if err != nil {
		return err
	}
	request, err := ledger.ParseRequest(string(text))
	if err != nil {
		return err
	}
	log, err := ledger.ParseKey(c.Log)
	if err != nil {
		return err
	}
	now, err := request.Check(seen, log)
	if err != nil {
		return err
	}
	signed := request.Checkpoint + signer.Cosign(now, time.Now())
	if err := os.WriteFile(c.Seen, []byte(now.Text()), 0o600); err != nil {
		return fmt.Errorf("keep what you signed: %w", err)
	}
	_, err = fmt.Fprint(w.out, signed)
	return err
}

// seen is the checkpoint that the witness signed last; the zero one the first time.
func (c *witnessSignCmd) seen() (ledger.Checkpoint, error) {
	text, err := readAtMost(c.Seen, maxCheckpoint)
	if errors.Is(err, os.ErrNotExist) {
		return ledger.Checkpoint{}, nil
	}
	if err != nil {
		return ledger.Checkpoint{}, fmt.Errorf("read what you signed last: %w", err)
	}
	return ledger.ParseCheckpoint(string(text))
}

// writeNew writes a file that nobody else may read and that must not be there yet.
func writeNew(name, text string) error {
	f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return fmt.Errorf("write the key: %w", err)
	}
	_, err = f.WriteString(text)
	return errors.Join(err, f.Sync(), f.Close())
}
