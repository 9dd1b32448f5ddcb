package api

import (
	"container/list"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"sync"

	"soloright/quiz"
)

// formCache keeps the forms used last: a form never changes once it is set.
// What it returns is shared and must not be changed.
type formCache struct {
	mu   sync.Mutex
	most int
	used *list.List // newest first, of *cachedForm
	all  map[string]*list.Element
}

type cachedForm struct {
	id   string
	form *quiz.Form
}

func newFormCache(most int) *formCache {
	return &formCache{most: most, used: list.New(), all: map[string]*list.Element{}}
}

// form returns the form of a sitting, from the store the first time.
func (c *formCache) form(ctx context.Context, r Reader, sitting string) (*quiz.Form, error) {
	if f := c.get(sitting); f != nil {
		return f, nil
	}
	raw, err := r.Form(ctx, sitting)
	if errors.Is(err, ErrNone) {
		return nil, notFound("sitting")
	}
	if err != nil {
		return nil, fmt.Errorf("read form of %s: %w", sitting, err)
	}
	f := new(quiz.Form)
	if err := json.Unmarshal(raw, f); err != nil {
		return nil, fmt.Errorf("decode form of %s: %w", sitting, err)
	}
	c.put(sitting, f)
	return f, nil
}

func (c *formCache) get(id string) *quiz.Form {
	c.mu.Lock()
	defer c.mu.Unlock()
	e := c.all[id]
	if e == nil {
		return nil
	}
	c.used.MoveToFront(e)
	return e.Value.(*cachedForm).form
}

func (c *formCache) put(id string, f *quiz.Form) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.all[id] != nil {
		return
	}
	c.all[id] = c.used.PushFront(&cachedForm{id, f})
	if c.used.Len() > c.most {
		old := c.used.Back()
		delete(c.all, c.used.Remove(old).(*cachedForm).id)
	}
}
