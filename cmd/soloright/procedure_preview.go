package main

import (
	"crypto/rand"
	"fmt"
	"strings"

	"soloright/api"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
)

// previewCmd shows facts and items.
type previewCmd struct {
	File  string `arg:"" help:"Procedure file."`
	Build string `help:"The build; by default the first."`
	Seed  string `help:"Text that chooses the samples; by default other ones each time."`
	HTML  string `name:"page" help:"Also write a page for trainers to this file." type:"path"`
}

// Run prints every fact with one sample item of each model.
func (cmd *previewCmd) Run(e *env) error {
	p, bp, err := readWithBlueprint(cmd.File)
	if err != nil {
		fmt.Fprintln(e.out, err)
		return exitError(1)
	}
	if cmd.Build == "" {
		cmd.Build = p.BuildIDs()[0]
	}
	ed, err := api.MakeEdition(p, bp, cmd.Build, itemmodel.All())
	if err != nil {
		return err
	}
	seed, err := cmd.seed()
	if err != nil {
		return err
	}
	facts, err := api.PreviewEdition(ed, itemmodel.All(), seed)
	if err != nil {
		return err
	}
	for _, f := range facts {
		printFact(e, f)
	}
	if cmd.HTML == "" {
		return nil
	}
	return writePreviewPage(cmd.HTML, p, cmd.Build, facts)
}

func (cmd *previewCmd) seed() (quiz.Seed, error) {
	var seed quiz.Seed
	if cmd.Seed != "" {
		copy(seed[:], cmd.Seed)
		return seed, nil
	}
	if _, err := rand.Read(seed[:]); err != nil {
		return seed, fmt.Errorf("read randomness: %w", err)
	}
	return seed, nil
}

func printFact(e *env, f api.PreviewFact) {
	mark := ""
	if f.Fact.Critical {
		mark = " [critical]"
	}
	fmt.Fprintf(e.out, "%s%s\n  %s\n", f.Fact.ID, mark, f.Fact.Text)
	if len(f.Items) == 0 {
		fmt.Fprintf(e.out, "  no item: %s\n", f.Why)
	}
	for _, it := range f.Items {
		fmt.Fprintf(e.out, "  %s\n    %s\n", it.Model, strings.ReplaceAll(it.Stem, "\n", "\n    "))
		for _, line := range quiz.Lines(it) {
			fmt.Fprintf(e.out, "      %s\n", line)
		}
		fmt.Fprintf(e.out, "    right: %s\n", quiz.KeyWords(it))
	}
	fmt.Fprintln(e.out)
}
