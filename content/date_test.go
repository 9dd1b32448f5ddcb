package content_test

import (
	"testing"
	"time"

	"soloright/content"
)

// The day is the one on the calendar of the place, whatever the day in UTC.
func TestDateOf(t *testing.T) {
	west := time.FixedZone("west", -5*3600)
	got := content.DateOf(time.Date(2026, 3, 2, 23, 30, 0, 0, west))
	want, err := content.ParseDate("2026-03-02")
	if err != nil || got != want {
		t.Errorf("%s, want 2026-03-02 (%v)", got, err)
	}
	if got.Time() != time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC) {
		t.Errorf("it begins at %s", got.Time())
	}
}
