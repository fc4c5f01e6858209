package main

import (
	"errors"
	"fmt"
	"strings"

	"witnessmark/internal/app"
	"witnessmark/internal/store"
)

type auditCmd struct {
	Install    installation `embed:""`
	Centre     string       `help:"The code of one centre; all where none is named." placeholder:"CODE"`
	Checkpoint string       `help:"A signed checkpoint that was kept outside, to hold the log against; with --centre." placeholder:"FILE"`
	Key        string       `help:"The log's public key as it was given out, to check that checkpoint by." placeholder:"KEY"`
	Witness    []string     `help:"The public key of a witness whose signature under it counts." placeholder:"KEY" sep:"none"`
}

// Run reads every entry and prints what is wrong. Exit code 1 says that something is.
func (c *auditCmd) Run(w *world) error {
	outside, err := c.outside()
	if err != nil {
		return err
	}
	wrong := false
	err = c.Install.withApp(w.ctx, w.out, func(a *app.App) error {
		centres, err := a.AllCentres(w.ctx)
		if c.Centre != "" {
			var one store.Centre
			one, err = a.CentreByCode(w.ctx, c.Centre)
			centres = []store.Centre{one}
		}
		if err != nil {
			return err
		}
		for _, centre := range centres {
			found, err := a.AuditLog(w.ctx, centre.ID, outside)
			if err != nil {
				return err
			}
			wrong = wrong || len(found.Problems) > 0
			printAudit(w, found)
		}
		return nil
	})
	if err == nil && wrong {
		return exit(1)
	}
	return err
}

func (c *auditCmd) outside() (*app.Outside, error) {
	if c.Checkpoint == "" {
		if c.Key != "" || len(c.Witness) > 0 {
			return nil, errors.New("--key and --witness check a checkpoint: name it with --checkpoint")
		}
		return nil, nil
	}
	if c.Centre == "" {
		return nil, errors.New("--checkpoint is of one centre's log: name the centre with --centre")
	}
	text, err := readAtMost(c.Checkpoint, maxCheckpoint)
	if err != nil {
		return nil, fmt.Errorf("read the checkpoint: %w", err)
	}
	return &app.Outside{Checkpoint: string(text), Key: c.Key, Witnesses: c.Witness}, nil
}

func printAudit(w *world, a app.LogAudit) {
	verdict := "whole"
	if len(a.Problems) > 0 {
		verdict = "NOT WHOLE"
	}
	fmt.Fprintf(w.out, "%s: %s. %d entries, root %s, %d signed states", a.Code, verdict, a.Size, a.Root, a.Checkpoints)
	if !a.SignedAt.IsZero() {
		fmt.Fprintf(w.out, ", the newest of %s", a.SignedAt.Format("2 January 2006 15:04 UTC"))
	}
	fmt.Fprintf(w.out, ". %d entries were added late, %d commitments can be opened no more.\n", a.Backfilled, a.Erased)
	for _, p := range a.Problems {
		fmt.Fprintf(w.out, "  %s\n", strings.ToUpper(p[:1])+p[1:]+".")
	}
	if len(a.Witnessed) == 0 {
		fmt.Fprintln(w.out, "  When entries were made is stated by the centre alone: the log was held against no checkpoint that a witness signed.")
		return
	}
	for _, s := range a.Witnessed {
		fmt.Fprintf(w.out, "  %s saw the checkpoint on %s.\n", s.Name, s.At.Format("2 January 2006 15:04 UTC"))
	}
}
