package store

import (
	"database/sql"
	"time"
)

// Instants are stored as whole microseconds since 1970 in UTC: the drivers do
// not agree on any type for times, and an integer sorts and compares by itself.

// micros is an instant as it is stored; what is finer is cut off.
func micros(t time.Time) int64 { return t.UnixMicro() }

// instant is the stored instant again, in UTC.
func instant(us int64) time.Time { return time.UnixMicro(us).UTC() }

// microsOrNull stores the zero time as NULL.
func microsOrNull(t time.Time) sql.Null[int64] {
	return sql.Null[int64]{V: micros(t), Valid: !t.IsZero()}
}

// instantOrZero reads NULL as the zero time.
func instantOrZero(us sql.Null[int64]) time.Time {
	if !us.Valid {
		return time.Time{}
	}
	return instant(us.V)
}

// textOrNull stores an empty reference as NULL, which refers to nothing.
func textOrNull(s string) sql.Null[string] { return sql.Null[string]{V: s, Valid: s != ""} }

// blob stores nil as no bytes, not as NULL.
func blob(b []byte) []byte {
	if b == nil {
		return []byte{}
	}
	return b
}
