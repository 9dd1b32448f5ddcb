package storetest

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"soloright/api/store"
)

// Settings prints what decides how durable a commit is and on which file system
// the database lies, and ends the benchmark where the numbers would mean
// nothing: on a file system in memory, or with the wait for the disk off.
func Settings(b testing.TB, s *store.Store) {
	b.Helper()
	all, err := s.Settings(context.Background())
	if err != nil {
		b.Fatal(err)
	}
	line, where := s.String(), ""
	for _, v := range all {
		line += fmt.Sprintf("; %s=%s", v.Name, v.Value)
		switch v.Name {
		case "file", "data_directory":
			where = v.Value
		case "fsync", "synchronous_commit", "synchronous":
			if v.Value == "off" || v.Value == "0" {
				b.Fatalf("%s is %s: a commit that waits for nothing measures nothing", v.Name, v.Value)
			}
		}
	}
	kind := fileSystem(where)
	b.Logf("%s; on %s", line, kind)
	if slices.Contains([]string{"tmpfs", "ramfs"}, kind) {
		b.Fatalf("%s is on %s: set TMPDIR to a folder on a disk", where, kind)
	}
}

// fileSystem is the type of the file system that holds a path, by the longest
// mount point in /proc/mounts (proc_mounts(5)); "an unknown file system" where
// there is no such list.
func fileSystem(path string) string {
	const unknown = "an unknown file system"
	if path == "" {
		return unknown
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	mounts, err := os.Open("/proc/mounts")
	if err != nil {
		return unknown
	}
	defer mounts.Close()
	longest, kind := -1, unknown
	for in := bufio.NewScanner(mounts); in.Scan(); {
		f := strings.Fields(in.Text())
		if len(f) < 3 {
			continue
		}
		point := strings.TrimSuffix(f[1], "/") + "/"
		if strings.HasPrefix(path+"/", point) && len(point) >= longest {
			longest, kind = len(point), f[2]
		}
	}
	return kind
}

// Measured is how one way of saving did.
type Measured struct {
	Rate     float64 // saves a second
	P50, P99 time.Duration
	rates    []float64 // of each turn
}

// Of is the rate as a share of another way's in the same comparison: the median
// over the turns, each set against the other's turn beside it. A machine that is
// busy with something else for a while spoils few of them.
func (m Measured) Of(other Measured) float64 {
	shares := make([]float64, len(m.rates))
	for i, rate := range m.rates {
		shares[i] = rate / other.rates[i]
	}
	slices.Sort(shares)
	return shares[len(shares)/2]
}

// Compare runs several ways of saving answers, each by one goroutine for each
// candidate, in turns of about the given time, rounds times round. They share
// the candidates, so each save has a higher revision than all before it.
func Compare(b testing.TB, candidates []Candidate, rounds int, turn time.Duration, ways ...func(c Candidate, rev int64) error) []Measured {
	b.Helper()
	out, took := make([]Measured, len(ways)), make([][]time.Duration, len(ways))
	var rev atomic.Int64
	for range rounds {
		for w, save := range ways {
			begun := time.Now()
			mine := oneTurn(b, candidates, begun.Add(turn), func(c Candidate) error { return save(c, rev.Add(1)) })
			out[w].rates = append(out[w].rates, float64(len(mine))/time.Since(begun).Seconds())
			took[w] = append(took[w], mine...)
		}
	}
	for w, all := range took {
		if len(all) == 0 {
			b.Fatal("nothing was saved")
		}
		slices.Sort(all)
		for _, rate := range out[w].rates {
			out[w].Rate += rate / float64(rounds)
		}
		out[w].P50, out[w].P99 = all[len(all)/2], all[len(all)*99/100]
	}
	return out
}

// oneTurn lets all candidates save until the time is up, and returns how long
// each save took.
func oneTurn(b testing.TB, candidates []Candidate, until time.Time, save func(Candidate) error) (took []time.Duration) {
	var mu sync.Mutex
	atOnce(len(candidates), func(i int) bool {
		var mine []time.Duration
		for at := time.Now(); at.Before(until); {
			if err := save(candidates[i]); err != nil {
				b.Error(err)
				return false
			}
			now := time.Now()
			mine, at = append(mine, now.Sub(at)), now
		}
		mu.Lock()
		defer mu.Unlock()
		took = append(took, mine...)
		return true
	})
	return took
}
