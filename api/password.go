package api

import (
	"context"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"

	"golang.org/x/crypto/argon2"
)

// argon2id as RFC 9106 describes it, with 19 MiB, two passes and one lane: on
// the small machines this runs on, forty accounts sign in within a second.
const (
	argonMemory = 19 * 1024 // KiB
	argonTime   = 2
	argonLanes  = 1
	argonSalt   = 16
	argonKey    = 32
)

// Passwords makes and checks what is kept of a password.
type Passwords interface {
	// Hash returns what is kept of a password.
	Hash(ctx context.Context, password string) (kept string, err error)
	// Verify reports whether the password is the one of which kept is kept; an empty
	// one matches no password. It costs the same whatever is kept.
	Verify(ctx context.Context, kept, password string) (bool, error)
}

// Argon2id keeps passwords as PHC strings, at most n hashes at one time, by
// default one for each core. Entropy gives the salts.
func Argon2id(n int, entropy io.Reader) Passwords { return newHasher(n, entropy) }

// hasher makes and checks PHC strings, at most a few at one time: each takes
// 19 MiB, and more at once than cores only makes all of them slower.
type hasher struct {
	turn    chan struct{}
	queue   chan struct{} // who waits for a turn or has it
	entropy io.Reader
}

// mostWaiting is how many hashes may wait: more would keep everybody longer than
// a person waits, and cost the server memory for requests that are given up.
const mostWaiting = 200

func newHasher(n int, entropy io.Reader) *hasher {
	if n <= 0 {
		n = runtime.GOMAXPROCS(0)
	}
	return &hasher{turn: make(chan struct{}, n), queue: make(chan struct{}, n+mostWaiting), entropy: entropy}
}

// dummy is verified where there is no account, so that a missing name costs
// what a wrong password costs. No password gives it.
var dummy = phc(make([]byte, argonSalt), make([]byte, argonKey))

// Hash makes the PHC string of a password, with a salt of its own.
func (h *hasher) Hash(ctx context.Context, password string) (string, error) {
	salt := make([]byte, argonSalt)
	if _, err := io.ReadFull(h.entropy, salt); err != nil {
		return "", fmt.Errorf("read salt: %w", err)
	}
	key, err := h.key(ctx, password, salt)
	if err != nil {
		return "", err
	}
	return phc(salt, key), nil
}

// Verify reports whether the password gives the stored PHC string. An empty
// stored string never matches.
func (h *hasher) Verify(ctx context.Context, stored, password string) (bool, error) {
	known := stored != ""
	if !known {
		stored = dummy
	}
	salt, want, err := parsePHC(stored)
	if err != nil {
		return false, err
	}
	got, err := h.key(ctx, password, salt)
	if err != nil {
		return false, err
	}
	return subtle.ConstantTimeCompare(got, want) == 1 && known, nil
}

// key derives the key when it is its turn; where too many wait already it is
// TooMany at once.
func (h *hasher) key(ctx context.Context, password string, salt []byte) ([]byte, error) {
	select {
	case h.queue <- struct{}{}:
		defer func() { <-h.queue }()
	default:
		return nil, &Error{Kind: TooMany, Message: "Too many people are signing in just now. Wait a few seconds, then try again."}
	}
	select {
	case h.turn <- struct{}{}:
		defer func() { <-h.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	return argon2.IDKey([]byte(password), salt, argonTime, argonMemory, argonLanes, argonKey), nil
}

func phc(salt, key []byte) string {
	b64 := base64.RawStdEncoding.EncodeToString
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, argonMemory, argonTime, argonLanes, b64(salt), b64(key))
}

// parsePHC reads a PHC string that [phc] wrote. Other parameters are refused:
// when they change, this function learns the old ones too.
func parsePHC(s string) (salt, key []byte, err error) {
	part := strings.Split(s, "$")
	want := fmt.Sprintf("m=%d,t=%d,p=%d", argonMemory, argonTime, argonLanes)
	if len(part) != 6 || part[1] != "argon2id" || part[2] != fmt.Sprintf("v=%d", argon2.Version) || part[3] != want {
		return nil, nil, errors.New("a stored password is in an unknown form")
	}
	if salt, err = base64.RawStdEncoding.DecodeString(part[4]); err != nil {
		return nil, nil, fmt.Errorf("stored salt: %w", err)
	}
	if key, err = base64.RawStdEncoding.DecodeString(part[5]); err != nil {
		return nil, nil, fmt.Errorf("stored hash: %w", err)
	}
	return salt, key, nil
}
