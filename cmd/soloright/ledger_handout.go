package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"soloright/api"
	"soloright/scoring/ledger"
)

type ledgerCheckpointCmd struct{ storage }

// Run prints the checkpoint.
func (cmd *ledgerCheckpointCmd) Run(e *env) error {
	return cmd.with(e, func(app *api.App) error {
		c, err := app.Checkpoint(e.ctx, api.Operator())
		if err != nil {
			return err
		}
		_, err = e.out.Write(c.Text)
		return err
	})
}

type ledgerProveCmd struct {
	storage
	Entry string `arg:"" help:"The number of the entry, or the id of what it is about: then the last entry about that."`
}

// Run prints the proof of one entry.
func (cmd *ledgerProveCmd) Run(e *env) error {
	return cmd.with(e, func(app *api.App) error {
		p, err := app.ProveEntry(e.ctx, api.Operator(), cmd.Entry)
		if err != nil {
			return err
		}
		text, err := p.MarshalText()
		if err != nil {
			return err
		}
		_, err = e.out.Write(text)
		return err
	})
}

type ledgerPublicKeyCmd struct{ storage }

// Run prints the public keys.
func (cmd *ledgerPublicKeyCmd) Run(e *env) error {
	return cmd.with(e, func(app *api.App) error {
		keys, err := app.LedgerKeys(e.ctx, api.Operator())
		for _, k := range keys {
			fmt.Fprintln(e.out, k.Verifier)
		}
		return err
	})
}

type ledgerExportCmd struct {
	storage
	File  string `arg:"" help:"The file to write; - is the standard output."`
	Quiet bool   `help:"Show no progress."`
}

// Run writes the export. A file is there whole or not at all.
func (cmd *ledgerExportCmd) Run(e *env) error {
	return cmd.with(e, func(app *api.App) error {
		if cmd.File == "-" {
			_, err := cmd.write(e, app, e.out)
			return err
		}
		f, err := os.CreateTemp(filepath.Dir(cmd.File), ".export-*")
		if err != nil {
			return fmt.Errorf("write the export: %w", err)
		}
		at, err := cmd.write(e, app, f)
		if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
			return errors.Join(err, os.Remove(f.Name()))
		}
		if err := os.Rename(f.Name(), cmd.File); err != nil {
			return errors.Join(err, os.Remove(f.Name()))
		}
		fmt.Fprintf(e.out, "%s: %d entries of %s. Check it with: soloright-verify export %s --key KEY\n", cmd.File, at.Size, at.Origin, cmd.File)
		return nil
	})
}

func (cmd *ledgerExportCmd) write(e *env, app *api.App, w io.Writer) (ledger.Checkpoint, error) {
	bar := newBar(e, "entries", cmd.Quiet)
	defer bar.finish()
	return app.ExportLedger(e.ctx, api.Operator(), w, bar.set)
}
