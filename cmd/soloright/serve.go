package main

import (
	"errors"
	"fmt"

	"soloright/api/edge"
)

// serveCmd serves a site.
type serveCmd struct {
	recording
	Address string `help:"Where to listen." default:"127.0.0.1:8080" env:"SOLORIGHT_ADDRESS"`
	Public  string `name:"public-url" help:"Address under which people reach the site, for what is printed: https://soloright.works.example. Without it the address of each request." env:"SOLORIGHT_PUBLIC_URL" placeholder:"URL"`
	Library bool   `help:"Import the procedures that ship with the program." default:"true" negatable:""`
}

// Run serves until it is told to stop.
func (cmd *serveCmd) Run(e *env) (err error) {
	if e.public, err = edge.ParsePublic(cmd.Public); err != nil {
		return fmt.Errorf("--public-url: %w", err)
	}
	app, st, err := cmd.openRecord(e)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	if err := checkAtStart(e, app); err != nil {
		return err
	}
	if cmd.Library {
		if err := importLibrary(e.ctx, app); err != nil {
			return err
		}
	}
	return listenAndServe(e, app, cmd.Address, func(url string) {
		fmt.Fprintf(e.out, "Soloright serves on %s (%s)\n", url, st)
	})
}
