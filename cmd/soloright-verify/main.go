// Command soloright-verify checks what a ledger hands out: an export, the proof of
// one entry, or the growth of the record from an older checkpoint. It needs the file
// and a public key, no network and no database, and it never writes.
//
// It prints one verdict. Its exit code is 0 for sound, 1 for not sound and 2 if it
// could not check: the call was wrong or a file cannot be read.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/alecthomas/kong"

	"soloright/scoring/ledger"
)

// cli is the command line. Each command is a struct with a Run method in a file of
// its own.
type cli struct {
	Export exportCmd `cmd:"" help:"Check a whole record by its export."`
	Proof  proofCmd  `cmd:"" help:"Check that one entry is on the record."`
	Growth growthCmd `cmd:"" help:"Check that a record only grew from an older checkpoint to a newer one."`
}

// keys are the flags of every command.
type keys struct {
	Key []string `required:"" help:"The public key of the ledger, or a file with one key on each line. May be given more than once." placeholder:"KEY"`
}

// world is what commands read from and write to.
type world struct {
	in       io.Reader
	out, err io.Writer
	terminal bool // err is one, so progress may be shown on it
}

// The exit codes.
const (
	sound    = 0
	notSound = 1
	wrong    = 2
)

func main() {
	info, err := os.Stderr.Stat()
	w := &world{in: os.Stdin, out: os.Stdout, err: os.Stderr, terminal: err == nil && info.Mode()&os.ModeCharDevice != 0}
	os.Exit(run(os.Args[1:], w))
}

// run runs the program and returns its exit code.
func run(args []string, w *world) int {
	var c cli
	code := -1
	parser, err := kong.New(&c, kong.Name("soloright-verify"), kong.Writers(w.out, w.err), kong.UsageOnError(), kong.Exit(func(n int) { code = n }),
		kong.Description("Checks that a record is as it was signed: nothing altered, removed or put in between. Exit code 0: sound; 1: not sound; 2: could not check."))
	if err != nil {
		fmt.Fprintln(w.err, err)
		return wrong
	}
	k, err := parser.Parse(args)
	if code >= 0 { // --help
		return code
	}
	if err == nil {
		err = k.Run(w)
	}
	return verdict(err, w)
}

// verdict prints what is not sound and returns the exit code.
func verdict(err error, w *world) int {
	var u *ledger.Unsound
	var d *ledger.Defect
	switch {
	case err == nil:
		return sound
	case errors.As(err, &u) && len(u.Defects)+u.More > 1:
		fmt.Fprintf(w.out, "NOT SOUND. %d things are wrong:\n", len(u.Defects)+u.More)
		for _, d := range u.Defects {
			fmt.Fprintf(w.out, "- %v\n", d)
		}
		if u.More > 0 {
			fmt.Fprintf(w.out, "- and %d more.\n", u.More)
		}
		return notSound
	case errors.As(err, &u):
		fmt.Fprintf(w.out, "NOT SOUND. %v\n", u)
		return notSound
	case errors.As(err, &d):
		fmt.Fprintf(w.out, "NOT SOUND. %v\n", d)
		return notSound
	}
	fmt.Fprintf(w.err, "soloright-verify: could not check: %v\n", err)
	return wrong
}
