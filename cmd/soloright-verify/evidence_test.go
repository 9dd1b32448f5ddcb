package main

import (
	"archive/zip"
	"bytes"
	"crypto/rand"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"soloright/api"
	"soloright/api/edge"
	"soloright/api/store"
	"soloright/content/library"
	"soloright/quiz/itemmodel"
	"soloright/scoring/ledger"
	"soloright/web"
)

// What the page of an evidence gives to take away, the auditor's checker finds
// sound, with nothing else at hand; and not sound once a letter of it is another.
func TestTheProofsOfAnEvidence(t *testing.T) {
	dir := t.TempDir()
	unpack(t, proofsOf(t), dir)
	proofs, err := filepath.Glob(filepath.Join(dir, "*.proof"))
	if err != nil || len(proofs) < 5 {
		t.Fatalf("%d proofs, %v", len(proofs), err)
	}
	check := func(file string) (int, string) {
		var out bytes.Buffer
		code := run([]string{"proof", file, "--key", filepath.Join(dir, "record.keys")}, &world{out: &out, err: &out})
		return code, out.String()
	}
	kinds := map[string]bool{}
	for _, file := range proofs {
		code, said := check(file)
		if code != sound || !strings.Contains(said, "SOUND. This is entry") || !strings.Contains(said, "soloright entry 1 ") {
			t.Errorf("%s: %d %s", filepath.Base(file), code, said)
		}
		_, entry, _ := strings.Cut(said, "soloright entry 1 ")
		kind, _, _ := strings.Cut(entry, " ")
		kinds[kind] = true
		altered(t, file)
		if code, said := check(file); code != notSound || !strings.Contains(said, "NOT SOUND") {
			t.Errorf("%s with another letter: %d %s", filepath.Base(file), code, said)
		}
	}
	for _, want := range []string{"revision.imported", "revision.adopted", "sitting.handed-in", "sitting.marked", "act.recorded"} {
		if !kinds[want] {
			t.Errorf("no proof is of an entry %s: %v", want, kinds)
		}
	}
}

// altered turns one letter of the entry in a proof into another.
func altered(t *testing.T, file string) {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	at := bytes.Index(b, []byte("extra ")) + 60
	if b[at]++; b[at] > 'y' || b[at] < 'B' {
		b[at] = 'B'
	}
	if err := os.WriteFile(file, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

func unpack(t *testing.T, packed []byte, dir string) {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, filepath.Base(f.Name)), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// proofsOf has somebody hand in a sitting and takes the file of proofs from the
// page.
func proofsOf(t *testing.T) []byte {
	t.Helper()
	st, err := store.Open(t.Context(), store.Config{Folder: t.TempDir(), Careless: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = st.Close() })
	key, _, err := ledger.NewKey(rand.Reader, "audited.example/ledger")
	if err != nil {
		t.Fatal(err)
	}
	signer, err := ledger.NewSigner(key)
	if err != nil {
		t.Fatal(err)
	}
	app := api.New(api.Config{Store: st, Models: itemmodel.All(), Clock: time.Now, Entropy: rand.Reader, Signer: signer})
	if err := app.BeginLedger(t.Context()); err != nil {
		t.Fatal(err)
	}
	person, token := sat(t, app)
	log := slog.New(slog.DiscardHandler)
	face, err := web.New(web.Options{App: app, Log: log, Clock: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	engine := edge.New(edge.Options{Log: log, Fail: face.Fail})
	face.Register(engine)
	r := httptest.NewRequest(http.MethodGet, "/evidence/"+person+"/energy-isolation/proofs", nil)
	r.AddCookie(&http.Cookie{Name: "__Host-soloright", Value: token})
	w := httptest.NewRecorder()
	engine.ServeHTTP(w, r)
	if w.Code != http.StatusOK {
		t.Fatalf("the proofs: %d", w.Code)
	}
	return w.Body.Bytes()
}

// sat adds a technician who hands a qualifying sitting in.
func sat(t *testing.T, app *api.App) (person, token string) {
	t.Helper()
	ctx, what := t.Context(), "energy-isolation"
	src, err := library.Source(what)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := app.ImportProcedure(ctx, api.Operator(), api.Import{Name: what, Source: src, Blueprint: library.BlueprintSource(what)}); err != nil {
		t.Fatal(err)
	}
	p, err := app.AddAccount(ctx, api.Operator(), api.AddAccount{SignIn: "robin", Name: "Robin", Role: api.Technician, Password: "a-long-enough-one"})
	if err != nil {
		t.Fatal(err)
	}
	in, err := app.SignIn(ctx, api.SignIn{SignIn: "robin", Password: "a-long-enough-one"})
	if err != nil {
		t.Fatal(err)
	}
	c := api.Bearer(in.Token)
	s, err := app.OpenSitting(ctx, c, api.OpenSitting{Procedure: what, Mode: api.Qualifying})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := app.HandIn(ctx, c, s.ID); err != nil {
		t.Fatal(err)
	}
	if _, err := app.Result(ctx, c, s.ID); err != nil {
		t.Fatal(err)
	}
	return p.ID, in.Token
}
