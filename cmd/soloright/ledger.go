package main

import (
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"soloright/api"
)

// ledgerCmd is the commands on the ledger behind the record.
type ledgerCmd struct {
	Check      ledgerCheckCmd      `cmd:"" help:"Check the whole record against its ledger. Exit code 1 where something does not agree."`
	Checkpoint ledgerCheckpointCmd `cmd:"" help:"Print the signed head of the ledger, to be kept elsewhere."`
	Export     ledgerExportCmd     `cmd:"" help:"Write the ledger into a file that soloright-verify checks."`
	Prove      ledgerProveCmd      `cmd:"" help:"Print the proof that an entry is on the record."`
	PublicKey  ledgerPublicKeyCmd  `cmd:"" help:"Print the public keys of the ledger, one on each line, the newest last."`
	NewKey     ledgerNewKeyCmd     `cmd:"" help:"Make a private key for a ledger, and print its public key."`
	RotateKey  ledgerRotateKeyCmd  `cmd:"" help:"Hand the ledger over to a new key. Stop every server first: one that holds the old key cannot go on."`
}

// startChecks is up to how many entries the start of a server checks all of them.
const startChecks = 200_000

// checkAtStart refuses a record that does not agree with its ledger, and folds
// what it says of standings.
func checkAtStart(e *env, app *api.App) error {
	bar := newBar(e, "checking the ledger", false)
	err := app.CheckLedger(e.ctx, startChecks, func(done, total int64) { bar.set(done, total) })
	bar.finish()
	if err != nil && e.ctx.Err() == nil {
		return fmt.Errorf("this record is not served, because it does not agree with its ledger: %w Keep the database as it is, for whoever finds out what happened; soloright ledger check tells everything that does not agree", err)
	}
	if err != nil {
		return err
	}
	bar = newBar(e, "reading the acts", false)
	err = app.FoldRecord(e.ctx, bar.set)
	bar.finish()
	if err != nil && api.KindOf(err) == "" && e.ctx.Err() == nil {
		return fmt.Errorf("this record is not served, because what happened cannot be read from it: %w. Keep the database as it is; soloright ledger check tells everything that does not agree", err)
	}
	return err
}

// bar shows progress on a terminal.
type bar struct{ *progressbar.ProgressBar }

func newBar(e *env, what string, quiet bool) bar {
	f, ok := e.err.(*os.File)
	shown := ok && term.IsTerminal(int(f.Fd())) && !quiet
	return bar{progressbar.NewOptions64(-1, progressbar.OptionSetWriter(e.err), progressbar.OptionSetDescription(what), progressbar.OptionShowCount(),
		progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionSetVisibility(shown), progressbar.OptionClearOnFinish())}
}

// set shows how much is done; what cannot be shown changes nothing.
func (b bar) set(done, total int64) {
	if total >= 0 {
		b.ChangeMax64(max(total, done))
	}
	_ = b.Set64(done)
}

func (b bar) finish() { _ = b.Finish() }

// with runs f on a database that is only read, so no key is needed.
func (s storage) with(e *env, f func(*api.App) error) (err error) {
	st, err := s.openExisting(e.ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	return f(newApp(e, st))
}
