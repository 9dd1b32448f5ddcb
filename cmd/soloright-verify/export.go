package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/schollz/progressbar/v3"

	"soloright/scoring/ledger"
)

type exportCmd struct {
	keys
	progress
	File  string   `arg:"" help:"The export; - is the standard input."`
	Older []string `help:"A checkpoint that was kept from before; without one nobody can tell that the end of a record was cut off. May be given more than once." placeholder:"FILE"`
}

// progress is the flag of commands whose work may be long.
type progress struct {
	Progress bool `help:"Show progress even if the error output is no terminal."`
}

// Run checks an export.
func (c *exportCmd) Run(w *world) error {
	var kept []ledger.Checkpoint
	for _, name := range c.Older {
		k, err := w.checkpoint(name)
		if err != nil {
			return err
		}
		kept = append(kept, k)
	}
	report, err := c.check(w, c.keys, c.File, kept)
	if err != nil {
		return err
	}
	fmt.Fprintf(w.out, "SOUND. The record of %s holds %s, %s, just as they were signed: none altered, removed or put in between.%s\n",
		report.Origin, number(report.Entries), period(report), continues(kept))
	return nil
}

func continues(kept []ledger.Checkpoint) string {
	if len(kept) == 0 {
		return " No older checkpoint was given, so nothing is said about whether its end was cut off."
	}
	var sizes []string
	for _, k := range kept {
		sizes = append(sizes, number(k.Size))
	}
	return " It continues every checkpoint given: that of " + strings.Join(sizes, ", that of ") + "."
}

// number says how many entries.
func number(n int64) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}

// period says from when to when.
func period(r ledger.Report) string {
	if r.Entries == 0 {
		return "which is none yet"
	}
	return fmt.Sprintf("from %s to %s", r.First.Format(time.DateOnly), r.Last.Format(time.DateOnly))
}

// check verifies an export and shows progress on the way.
func (p progress) check(w *world, k keys, file string, kept []ledger.Checkpoint) (ledger.Report, error) {
	texts, err := k.texts(w)
	if err != nil {
		return ledger.Report{}, err
	}
	f, err := w.open(file)
	if err != nil {
		return ledger.Report{}, err
	}
	defer f.Close()
	var bar *progressbar.ProgressBar
	report, err := ledger.VerifyExport(f, texts, kept, func(done, total int64) {
		if !w.terminal && !p.Progress {
			return
		}
		if bar == nil {
			bar = progressbar.NewOptions64(total, progressbar.OptionSetWriter(w.err), progressbar.OptionSetDescription("checking entries"),
				progressbar.OptionShowCount(), progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionOnCompletion(func() { fmt.Fprintln(w.err) }))
		}
		_ = bar.Set64(min(done, total)) // what cannot be shown changes no verdict
	})
	if bar != nil {
		_ = bar.Finish()
	}
	return report, err
}
