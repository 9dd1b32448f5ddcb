package quiz

import (
	"sync"
	"testing"

	"soloright/content"
)

func TestKeepGivesEveryoneTheSameValue(t *testing.T) {
	type key struct{ name string }
	src := NewSource(&content.Procedure{}, "")
	got := make([]*int, 32)
	var wg sync.WaitGroup
	for i := range got {
		wg.Go(func() { got[i] = Keep(src, key{"a"}, func() *int { return new(int) }) })
	}
	wg.Wait()
	for i := range got {
		if got[i] != got[0] {
			t.Fatalf("caller %d got a value of its own", i)
		}
	}
	if other := Keep(src, key{"b"}, func() *int { return new(int) }); other == got[0] {
		t.Error("another key got the same value")
	}
}
