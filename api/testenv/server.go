package testenv

import (
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	_ "github.com/lib/pq" // the driver for statements that make and drop databases
)

// superuser is the name that a throwaway server knows us by.
const superuser = "soloright"

// A server is one PostgreSQL cluster in a folder of its own. Nobody but the
// owner of the folder can reach its socket, and it listens on no network.
type server struct {
	bin    string // the folder of initdb and postgres
	folder string // holds data/, the socket and the log
	owner  owner
	guard  *guard
	child  *child // nil while the server is down
}

// boot makes a cluster in a new folder and starts it.
func boot() (*server, error) {
	bin, err := findPostgreSQL()
	if err != nil {
		return nil, err
	}
	who, err := findOwner()
	if err != nil {
		return nil, err
	}
	folder, err := who.makeFolder("soloright-pg-")
	if err != nil {
		return nil, err
	}
	g, err := watch(folder)
	if err != nil {
		return nil, errors.Join(err, os.Remove(folder))
	}
	s := &server{bin: bin, folder: folder, owner: who, guard: g}
	if err := s.initialize(); err != nil {
		return nil, errors.Join(err, g.remove())
	}
	if err := s.start(); err != nil {
		return nil, errors.Join(err, s.close())
	}
	return s, nil
}

// initialize runs initdb. A server that sorts text by a language's rules comes
// first; one built without ICU, or older than version 15, sorts by bytes.
func (s *server) initialize() error {
	var failed error
	for _, locale := range [][]string{
		{"--locale-provider=icu", "--icu-locale=en", "--locale=C"},
		{"--locale=C"},
	} {
		args := append(locale, "--pgdata="+s.data(), "--username="+superuser,
			"--auth=trust", "--encoding=UTF8", "--no-sync")
		out, err := s.command("initdb", args...).CombinedOutput()
		if err == nil {
			return nil
		}
		failed = fmt.Errorf("initdb: %w: %s", err, strings.TrimSpace(string(out)))
	}
	return failed
}

// start starts the server and waits until it answers.
func (s *server) start() error {
	if s.child != nil && !s.child.ended() {
		return nil
	}
	log, err := os.OpenFile(s.log(), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
	if err != nil {
		return fmt.Errorf("open the server's log: %w", err)
	}
	defer log.Close() // the child has its own copy
	cmd := s.command("postgres", "-D", s.data(), "-k", s.folder, "-h", "",
		"-c", "fsync=on", "-c", "synchronous_commit=on", "-c", "full_page_writes=on",
		"-c", "max_connections=200", "-c", "timezone=UTC")
	cmd.Stdout, cmd.Stderr = log, log
	// SIGQUIT is PostgreSQL's immediate shutdown: nobody is waiting any more.
	if s.child, err = startChild(cmd, syscall.SIGQUIT); err != nil {
		return err
	}
	return s.await(30 * time.Second)
}

// await returns once the server answers, or says why it does not.
func (s *server) await(patience time.Duration) error {
	deadline := time.Now().Add(patience)
	for {
		err := s.exec("SELECT 1")
		if err == nil {
			return nil
		}
		if s.child.ended() {
			return fmt.Errorf("postgres ended while starting (%v): %s", s.child.err, s.lastWords())
		}
		if time.Now().After(deadline) {
			return fmt.Errorf("postgres did not answer within %v: %w: %s", patience, err, s.lastWords())
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// stop is PostgreSQL's fast shutdown: in order, without waiting for clients.
func (s *server) stop() error { return s.child.end(syscall.SIGINT, 30*time.Second) }

// crash is PostgreSQL's immediate shutdown: the next start recovers.
func (s *server) crash() error { return s.child.end(syscall.SIGQUIT, 30*time.Second) }

// close ends the server for good, if it runs, and removes its folder.
func (s *server) close() error {
	if s.child != nil {
		if err := s.crash(); err != nil {
			return err
		}
	}
	return s.guard.remove()
}

// createDatabase makes an empty database. The name is ours and needs no quoting.
func (s *server) createDatabase(name string) error { return s.exec("CREATE DATABASE " + name) }

// dropDatabase removes a database and cuts whoever is still connected.
func (s *server) dropDatabase(name string) error {
	return s.exec("DROP DATABASE " + name + " WITH (FORCE)")
}

// exec runs one statement in the maintenance database, on a connection of its own.
func (s *server) exec(statement string) error {
	db, err := sql.Open("postgres", s.dsn("postgres"))
	if err != nil {
		return fmt.Errorf("%s: %w", statement, err)
	}
	defer db.Close()
	if _, err := db.Exec(statement); err != nil {
		return fmt.Errorf("%s: %w", statement, err)
	}
	return nil
}

// dsn returns the address of a database on this server, over its socket.
func (s *server) dsn(database string) string {
	at := url.URL{Scheme: "postgres", User: url.User(superuser), Path: "/" + database}
	at.RawQuery = url.Values{"host": {s.folder}, "port": {port}, "sslmode": {"disable"}}.Encode()
	return at.String()
}

func (s *server) data() string { return filepath.Join(s.folder, "data") }

func (s *server) log() string { return filepath.Join(s.folder, "log") }

// lastWords returns the end of the server's log.
func (s *server) lastWords() string {
	text, err := os.ReadFile(s.log())
	if err != nil {
		return err.Error()
	}
	return strings.TrimSpace(string(text[max(0, len(text)-2000):]))
}

// command prepares a program of PostgreSQL to run as the owner of the folder,
// with nothing of our environment that could lead it elsewhere (PGDATA, PGPORT …).
func (s *server) command(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(filepath.Join(s.bin, name), args...)
	cmd.Dir = s.folder
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + s.folder, "LC_ALL=C", "TZ=UTC"}
	if s.owner.switched {
		runAs(cmd, s.owner.uid, s.owner.gid)
	}
	return cmd
}
