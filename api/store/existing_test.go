package store_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"soloright/api/store"
)

// Whoever only looks makes nothing: a misspelt folder is an error and stays away.
func TestExisting(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "misspelt")
	if _, err := store.Open(t.Context(), store.Config{Folder: folder, Existing: true}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a folder without a database: %v", err)
	}
	if _, err := os.Stat(folder); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the folder was made: %v", err)
	}
	open(t, store.Config{Folder: folder})
	open(t, store.Config{Folder: folder, Existing: true})
}
