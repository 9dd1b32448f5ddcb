package main

import (
	"errors"
	"fmt"

	"github.com/schollz/progressbar/v3"

	"soloright/api"
)

// replayCmd marks every stored sitting again.
type replayCmd struct {
	storage
	Quiet bool `help:"Show no progress."`
}

// Run replays the record and exits with 1 where something differs from what is stored.
func (cmd *replayCmd) Run(e *env) (err error) {
	st, err := cmd.openExisting(e.ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	bar := progressbar.NewOptions(-1, progressbar.OptionSetWriter(e.err), progressbar.OptionSetDescription("sittings"),
		progressbar.OptionShowCount(), progressbar.OptionSetVisibility(!cmd.Quiet), progressbar.OptionClearOnFinish())
	wrong := 0
	rep, err := newApp(e, st).Replay(e.ctx, func(n int) { _ = bar.Set(n) }, func(d api.Difference) {
		kind := "differs"
		if d.Rules {
			kind = "today's rules"
		} else {
			wrong++
		}
		fmt.Fprintf(e.out, "%s: %s: %s\n", d.Sitting, kind, d.What)
	})
	_ = bar.Finish()
	if err != nil {
		return err
	}
	fmt.Fprintf(e.out, "%d sittings marked again, %d forms set again, %d of an older assembler or model left; %d differences.\n",
		rep.Sittings, rep.Reassembled, rep.Older, wrong)
	if wrong > 0 {
		return exitError(1)
	}
	return nil
}
