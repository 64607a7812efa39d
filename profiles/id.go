package profiles

import (
	"fmt"
	"io"
	"time"

	"brinkmark/profiles/problem"

	"github.com/oklog/ulid/v2"
)

// earliestClock is before the first record ever made: a clock that shows less has
// lost its battery.
var earliestClock = time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)

// NewID mints a record id: a ULID, 26 capital letters and digits whose first ten
// tell the millisecond and the rest are drawn from entropy. It sorts after the id
// in after, the last one known or "", even if the clock went back since; a clock
// that cannot be right is not used. Ids minted on two devices differ by their
// entropy alone, so it is always drawn anew and never counted up.
//
// NewID returns an error if after is no id, if nothing can come after it, or if
// entropy fails.
//
// Source: ULID specification, github.com/ulid/spec.
func NewID(now time.Time, entropy io.Reader, after string) (string, error) {
	ms := ulid.Timestamp(earliestClock)
	if now.After(earliestClock) && now.Before(ulid.Time(ulid.MaxTime())) {
		ms = ulid.Timestamp(now)
	}
	if after != "" {
		if !ValidID(after) {
			return "", fmt.Errorf("mint an id after %q: it is no record id", problem.Clip(after))
		}
		last := ulid.MustParseStrict(after)
		ms = max(ms, last.Time()+1)
	}
	if ms > ulid.MaxTime() {
		return "", fmt.Errorf("mint an id after %s: no later one exists\n  a wrong clock made that record: move it out of the library", after)
	}
	id, err := ulid.New(ms, entropy)
	if err != nil {
		return "", fmt.Errorf("mint an id: %w", err)
	}
	return id.String(), nil
}

// crockford is the alphabet of ids: no I, L, O or U.
const crockford = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// ValidID reports whether s is an id just as [NewID] writes it. No other text of a
// record may become part of a path.
func ValidID(s string) bool {
	if len(s) != ulid.EncodedSize || s[0] > '7' {
		return false
	}
	for i := range len(s) {
		if !isCrockford(s[i]) {
			return false
		}
	}
	return true
}

func isCrockford(c byte) bool {
	for i := range len(crockford) {
		if crockford[i] == c {
			return true
		}
	}
	return false
}
