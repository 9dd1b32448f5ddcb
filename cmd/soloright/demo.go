package main

import (
	"errors"
	"fmt"
	"os"
	"time"

	"soloright/api"
	"soloright/api/store"
)

// demoCmd shows the main job with an invented crew.
type demoCmd struct {
	Database string `help:"PostgreSQL by its URL, postgres://…; without it the embedded database." placeholder:"URL"`
	Data     string `help:"Folder of the embedded database; without it a temporary one, removed at a graceful stop." type:"path"`
	Address  string `help:"Where to listen." default:"127.0.0.1:8080"`
}

// Run seeds a database that has no people yet, and serves it.
func (cmd *demoCmd) Run(e *env) (err error) {
	temporary := cmd.Data == "" && cmd.Database == ""
	if temporary {
		if cmd.Data, err = os.MkdirTemp("", "soloright-demo-"); err != nil {
			return fmt.Errorf("make a temporary folder: %w", err)
		}
	}
	if err := cmd.seed(e); err != nil {
		return err
	}
	st, err := store.Open(e.ctx, store.Config{URL: cmd.Database, Folder: cmd.Data})
	if err != nil {
		return err
	}
	err = listenAndServe(e, newApp(e, st), cmd.Address, func(url string) { cmd.say(e, url, temporary) })
	err = errors.Join(err, st.Close())
	if temporary && err == nil {
		err = os.RemoveAll(cmd.Data)
	}
	return err
}

func (cmd *demoCmd) say(e *env, url string, temporary bool) {
	fmt.Fprintf(e.out, "Soloright shows its main job on %s\n\n", url)
	for _, p := range demoCrew {
		if p.password != "" {
			fmt.Fprintf(e.out, "  %-16s sign-in %-8s password %s\n", p.role, p.signIn, p.password)
		}
	}
	fmt.Fprintln(e.out, "\nEverybody and every number in it is invented. Stop with Ctrl-C.")
	if temporary {
		fmt.Fprintf(e.out, "The data lies in %s and goes with the stop; after a crash, go on with: demo --data %s\n", cmd.Data, cmd.Data)
	}
}

// seed plays the invented history through the use cases, with a clock in the
// past, on a handle that does not wait for the disk: what is invented may be
// lost. A database with people in it is left as it is.
func (cmd *demoCmd) seed(e *env) (err error) {
	st, err := store.Open(e.ctx, store.Config{URL: cmd.Database, Folder: cmd.Data, Careless: true})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	has := false
	err = st.Read(e.ctx, func(r api.Reader) error {
		people, err := r.People(e.ctx)
		has = len(people) > 0
		return err
	})
	if err != nil || has {
		return err
	}
	begin := e.clock().UTC().Add(-90 * 24 * time.Hour)
	h := &history{env: e, store: st, now: begin}
	return h.play()
}
