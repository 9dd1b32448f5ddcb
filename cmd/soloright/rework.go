package main

import (
	"errors"
	"fmt"

	"github.com/schollz/progressbar/v3"
)

// reworkCmd works out anew what analysis reads.
type reworkCmd struct {
	storage
	Quiet bool `help:"Show no progress."`
}

// Run puts right what is kept for analysis where it does not follow from the
// record. The record itself stays as it is.
func (cmd *reworkCmd) Run(e *env) (err error) {
	st, err := cmd.openExisting(e.ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	bar := progressbar.NewOptions(-1, progressbar.OptionSetWriter(e.err), progressbar.OptionSetDescription("sittings"),
		progressbar.OptionShowCount(), progressbar.OptionSetVisibility(!cmd.Quiet), progressbar.OptionClearOnFinish())
	looked, mended, err := newApp(e, st).ReworkResponses(e.ctx, func(n int) { _ = bar.Set(n) })
	_ = bar.Finish()
	if err != nil {
		return err
	}
	fmt.Fprintf(e.out, "%d sittings read again, %d put right.\n", looked, mended)
	return nil
}
