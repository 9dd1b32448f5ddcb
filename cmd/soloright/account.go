package main

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"strings"

	"golang.org/x/term"

	"soloright/api"
)

// accountCmd is the commands on accounts.
type accountCmd struct {
	Add accountAddCmd `cmd:"" help:"Add an account. The password is asked for, or read from standard input."`
}

// accountAddCmd adds an account.
type accountAddCmd struct {
	recording
	SignIn string `arg:"" help:"Sign-in name."`
	Name   string `required:"" help:"Name, as printed."`
	Role   string `default:"technician" enum:"technician,trainer,safety officer,administrator" help:"technician, trainer, safety officer or administrator."`
	Crew   string `help:"Crew or shift."`
}

// Run adds the account.
func (cmd *accountAddCmd) Run(e *env) (err error) {
	password, err := askPassword(e)
	if err != nil {
		return err
	}
	app, st, err := cmd.openRecord(e)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	p, err := app.AddAccount(e.ctx, api.Operator(), api.AddAccount{SignIn: cmd.SignIn, Name: cmd.Name, Role: api.Role(cmd.Role), Crew: cmd.Crew, Password: password})
	if err != nil {
		return err
	}
	fmt.Fprintf(e.out, "Added %s (%s) as %s.\n", p.SignIn, p.Name, p.Role)
	return nil
}

// askPassword reads a password: hidden where standard input is a terminal, else
// one line.
func askPassword(e *env) (string, error) {
	if f, ok := e.in.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		fmt.Fprint(e.err, "Password: ")
		b, err := term.ReadPassword(int(f.Fd()))
		fmt.Fprintln(e.err)
		if err != nil {
			return "", fmt.Errorf("read password: %w", err)
		}
		return string(b), nil
	}
	s := bufio.NewScanner(e.in)
	if !s.Scan() {
		return "", errors.New("no password on standard input: give one line")
	}
	return strings.TrimRight(s.Text(), "\r"), s.Err()
}
