package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"soloright/api"
	"soloright/content"
	"soloright/content/procfile"
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
	if _, err := procfile.ReadBlueprintFor(beside, bp, p); err != nil {
		return nil, nil, err
	}
	return p, bp, nil
}

// importCmd puts a revision into the record.
type importCmd struct {
	recording
	Adopt bool     `help:"Put a later revision in force at once. Without it, one is kept until a safety officer adopts it."`
	Files []string `arg:"" help:"Procedure files; a blueprint NAME.blueprint.yaml beside a file goes with it."`
}

// Run imports every file. A file with errors changes nothing and ends the import.
func (cmd *importCmd) Run(e *env) (err error) {
	app, st, err := cmd.openRecord(e)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
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
		res, err := app.ImportProcedure(e.ctx, api.Operator(), api.Import{Name: file, Source: src, Blueprint: bp, Adopt: cmd.Adopt})
		if err != nil {
			return err
		}
		state := "imported"
		if !res.New {
			state = "was there already"
		}
		if res.InForce {
			state += ", in force"
		} else {
			state += ", kept until a safety officer adopts it"
		}
		fmt.Fprintf(e.out, "%s: %s revision %s, %d facts: %s\n", file, res.Procedure, res.Revision, res.Facts, state)
	}
	return nil
}
