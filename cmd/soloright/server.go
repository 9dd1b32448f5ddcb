package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
	"soloright/api/store"
	v1 "soloright/api/v1"
	"soloright/content/library"
	"soloright/quiz/itemmodel"
	"soloright/scoring/ledger"
	"soloright/web"
)

// sweepEvery is how often sittings whose time is up are handed in, for those
// that nobody reads.
const sweepEvery = 15 * time.Second

// openStore opens the database of the flags, brings its tables up to date and
// checks that it keeps what it acknowledges.
func (s storage) open(ctx context.Context) (*store.Store, error) {
	return store.Open(ctx, store.Config{URL: s.Database, Folder: s.Data})
}

// openExisting is open for who looks at what is there: where there is no database,
// as at a folder that is misspelt, none is made.
func (s storage) openExisting(ctx context.Context) (*store.Store, error) {
	return store.Open(ctx, store.Config{URL: s.Database, Folder: s.Data, Existing: true})
}

// newApp makes the application on a store, to read what is there: it holds no
// key, so it cannot continue a signed ledger.
func newApp(e *env, st api.Store) *api.App { return newKeyedApp(e, st, nil) }

// newKeyedApp makes the application on a store, with the private key of its ledger.
func newKeyedApp(e *env, st api.Store, signer *ledger.Signer) *api.App {
	return api.New(config(e, st, signer))
}

// config is what the program's application is made of.
func config(e *env, st api.Store, signer *ledger.Signer) api.Config {
	return api.Config{Store: st, Models: itemmodel.All(), Clock: e.clock, Entropy: rand.Reader, Log: e.log, Zone: time.Local, Signer: signer}
}

// importLibrary puts the procedures that ship with the program into the record;
// those that are there already stay as they are. A later revision that comes with
// a new version of the program is kept only: who works by it is for a safety
// officer to decide.
func importLibrary(ctx context.Context, app *api.App) error {
	procs, err := library.Procedures()
	if err != nil {
		return fmt.Errorf("read the library: %w", err)
	}
	for _, p := range procs {
		src, err := library.Source(p.ID)
		if err != nil {
			return fmt.Errorf("read the library: %w", err)
		}
		cmd := api.Import{Name: p.ID + ".yaml", Source: src, Blueprint: library.BlueprintSource(p.ID)}
		if _, err := app.ImportProcedure(ctx, api.Operator(), cmd); err != nil {
			return fmt.Errorf("import %s of the library: %w", p.ID, err)
		}
	}
	return nil
}

// handler makes the whole HTTP face: JSON under /api/v1, pages elsewhere. Public
// is the address of the site; empty: that of each request.
func handler(app *api.App, log *slog.Logger, clock api.Clock, public string) (http.Handler, error) {
	pages, err := web.New(web.Options{App: app, Log: log, Clock: clock})
	if err != nil {
		return nil, fmt.Errorf("make the pages: %w", err)
	}
	fail := func(c *gin.Context, status int, e *api.Error) {
		if strings.HasPrefix(c.Request.URL.Path, v1.Prefix) {
			v1.Fail(c, status, e)
			return
		}
		pages.Fail(c, status, e)
	}
	e := edge.New(edge.Options{Log: log, Fail: fail, Public: public})
	v1.Register(e, app, log)
	pages.Register(e)
	return e, nil
}

// listenAndServe serves until the context ends, then lets what is under way
// finish. ready is called with the address once requests are taken.
func listenAndServe(e *env, app *api.App, address string, ready func(url string)) error {
	h, err := handler(app, e.log, e.clock, e.public)
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", address)
	if err != nil {
		return fmt.Errorf("listen on %s: %w", address, err)
	}
	srv := &http.Server{Handler: h, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: time.Minute, IdleTimeout: 2 * time.Minute,
		ErrorLog: slog.NewLogLogger(e.log.Handler(), slog.LevelWarn)}
	ctx, cancel := context.WithCancel(e.ctx)
	defer cancel()
	swept := make(chan struct{})
	go func() { defer close(swept); sweep(ctx, app, e.log) }()
	failed := make(chan error, 1)
	go func() { failed <- srv.Serve(l) }()
	ready("http://" + l.Addr().String())
	select {
	case err = <-failed:
	case <-ctx.Done():
		err = shutdown(srv)
	}
	cancel()
	<-swept
	app.Stop()
	app.EndChecks()
	return err
}

func shutdown(srv *http.Server) error {
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	if err := srv.Shutdown(ctx); err != nil {
		return fmt.Errorf("stop: %w", errors.Join(err, srv.Close()))
	}
	return nil
}

// sweep hands in what is overdue until the context ends.
func sweep(ctx context.Context, app *api.App, log *slog.Logger) {
	// A record that an older program wrote lacks what analysis reads.
	if n, err := app.FillResponses(ctx); err != nil && ctx.Err() == nil {
		log.Error("read the history for analysis", "err", err)
	} else if n > 0 {
		log.Info("read the history for analysis", "sittings", n)
	}
	tick := time.NewTicker(sweepEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			if _, err := app.Sweep(ctx); err != nil && ctx.Err() == nil {
				log.Error("sweep", "err", err)
			}
		}
	}
}
