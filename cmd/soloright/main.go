// Command soloright decides, on evidence, who may rebuild a machine alone: it
// serves assessments made from procedure data, marks them and keeps the record.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"syscall"
	"time"

	"github.com/alecthomas/kong"
)

// cli is the command line. Each command is a struct with a Run method in a file
// of its own.
type cli struct {
	Serve     serveCmd     `cmd:"" help:"Serve the pages and the JSON face."`
	Demo      demoCmd      `cmd:"" help:"Serve the four procedures with a small invented crew, on the embedded database in a temporary folder."`
	Procedure procedureCmd `cmd:"" help:"Check, preview and import procedure files."`
	Account   accountCmd   `cmd:"" help:"Add accounts."`
	Ledger    ledgerCmd    `cmd:"" help:"Check, export and prove the record; keep its keys."`
	Replay    replayCmd    `cmd:"" help:"Mark every stored sitting again and report every difference."`
	Analyse   analyseCmd   `cmd:"" help:"Judge the items of every procedure by the whole history: figures, and flags with their evidence."`
	Rework    reworkCmd    `cmd:"" help:"Work out anew, from forms, hand-ins and marks, what lessons and item statistics read."`
}

// env is what commands need of the world: where they write, and the clock.
type env struct {
	ctx   context.Context
	out   io.Writer
	err   io.Writer
	in    io.Reader
	clock func() time.Time
	log   *slog.Logger

	public string // address under which people reach the site; empty: that of each request
}

// storage are the flags of every command that opens a database.
type storage struct {
	Database string `help:"PostgreSQL by its URL, postgres://…; without it the embedded database in the data folder." env:"SOLORIGHT_DATABASE" placeholder:"URL"`
	Data     string `help:"Folder of the embedded database." env:"SOLORIGHT_DATA" default:"data" type:"path"`
}

// exitError ends the program with a code and no further message.
type exitError int

func (e exitError) Error() string { return fmt.Sprintf("exit %d", int(e)) }

func main() { os.Exit(run(os.Args[1:])) }

// run runs the program and returns its exit code: 0 done, 1 the work found
// something wrong, 2 the call was wrong.
func run(args []string) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	var c cli
	code := -1
	parser, err := kong.New(&c, kong.Name("soloright"), kong.Description("Decides, on evidence, who may rebuild a machine alone."), kong.UsageOnError(), kong.Exit(func(n int) { code = n }))
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 2
	}
	k, err := parser.Parse(args)
	if code >= 0 { // --help
		return code
	}
	if err != nil {
		fmt.Fprintf(os.Stderr, "soloright: %v\n", err)
		return 2
	}
	e := &env{ctx: ctx, out: os.Stdout, err: os.Stderr, in: os.Stdin, clock: time.Now,
		log: slog.New(slog.NewTextHandler(os.Stderr, nil))}
	return exitCode(k.Run(e), os.Stderr)
}

func exitCode(err error, w io.Writer) int {
	var code exitError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &code):
		return int(code)
	}
	fmt.Fprintf(w, "soloright: %v\n", err)
	return 1
}
