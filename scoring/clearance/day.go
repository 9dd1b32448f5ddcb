package clearance

import (
	"time"

	"soloright/content"
)

// day counts the days of the calendar from 1970-01-01.
type day int32

const secondsADay = 24 * 60 * 60

// dayOf returns the day of an instant, in microseconds, in a zone.
func dayOf(at int64, zone *time.Location) day {
	return calendar(content.DateOf(time.UnixMicro(at).In(zone)))
}

func calendar(d content.Date) day { return day(d.Time().Unix() / secondsADay) }

func (d day) date() content.Date { return content.DateOf(time.Unix(int64(d)*secondsADay, 0).UTC()) }

// begins returns the first microsecond of the day in a zone.
func (d day) begins(zone *time.Location) int64 {
	return time.Date(1970, time.January, 1+int(d), 0, 0, 0, 0, zone).UnixMicro()
}

// ends returns the last microsecond of the day in a zone.
func (d day) ends(zone *time.Location) int64 { return (d + 1).begins(zone) - 1 }

// addMonths returns the same day of the month so many months later, or the last
// day of that month where it is shorter.
func (d day) addMonths(months int) day {
	y, m, dom := d.date().Time().Date()
	last := time.Date(y, m+time.Month(months)+1, 0, 0, 0, 0, 0, time.UTC)
	if dom < last.Day() {
		last = last.AddDate(0, 0, dom-last.Day())
	}
	return day(last.Unix() / secondsADay)
}
