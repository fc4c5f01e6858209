package main

import (
	"crypto/x509"
	"fmt"

	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// keysCmd looks after the keys that decision logs are signed with.
type keysCmd struct {
	Show           keysShowCmd        `cmd:"" help:"Print a centre's public keys, the newest signed state of its log and its signing certificate, to be kept by somebody outside."`
	New            keysNewCmd         `cmd:"" help:"Make a centre's first key now; otherwise it is made with the first signature."`
	Rotate         keysRotateCmd      `cmd:"" help:"Make another key. Both sign for 90 days; an entry of the log hands over from one to the other. Whoever checks portfolios keeps all keys."`
	Certificate    keysCertificateCmd `cmd:"" help:"Make or bring the certificate that a centre signs its portfolios with; without a flag, show it."`
	Cosign         keysCosignCmd      `cmd:"" help:"Take in a checkpoint that a witness has signed."`
	AcceptRollback keysRollbackCmd    `cmd:"" help:"Say that a log which is older than what was signed last goes on from here, as after an older backup was restored."`
}

// ofCentre is what the commands on one centre's log share.
type ofCentre struct {
	Install installation `embed:""`
	Centre  string       `help:"The centre's code." required:"" placeholder:"CODE"`
}

func (c ofCentre) with(w *world, fn func(*app.App, store.Centre) error) error {
	return c.Install.withApp(w.ctx, w.out, func(a *app.App) error {
		centre, err := a.CentreByCode(w.ctx, c.Centre)
		if err != nil {
			return err
		}
		return fn(a, centre)
	})
}

type keysShowCmd struct {
	ofCentre   `embed:""`
	ForWitness int64 `help:"Print what a witness signs instead, going on from this size of the log; 0 for the first time." default:"-1" placeholder:"SIZE"`
	Witnessed  int64 `help:"Print the first state instead that a witness signed since the log had this size, for verify --later: the size is what verify says of the portfolio's." placeholder:"SIZE"`
}

// Run signs the log as it is now, and prints.
func (c *keysShowCmd) Run(w *world) error {
	return c.with(w, func(a *app.App, centre store.Centre) error {
		if c.Witnessed > 0 {
			return printRequest(w, func() (ledger.Request, error) { return a.WitnessedSince(w.ctx, centre.ID, c.Witnessed, "") })
		}
		signed, err := a.SignLog(w.ctx, centre.ID)
		if fault.KindOf(err) == fault.KindNotFound {
			return fmt.Errorf("nothing was decided at %s yet, so its log is empty and has no key", centre.Code)
		}
		if err != nil {
			return err
		}
		if c.ForWitness >= 0 {
			return printRequest(w, func() (ledger.Request, error) { return a.WitnessRequest(w.ctx, centre.ID, c.ForWitness) })
		}
		keys, err := a.LogKeys(w.ctx, centre.ID)
		if err != nil {
			return err
		}
		for _, k := range keys {
			state := "signs"
			if !k.SignsUntil.IsZero() {
				state = fmt.Sprintf("of the log up to %d entries, signs along until %s", k.LastSize, k.SignsUntil.Format("2 January 2006"))
			}
			fmt.Fprintf(w.out, "key, %s:\n%s\n", state, k.Text)
		}
		if _, err := fmt.Fprintf(w.out, "checkpoint of %s:\n%s", signed.CreatedAt.Format("2 January 2006 15:04 UTC"), signed.Note); err != nil {
			return err
		}
		err = printCertificate(w.out, func() (*x509.Certificate, error) { return a.Certificate(centre.ID) })
		if fault.KindOf(err) == fault.KindNotFound { // one is made with the first portfolio
			return nil
		}
		return err
	})
}

func printRequest(w *world, get func() (ledger.Request, error)) error {
	r, err := get()
	if err != nil {
		return err
	}
	_, err = fmt.Fprint(w.out, r.Text())
	return err
}

type keysNewCmd struct {
	ofCentre `embed:""`
}

// Run makes the first key.
func (c *keysNewCmd) Run(w *world) error {
	return c.with(w, func(a *app.App, centre store.Centre) error {
		return printKey(w, func() (store.LogKey, error) { return a.NewLogKey(w.ctx, centre.ID) })
	})
}

type keysRotateCmd struct {
	ofCentre `embed:""`
	Lost     bool `help:"The key before is lost, so it cannot sign for the new one."`
}

// Run puts another key in place.
func (c *keysRotateCmd) Run(w *world) error {
	return c.with(w, func(a *app.App, centre store.Centre) error {
		return printKey(w, func() (store.LogKey, error) { return a.RotateLogKey(w.ctx, centre.ID, c.Lost) })
	})
}

func printKey(w *world, do func() (store.LogKey, error)) error {
	k, err := do()
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(w.out, "The log is signed with this key from %d entries on. Give it to whoever checks portfolios, who keep those from before as well: "+
		"each portfolio is checked with the key of its time. Back the folder of keys up.\n%s\n", k.FromSize, k.Text)
	return err
}

type keysCosignCmd struct {
	ofCentre `embed:""`
	Witness  string `help:"The witness's public key." required:"" placeholder:"KEY"`
	File     string `arg:"" help:"The signed checkpoint."`
}

// Run keeps the witness's signature.
func (c *keysCosignCmd) Run(w *world) error {
	text, err := readAtMost(c.File, maxCheckpoint)
	if err != nil {
		return fmt.Errorf("read the checkpoint: %w", err)
	}
	return c.with(w, func(a *app.App, centre store.Centre) error {
		if err := a.AddCosignature(w.ctx, centre.ID, string(text), c.Witness); err != nil {
			return err
		}
		_, err := fmt.Fprintln(w.out, "The witness's signature is kept with the checkpoint.")
		return err
	})
}

type keysRollbackCmd struct {
	ofCentre `embed:""`
	Reason   string `help:"Why; it stands in the log for ever." required:"" placeholder:"WORDS"`
}

// Run accepts the older log.
func (c *keysRollbackCmd) Run(w *world) error {
	return c.with(w, func(a *app.App, centre store.Centre) error {
		signed, err := a.AcceptRollback(w.ctx, centre.ID, c.Reason)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(w.out, "The log of %s goes on from here, signed at %d entries. An entry keeps what was lost and why.\n", centre.Code, signed.Size)
		return err
	})
}

// maxCheckpoint bounds what is read as a checkpoint or a request, in bytes.
const maxCheckpoint = 64 << 10
