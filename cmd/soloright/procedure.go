package main

import (
	"crypto/rand"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"soloright/api"
	"soloright/content"
	"soloright/content/procfile"
	"soloright/quiz"
	"soloright/quiz/itemmodel"
	"soloright/scoring"
)

// procedureCmd is the commands on procedure files.
type procedureCmd struct {
	Check   checkCmd   `cmd:"" help:"Read files strictly and report every error with line and column."`
	Preview previewCmd `cmd:"" help:"Show every fact of a file with sample items and their keys."`
	Import  importCmd  `cmd:"" help:"Put a procedure revision into the record."`
}

// checkCmd checks files.
type checkCmd struct {
	Files []string `arg:"" help:"Procedure files."`
}

// Run checks every file and exits with 1 where one has errors. Nothing is changed.
func (cmd *checkCmd) Run(e *env) error {
	bad := false
	for _, file := range cmd.Files {
		p, bp, err := readWithBlueprint(file)
		if err != nil {
			bad = true
			fmt.Fprintln(e.out, err)
			continue
		}
		if err := report(e, file, p, bp); err != nil {
			return err
		}
	}
	if bad {
		return exitError(1)
	}
	return nil
}

// readWithBlueprint reads a procedure file and the blueprint beside it, if any.
func readWithBlueprint(file string) (*content.Procedure, []byte, error) {
	src, err := os.ReadFile(file)
	if err != nil {
		return nil, nil, fmt.Errorf("read %s: %w", file, err)
	}
	p, err := procfile.Read(file, src)
	if err != nil {
		return nil, nil, err
	}
	beside := strings.TrimSuffix(file, filepath.Ext(file)) + ".blueprint.yaml"
	bp, err := os.ReadFile(beside)
	if errors.Is(err, os.ErrNotExist) {
		return p, nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("read %s: %w", beside, err)
	}
	if _, err := procfile.ReadBlueprint(beside, bp); err != nil {
		return nil, nil, err
	}
	return p, bp, nil
}

// report says how much a sound file gives: facts, families, what no item can be
// written on and why, and the chance to pass.
func report(e *env, file string, p *content.Procedure, bp []byte) error {
	for _, build := range buildsOf(p) {
		ed, err := api.MakeEdition(p, bp, build, itemmodel.All())
		if err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		name := p.ID + " revision " + p.Revision
		if build != "" {
			name += ", build " + build
		}
		fmt.Fprintf(e.out, "%s: %s: %d facts, %d families of items\n", file, name, len(ed.Source.Index.Facts()), len(ed.Bank.Families()))
		for _, u := range ed.Bank.Unwritten() {
			fmt.Fprintf(e.out, "%s: note: no item on %s: %s\n", file, u.Fact.ID, strings.Join(u.Why, "; "))
		}
		reportPass(e, file, ed)
	}
	return nil
}

// reportPass says how likely persons of three levels pass, and warns where a
// good one passes too seldom.
func reportPass(e *env, file string, ed *api.Edition) {
	const samples = 20
	t, err := scoring.PassTable(ed.Bank, ed.Blueprint, quiz.Seed{}, samples)
	if err != nil {
		fmt.Fprintf(e.out, "%s: warning: no form can be set: %v\n", file, err)
		return
	}
	for _, r := range t.Rows {
		fmt.Fprintf(e.out, "%s: who gets %.2f of the items right passes with %.3f (%.3f on the hardest of %d forms; %.3f without the confirming step)\n",
			file, r.Holds, r.Pass, r.Least, t.Forms, r.Plain)
	}
	if t.Warn {
		fmt.Fprintf(e.out, "%s: warning: who gets 0.95 right should pass with 0.90 at least: ask for fewer critical facts, or fewer on isolation\n", file)
	}
}

func buildsOf(p *content.Procedure) []string {
	if len(p.Builds) == 0 {
		return []string{""}
	}
	out := make([]string, len(p.Builds))
	for i, b := range p.Builds {
		out[i] = b.ID
	}
	return out
}

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
		cmd.Build = buildsOf(p)[0]
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

// importCmd puts a revision into the record.
type importCmd struct {
	storage
	Files []string `arg:"" help:"Procedure files; a blueprint NAME.blueprint.yaml beside a file goes with it."`
}

// Run imports every file. A file with errors changes nothing and ends the import.
func (cmd *importCmd) Run(e *env) (err error) {
	st, err := cmd.open(e.ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	app := newApp(e, st)
	for _, file := range cmd.Files {
		_, bp, err := readWithBlueprint(file)
		if err != nil {
			fmt.Fprintln(e.out, err)
			return exitError(1)
		}
		src, err := os.ReadFile(file)
		if err != nil {
			return fmt.Errorf("read %s: %w", file, err)
		}
		res, err := app.ImportProcedure(e.ctx, api.Operator(), api.Import{Name: file, Source: src, Blueprint: bp})
		if err != nil {
			return err
		}
		state := "imported"
		if !res.New {
			state = "was there already"
		}
		fmt.Fprintf(e.out, "%s: %s revision %s, %d facts: %s\n", file, res.Procedure, res.Revision, res.Facts, state)
	}
	return nil
}
