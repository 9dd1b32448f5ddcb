package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"soloright/api"
	"soloright/scoring/ledger"
)

type ledgerNewKeyCmd struct {
	Name string `arg:"" help:"Name of the ledger, like workshop.example/ledger; it stands in every checkpoint."`
	File string `arg:"" optional:"" default:"ledger.key" help:"Where to write the private key; the file must not be there yet." type:"path"`
}

// Run makes a key.
func (cmd *ledgerNewKeyCmd) Run(e *env) error {
	signer, verifier, err := ledger.NewKey(rand.Reader, cmd.Name)
	if err != nil {
		return err
	}
	if err := writeKey(cmd.File, signer); err != nil {
		return err
	}
	fmt.Fprintf(e.err, "The private key is in %s. Keep a copy in a safe place: without it nothing can be put on the record. The public key, for whoever checks:\n", cmd.File)
	fmt.Fprintln(e.out, verifier)
	return nil
}

type ledgerRotateKeyCmd struct {
	recording
	Next string `help:"File with the next private key, made with new-key under the same name. On the embedded database one is made." placeholder:"FILE" type:"existingfile"`
}

// Run hands the ledger over.
func (cmd *ledgerRotateKeyCmd) Run(e *env) (err error) {
	given, err := cmd.given()
	if err != nil {
		return err
	}
	own := given == nil
	app, st, err := cmd.openRecord(e)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	next, err := cmd.next(e.ctx, app, own)
	if err != nil {
		return err
	}
	key, err := app.RotateKey(e.ctx, api.Operator(), next)
	if err != nil {
		return err
	}
	if own && cmd.Next == "" {
		if err := takeOver(filepath.Join(cmd.Data, nextKeyFile), filepath.Join(cmd.Data, keyFile)); err != nil {
			return err
		}
	}
	fmt.Fprintf(e.out, "From entry %d on this key signs; give it to whoever checks the record:\n%s\n", key.From, key.Verifier)
	if !own || cmd.Next != "" {
		fmt.Fprintln(e.out, "Start every server with the new private key from now on.")
	}
	return nil
}

// next reads the next key, or makes it in the data folder.
func (cmd *ledgerRotateKeyCmd) next(ctx context.Context, app *api.App, own bool) (*ledger.Signer, error) {
	if cmd.Next != "" {
		return readKey(cmd.Next)
	}
	if !own {
		return nil, errors.New("give the next private key with --next FILE; make it under the name of this ledger with: soloright ledger new-key NAME FILE")
	}
	at, err := app.Checkpoint(ctx, api.Operator())
	if err != nil {
		return nil, err
	}
	signer, _, err := ledger.NewKey(rand.Reader, at.Origin)
	if err != nil {
		return nil, err
	}
	file := filepath.Join(cmd.Data, nextKeyFile)
	if err := os.Remove(file); err != nil && !errors.Is(err, os.ErrNotExist) { // of a handover that never was
		return nil, err
	}
	if err := writeKey(file, signer); err != nil {
		return nil, err
	}
	return readKey(file)
}
