package profiles

import (
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/oklog/ulid/v2"
)

// NewID mints a record's id: 26 letters and digits that sort by time. It comes
// after the last id known even if the clock went back, and randomness keeps two
// devices apart.
func NewID(now time.Time, entropy io.Reader, after string) (string, error) {
	ms := ulid.Timestamp(now)
	if now.Year() < 2020 {
		ms = ulid.Timestamp(time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)) // the clock is not set
	}
	if after != "" {
		last, err := ulid.ParseStrict(after)
		if err != nil {
			return "", fmt.Errorf("%q is no record id", clip(after))
		}
		if ms <= last.Time() {
			ms = last.Time() + 1
		}
	}
	if ms > ulid.MaxTime() {
		return "", errors.New("the clock is set too far ahead\n  set the tablet's clock")
	}
	id, err := ulid.New(ms, entropy)
	if err != nil {
		return "", fmt.Errorf("make a record id: %w", err)
	}
	return id.String(), nil
}

// ValidID reports whether a text is an id of ours, so that no other text becomes
// part of a path.
func ValidID(s string) bool {
	id, err := ulid.ParseStrict(s)
	return err == nil && id.String() == s
}
