package main

import (
	"fmt"
	"os"

	"soloright/api"
)

type ledgerCheckCmd struct {
	storage
	Older string `help:"A checkpoint that was kept elsewhere: without one nobody can tell that the end of the record was cut off." placeholder:"FILE" type:"existingfile"`
	Quiet bool   `help:"Show no progress."`
}

// Run checks the record.
func (cmd *ledgerCheckCmd) Run(e *env) error {
	var older []byte
	if cmd.Older != "" {
		var err error
		if older, err = os.ReadFile(cmd.Older); err != nil {
			return err
		}
	}
	return cmd.with(e, func(app *api.App) error {
		bar := newBar(e, "", cmd.Quiet)
		rep, err := app.CheckRecord(e.ctx, older, func(what string, done, total int64) {
			bar.Describe(what)
			bar.set(done, total)
		}, func(d api.Disagreement) { fmt.Fprintln(e.out, d.What) })
		bar.finish()
		if err != nil {
			return err
		}
		if rep.Disagree > 0 {
			fmt.Fprintf(e.out, "NOT SOUND. %d things do not agree, in %d entries and %d records.\n", rep.Disagree, rep.Entries, rep.Records)
			return exitError(1)
		}
		end := "No checkpoint kept elsewhere was given, so nothing is said about whether the end was cut off."
		if older != nil {
			end = "The record continues the checkpoint that was kept."
		}
		fmt.Fprintf(e.out, "SOUND. %d entries and the %d records behind them agree with the head that %s signed. %s\n", rep.Entries, rep.Records, rep.Head.Origin, end)
		return nil
	})
}
