package api

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"soloright/content"
)

// lessonScope is what an analysis is about.
type lessonScope struct {
	Procedure string // empty: all
	Crew      string // empty: everybody
	From, To  content.Date
}

// lessonDesk works lessons out in the background, one at a time, and keeps the
// last results: no request waits for a long analysis.
type lessonDesk struct {
	memory  *lessonMemory
	slot    chan struct{}
	mu      sync.Mutex
	done    map[lessonScope]*analysis
	running map[lessonScope]*lessonJob
}

// mostAnalyses is how many results are kept.
const mostAnalyses = 12

// lessonPatience is how long a request waits for an analysis before it says that
// it is under way: most are done by then.
const lessonPatience = 600 * time.Millisecond

func newLessonDesk() *lessonDesk {
	return &lessonDesk{memory: newLessonMemory(), slot: make(chan struct{}, 1), done: map[lessonScope]*analysis{}, running: map[lessonScope]*lessonJob{}}
}

// lessonJob is an analysis under way.
type lessonJob struct {
	begun  time.Time
	ended  chan struct{}
	stage  atomic.Value // string
	read   atomic.Int64
	result *analysis // once ended
	err    error
}

// Progress says how far an analysis is.
type Progress struct {
	Begun time.Time
	Stage string // what is being done, in plain words
	Read  int    // sittings read so far
}

func (j *lessonJob) progress() *Progress {
	stage, _ := j.stage.Load().(string)
	return &Progress{Begun: j.begun, Stage: cmp.Or(stage, "waiting for another analysis"), Read: int(j.read.Load())}
}

// analysis returns the result for a scope, as it is now or the last there was,
// and the progress of the one under way where there is no result that is of now.
// Both are nil where there is neither yet.
func (a *App) analysis(ctx context.Context, scope lessonScope, ground ground) (*analysis, *Progress, error) {
	d := a.lessons
	d.mu.Lock()
	last := d.done[scope]
	if last != nil && last.ground == ground {
		last.used = a.now()
		d.mu.Unlock()
		return last, nil, nil
	}
	j := d.running[scope]
	if j == nil {
		j = &lessonJob{begun: a.now(), ended: make(chan struct{})}
		d.running[scope] = j
		go a.analyse(context.WithoutCancel(ctx), scope, j)
	}
	d.mu.Unlock()
	t := time.NewTimer(lessonPatience)
	defer t.Stop()
	select {
	case <-j.ended:
		return j.result, nil, j.err
	case <-t.C:
		return last, j.progress(), nil
	case <-ctx.Done():
		return nil, nil, ctx.Err()
	}
}

// analyse is the work in the background.
func (a *App) analyse(ctx context.Context, scope lessonScope, j *lessonJob) {
	d := a.lessons
	d.slot <- struct{}{}
	defer func() { <-d.slot }()
	j.stage.Store("reading the history")
	j.err = d.memory.catchUp(ctx, a.store, func(n int) { j.read.Store(int64(n)) })
	if j.err == nil {
		j.stage.Store("working out what is held")
		j.result, j.err = a.newAnalysis(ctx, scope)
	}
	if j.err != nil {
		a.log.Error("work out lessons", "err", j.err)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.running, scope)
	if j.result != nil {
		d.keep(scope, j.result)
	}
	close(j.ended)
}

// keep keeps a result, and drops the one that was used longest ago.
func (d *lessonDesk) keep(scope lessonScope, x *analysis) {
	d.done[scope] = x
	for len(d.done) > mostAnalyses {
		var oldest lessonScope
		first := true
		for s, y := range d.done {
			if first || y.used.Before(d.done[oldest].used) {
				oldest, first = s, false
			}
		}
		delete(d.done, oldest)
	}
}

// ground is what an analysis stands on: another ground, another analysis.
type ground struct {
	place  int64
	policy string // digest of revisions in force, levels wanted, people and crews
}

// groundNow is the ground as the reader has it; a place of −1 is one that no
// analysis stands on yet. It costs the history's next sitting, where there is one.
func (a *App) groundNow(ctx context.Context, r Reader, n names) (ground, error) {
	g := ground{place: a.lessons.memory.at()}
	next, err := r.Responses(ctx, g.place, 1)
	if err != nil {
		return g, fmt.Errorf("read the history: %w", err)
	}
	if len(next) > 0 {
		g.place = -1
	}
	g.policy, err = a.lessonPolicy(ctx, r, n)
	return g, err
}

// lessonPolicy is a digest of what lessons depend on besides the history.
func (a *App) lessonPolicy(ctx context.Context, r Reader, n names) (string, error) {
	h := sha256.New()
	for _, id := range n.order {
		p := n.people[id]
		fmt.Fprintf(h, "%q %q %q %v\n", p.ID, p.Name, p.Crew, p.Left.IsZero())
	}
	err := a.register.judge(ctx, r, func(f *registerCache) error {
		for _, id := range slices.Sorted(maps.Keys(f.inForce)) {
			p := f.reg.PolicyAt(id, a.now())
			fmt.Fprintf(h, "%q %q %v %v\n", id, f.inForce[id], p.WantedShare(), p.TimesAMonth())
		}
		return nil
	})
	return hex.EncodeToString(h.Sum(nil)), err
}
