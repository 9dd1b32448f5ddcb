package testenv

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// A folder closed to the server's user is passed over for one where he can work.
func TestMakeFolderPassesOverClosed(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir()) // below a folder of mode 0700
	worksIn(t)
}

// A folder deeper than a socket address can name is passed over.
func TestMakeFolderPassesOverDeep(t *testing.T) {
	open, err := os.MkdirTemp("", "soloright-deep-")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(open)
	deep := filepath.Join(open, strings.Repeat("d", 80))
	if err := os.Mkdir(deep, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(open, 0o755); err != nil {
		t.Fatal(err)
	}
	t.Setenv("TMPDIR", deep)
	folder := worksIn(t)
	if n := len(filepath.Join(folder, ".s.PGSQL."+port)); n > longestSocketPath {
		t.Errorf("%s: a socket path of %d bytes", folder, n)
	}
}

// worksIn makes a folder and has its owner make a file in it.
func worksIn(t *testing.T) (folder string) {
	t.Helper()
	o, err := findOwner()
	if err != nil {
		unreachable(t, "PostgreSQL", err)
	}
	folder, err = o.makeFolder("soloright-place-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(folder) })
	cmd := exec.Command("touch", filepath.Join(folder, "file"))
	cmd.Dir = "/"
	if o.switched {
		runAs(cmd, o.uid, o.gid)
	}
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("the server's user cannot work in %s: %v: %s", folder, err, out)
	}
	return folder
}

func TestVersion(t *testing.T) {
	for bin, want := range map[string]int{
		"/usr/lib/postgresql/9/bin":   9,
		"/usr/lib/postgresql/15/bin":  15,
		"/usr/lib/postgresql/9.6/bin": 0,
	} {
		if got := version(bin); got != want {
			t.Errorf("version(%s) = %d, want %d", bin, got, want)
		}
	}
}
