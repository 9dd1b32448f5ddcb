package testenv

import (
	"context"
	"fmt"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// complaints collects what went wrong in a page while nobody was looking. The
// browser reports from its own goroutine.
type complaints struct {
	mu   sync.Mutex
	said []string
}

// reportComplaints collects the complaints of the tab and, when the test ends,
// reports each as a failure.
func reportComplaints(t testing.TB, tab context.Context) error {
	c := &complaints{}
	if err := chromedp.Listen(tab, c.hear); err != nil {
		return fmt.Errorf("listen to the browser: %w", err)
	}
	t.Cleanup(func() {
		c.mu.Lock()
		defer c.mu.Unlock()
		for _, s := range c.said {
			t.Errorf("in the browser: %s", s)
		}
	})
	return nil
}

// hear keeps an event of the browser if it is a complaint: an exception that no
// script caught, or something that the page's security policy blocked. A
// request that got no answer is none; tests take servers away on purpose.
func (c *complaints) hear(event any) {
	var text string
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		text = describe(e.ExceptionDetails)
	case *log.EventEntryAdded:
		if e.Entry.Source != log.EntrySourceSecurity {
			return
		}
		text = fmt.Sprintf("%s (%s)", e.Entry.Text, e.Entry.URL)
	default:
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.said = append(c.said, text)
}

// describe puts an exception into one line; line and column count from 1.
func describe(e *runtime.ExceptionDetails) string {
	what := e.Text
	if e.Exception != nil && e.Exception.Description != "" {
		what = e.Exception.Description
	}
	return fmt.Sprintf("%s (%s:%d:%d)", what, e.URL, e.LineNumber+1, e.ColumnNumber+1)
}
