package main

import (
	"bufio"
	"fmt"
	"io"

	"soloright/scoring/ledger"
)

type growthCmd struct {
	keys
	progress
	Older string `arg:"" help:"The older checkpoint, as it was kept."`
	Newer string `arg:"" help:"The newer checkpoint."`
	File  string `arg:"" help:"What shows the growth: an export at least as long as the newer checkpoint, or a proof of growth."`
}

// Run checks growth from one checkpoint to another.
func (c *growthCmd) Run(w *world) error {
	older, err := w.checkpoint(c.Older)
	if err != nil {
		return err
	}
	newer, err := w.checkpoint(c.Newer)
	if err != nil {
		return err
	}
	isProof, err := w.isProof(c.File)
	if err != nil {
		return err
	}
	if isProof {
		err = c.byProof(w, older, newer)
	} else {
		_, err = c.check(w, c.keys, c.File, []ledger.Checkpoint{older, newer})
	}
	if err != nil {
		return err
	}
	if older.Size > newer.Size { // and what was shown continues both
		return fmt.Errorf("the first checkpoint is of %s and the second of %s: give the older one first", number(older.Size), number(newer.Size))
	}
	fmt.Fprintf(w.out, "SOUND. The record of %s only grew, from %s in the older checkpoint to %s in the newer one: nothing that stood there was altered or removed.\n",
		newer.Origin, number(older.Size), number(newer.Size))
	return nil
}

// isProof reports whether the file is no export. It is opened twice, so it cannot
// be the standard input.
func (w *world) isProof(name string) (bool, error) {
	if name == "-" {
		return false, nil
	}
	f, err := w.open(name)
	if err != nil {
		return false, err
	}
	defer f.Close()
	start, err := bufio.NewReader(f).Peek(4)
	if err != nil && err != io.EOF {
		return false, fmt.Errorf("read %s: %w", name, err)
	}
	return string(start) == "old ", nil
}

func (c *growthCmd) byProof(w *world, older, newer ledger.Checkpoint) error {
	known, err := c.verifiers(w)
	if err != nil {
		return err
	}
	text, err := w.read(c.File)
	if err != nil {
		return err
	}
	g, err := ledger.ParseGrowth(text)
	if err != nil {
		return err
	}
	if _, err := ledger.OpenCheckpoint(older.Text, known); err != nil {
		return err
	}
	if _, err := ledger.OpenCheckpoint(newer.Text, known); err != nil {
		return err
	}
	shown, err := g.Verify(older, known)
	if err != nil {
		return err
	}
	if shown.Size != newer.Size {
		return fmt.Errorf("%s is about growth to %s, and the newer checkpoint is of %s", c.File, number(shown.Size), number(newer.Size))
	}
	// At one size there is one tree, and the proof from it to itself is empty.
	_, err = ledger.Growth{Old: newer.Size, Checkpoint: g.Checkpoint}.Verify(newer, known)
	return err
}
