package main

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"soloright/api"
	"soloright/api/store"
	"soloright/scoring/ledger"
)

// keyVariable is the environment variable that may hold the private key itself.
const keyVariable = "SOLORIGHT_LEDGER_KEY"

// The private key in the data folder, and the next one while the ledger is
// being handed over to it.
const (
	keyFile     = "ledger.key"
	nextKeyFile = "ledger.key.next"
)

// recording are the flags of every command that puts something on the record.
type recording struct {
	storage
	LedgerKey string `help:"File with the private key of the ledger. Without it the key is taken from SOLORIGHT_LEDGER_KEY, or, on the embedded database, from ledger.key in the data folder, which is made on the first start." placeholder:"FILE" type:"path"`
}

// openRecord opens the database and makes sure that the record is kept under
// the key given. The application puts nothing on it that it cannot sign.
func (r recording) openRecord(e *env) (*api.App, *store.Store, error) {
	signer, err := r.given()
	if err != nil {
		return nil, nil, err
	}
	st, err := r.open(e.ctx)
	if err != nil {
		return nil, nil, err
	}
	if signer == nil {
		signer, err = folderKey(e.ctx, st, r.Data)
	}
	if err != nil {
		return nil, nil, errors.Join(err, st.Close())
	}
	app := newKeyedApp(e, st, signer)
	if err := app.BeginLedger(e.ctx); err != nil {
		return nil, nil, errors.Join(err, st.Close())
	}
	return app, st, nil
}

// given reads the private key that was given; nil where it is that of the data folder.
func (r recording) given() (*ledger.Signer, error) {
	switch given := os.Getenv(keyVariable); {
	case r.LedgerKey != "":
		return readKey(r.LedgerKey)
	case given != "":
		s, err := ledger.NewSigner(strings.TrimSpace(given))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", keyVariable, err)
		}
		return s, nil
	case r.Database != "":
		return nil, errors.New("the private key of the ledger is to be given with --ledger-key FILE, or in " + keyVariable +
			": on PostgreSQL it is not kept beside the data. Make one with: soloright ledger new-key NAME, where NAME is like workshop.example/ledger")
	}
	return nil, nil
}

// readKey reads a key file. One that others can read is refused: whoever has the
// key can sign for the ledger.
func readKey(file string) (*ledger.Signer, error) {
	info, err := os.Stat(file)
	if err != nil {
		return nil, fmt.Errorf("read the private key of the ledger: %w", err)
	}
	if mode := info.Mode().Perm(); mode&0o077 != 0 {
		return nil, fmt.Errorf("%s can be read by others than its owner (mode %04o), and whoever reads it can sign for the ledger. Mend it with: chmod 600 %s; if others did read it, hand over to a new key with: soloright ledger rotate-key", file, mode, file)
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("read the private key of the ledger: %w", err)
	}
	s, err := ledger.NewSigner(strings.TrimSpace(string(text)))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	return s, nil
}

// folderKey finds the key in the data folder. It makes one for a ledger that has
// not begun, and ends a handover that was cut short.
func folderKey(ctx context.Context, st *store.Store, folder string) (*ledger.Signer, error) {
	var keys ledger.Keys
	err := st.Read(ctx, func(r api.Reader) (err error) {
		keys, err = r.LedgerKeys(ctx)
		return err
	})
	if err != nil {
		return nil, err
	}
	file, next := filepath.Join(folder, keyFile), filepath.Join(folder, nextKeyFile)
	if s, err := readKey(next); err == nil && len(keys) > 0 && keys.Current() == s.Verifier() {
		return s, takeOver(next, file)
	}
	s, err := readKey(file)
	if !errors.Is(err, fs.ErrNotExist) {
		return s, err
	}
	if len(keys) > 0 {
		return nil, fmt.Errorf("%s is missing: the ledger in this folder is signed by the private key that belongs to %s. Put the file back from a backup", file, keys.Current())
	}
	return makeFolderKey(file)
}

// makeFolderKey makes the key of a new ledger. Of two processes that do so at
// once, both take the one that was there first.
func makeFolderKey(file string) (*ledger.Signer, error) {
	var b [6]byte
	if _, err := rand.Read(b[:]); err != nil {
		return nil, fmt.Errorf("read randomness: %w", err)
	}
	signer, _, err := ledger.NewKey(rand.Reader, "soloright/"+hex.EncodeToString(b[:]))
	if err != nil {
		return nil, err
	}
	if err := writeKey(file, signer); err != nil && !errors.Is(err, fs.ErrExist) {
		return nil, err
	}
	return readKey(file)
}

// writeKey writes a private key into a new file that only its owner can read. It
// is there whole or not at all, and stays after a power cut.
func writeKey(file, key string) (err error) {
	folder := filepath.Dir(file)
	f, err := os.CreateTemp(folder, "."+filepath.Base(file)+".*") // mode 0600
	if err != nil {
		return fmt.Errorf("write a private key: %w", err)
	}
	defer func() { err = errors.Join(err, os.Remove(f.Name())) }()
	_, err = f.WriteString(key + "\n")
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("write a private key: %w", err)
	}
	if err := os.Link(f.Name(), file); err != nil {
		return fmt.Errorf("write a private key: %w", err)
	}
	return syncFolder(folder)
}

// takeOver puts the next key in the place of the one before.
func takeOver(next, file string) error {
	if err := os.Rename(next, file); err != nil {
		return fmt.Errorf("put the next key in its place: %w", err)
	}
	return syncFolder(filepath.Dir(file))
}

// syncFolder waits until the names in a folder are on the disk.
func syncFolder(folder string) error {
	d, err := os.Open(folder)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
