package main

import (
	"fmt"

	"soloright/scoring/ledger"
)

type proofCmd struct {
	keys
	File string `arg:"" help:"The proof; - is the standard input."`
}

// Run checks the proof of one entry and shows the entry.
func (c *proofCmd) Run(w *world) error {
	known, err := c.verifiers(w)
	if err != nil {
		return err
	}
	text, err := w.read(c.File)
	if err != nil {
		return err
	}
	p, err := ledger.ParseInclusion(text)
	if err != nil {
		return err
	}
	at, err := p.Verify(known)
	if err != nil {
		return err
	}
	fmt.Fprintf(w.out, "SOUND. This is entry %d of the record of %s, as it was when that was signed with %s:\n\n%s", p.Index, at.Origin, number(at.Size), p.Entry)
	return nil
}
