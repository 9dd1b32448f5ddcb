package testenv

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
)

// port names the socket file; it is no TCP port, the server listens on none.
const port = "5432"

// longestSocketPath is what fits in a socket address on Linux: 108 bytes with
// the closing zero (unix(7)).
const longestSocketPath = 107

// findPostgreSQL returns the folder that holds initdb and postgres: the one on
// the PATH, or the newest that Debian's packages put under /usr/lib/postgresql.
func findPostgreSQL() (string, error) {
	var folders []string
	if initdb, err := exec.LookPath("initdb"); err == nil {
		folders = append(folders, filepath.Dir(initdb))
	}
	packaged, err := filepath.Glob("/usr/lib/postgresql/*/bin")
	if err != nil {
		return "", fmt.Errorf("look for PostgreSQL: %w", err)
	}
	slices.SortFunc(packaged, func(a, b string) int { return version(b) - version(a) })
	for _, folder := range append(folders, packaged...) {
		if _, err := exec.LookPath(filepath.Join(folder, "postgres")); err != nil {
			continue
		}
		if _, err := exec.LookPath(filepath.Join(folder, "initdb")); err == nil {
			return folder, nil
		}
	}
	return "", errors.New("no initdb and postgres on the PATH or in /usr/lib/postgresql/*/bin")
}

// version returns the major version in /usr/lib/postgresql/N/bin, 0 if it is none.
func version(bin string) int {
	n, err := strconv.Atoi(filepath.Base(filepath.Dir(bin)))
	if err != nil {
		return 0
	}
	return n
}

// An owner is the user that a server runs as.
type owner struct {
	switched bool // not the user that runs the tests
	uid, gid uint32
}

// findOwner returns who may run the server: ourselves, or, as PostgreSQL
// refuses to be run by root, the first unprivileged user that stands ready.
func findOwner() (owner, error) {
	if os.Geteuid() != 0 {
		return owner{}, nil
	}
	if runtime.GOOS != "linux" {
		return owner{}, errors.New("PostgreSQL refuses to be run by root: run the tests as another user")
	}
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, errUID := strconv.ParseUint(u.Uid, 10, 32)
		gid, errGID := strconv.ParseUint(u.Gid, 10, 32)
		if err := errors.Join(errUID, errGID); err != nil {
			return owner{}, fmt.Errorf("read the ids of user %s: %w", name, err)
		}
		return owner{switched: true, uid: uint32(uid), gid: uint32(gid)}, nil
	}
	return owner{}, errors.New("PostgreSQL refuses to be run by root, and there is no user postgres or nobody to run it")
}

// makeFolder makes a new folder that belongs to the owner, where he can reach
// it and where the path of a socket stays short enough. It is not t.TempDir,
// whose parent is closed to everybody but the user that runs the tests.
func (o owner) makeFolder(prefix string) (string, error) {
	var refused error
	for _, parent := range []string{os.TempDir(), "/tmp", "/var/tmp"} {
		folder, err := o.makeFolderIn(parent, prefix)
		if err == nil {
			return folder, nil
		}
		refused = errors.Join(refused, err)
	}
	return "", refused
}

func (o owner) makeFolderIn(parent, prefix string) (string, error) {
	// MkdirTemp appends at most ten digits.
	if n := len(filepath.Join(parent, prefix+"0123456789", ".s.PGSQL."+port)); n > longestSocketPath {
		return "", fmt.Errorf("a socket under %s would have a path of %d bytes, at most %d fit", parent, n, longestSocketPath)
	}
	if o.switched {
		if err := openToAll(parent); err != nil {
			return "", err
		}
	}
	folder, err := os.MkdirTemp(parent, prefix)
	if err != nil {
		return "", fmt.Errorf("make a folder for PostgreSQL: %w", err)
	}
	if o.switched {
		if err := os.Chown(folder, int(o.uid), int(o.gid)); err != nil {
			return "", fmt.Errorf("make a folder for PostgreSQL: %w", errors.Join(err, os.Remove(folder)))
		}
	}
	return folder, nil
}

// openToAll returns an error if some folder on the way to path lets only its
// owner through.
func openToAll(path string) error {
	for dir := filepath.Clean(path); ; dir = filepath.Dir(dir) {
		info, err := os.Stat(dir)
		if err != nil {
			return fmt.Errorf("look at %s: %w", dir, err)
		}
		if info.Mode().Perm()&0o001 == 0 {
			return fmt.Errorf("%s is closed to the user that runs PostgreSQL", dir)
		}
		if dir == filepath.Dir(dir) {
			return nil
		}
	}
}
