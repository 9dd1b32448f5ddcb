package main

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"time"

	"soloright/api"
	"soloright/api/store"
	"soloright/cmd/soloright/crew"
	"soloright/scoring/ledger"
)

// demoCmd shows the main job with an invented crew.
type demoCmd struct {
	Database string `help:"PostgreSQL by its URL, postgres://…; without it the embedded database." placeholder:"URL"`
	Data     string `help:"Folder of the embedded database; without it a temporary one, removed at a graceful stop." type:"path"`
	Address  string `help:"Where to listen." default:"127.0.0.1:8080"`
	Days     int    `help:"How many days of the invented history to play, at most 730; fewer start faster." default:"730"`
}

// Run seeds a database that has no people yet, and serves it.
func (cmd *demoCmd) Run(e *env) (err error) {
	if cmd.Days < 1 || cmd.Days > crew.Days {
		return fmt.Errorf("--days %d: the history has from 1 to %d days", cmd.Days, crew.Days)
	}
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
	err = cmd.serve(e, st, temporary)
	err = errors.Join(err, st.Close())
	if temporary && err == nil {
		err = os.RemoveAll(cmd.Data)
	}
	return err
}

// serve serves the demo's database.
func (cmd *demoCmd) serve(e *env, st *store.Store, temporary bool) error {
	key, err := cmd.key(e, st)
	if err != nil {
		return err
	}
	app := newKeyedApp(e, st, key)
	if err := app.BeginLedger(e.ctx); err != nil {
		return err
	}
	if err := checkAtStart(e, app); err != nil {
		return err
	}
	return listenAndServe(e, app, cmd.Address, func(url string) { cmd.say(e, url, temporary) })
}

// key is the private key of the demo's ledger: in the data folder as with serve,
// and on PostgreSQL, where a demo has none of its own, one that everybody knows.
// So a demo cannot go on with a real record, nor can its record become a real one.
func (cmd *demoCmd) key(e *env, st *store.Store) (*ledger.Signer, error) {
	if cmd.Database == "" {
		return folderKey(e.ctx, st, cmd.Data)
	}
	seed := sha256.Sum256([]byte("the key of every demo on PostgreSQL"))
	key, _, err := ledger.NewKey(bytes.NewReader(seed[:]), "soloright/demo")
	if err != nil {
		return nil, err
	}
	return ledger.NewSigner(key)
}

func (cmd *demoCmd) say(e *env, url string, temporary bool) {
	fmt.Fprintf(e.out, "Soloright shows its main job on %s\n\n", url)
	for _, p := range crew.Staff {
		fmt.Fprintf(e.out, "  %-16s sign-in %-8s password %s\n", p.Role, p.SignIn, p.Password)
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
	key, err := cmd.key(e, st)
	if err != nil {
		return err
	}
	open := func(clock api.Clock, entropy io.Reader) *api.App {
		c := config(e, st, key)
		c.Clock, c.Entropy, c.Passwords = clock, entropy, crew.Trusting(api.Argon2id(0, c.Entropy))
		return api.New(c)
	}
	defer debug.FreeOSMemory() // the history took more than serving will
	return crew.Play(e.ctx, crew.Works{Store: st, Open: open, Now: e.clock(), Days: cmd.Days, Zone: time.Local})
}
