package profiles

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"brinkmark/profiles/problem"
)

// Span is a length of time as written, "90 s", "2 min" or "1.5 h", and its value. The empty
// text is not known.
type Span struct {
	text  string
	value time.Duration
}

var spanUnits = map[string]time.Duration{"s": time.Second, "min": time.Minute, "h": time.Hour}

// mostSpan is longer than anybody waits for a gauge.
const mostSpan = 100 * time.Hour

// NewSpan reads a length of time from text: a plain number and s, min or h.
func NewSpan(text string) (Span, error) {
	if text == "" {
		return Span{}, nil
	}
	bad := func(wrong string) (Span, error) {
		return Span{}, fmt.Errorf("%q is not a length of time: %s; use s, min or h, as in \"2 min\"", problem.ShownText(text), wrong)
	}
	number := strings.TrimRight(text, "abcdefghijklmnopqrstuvwxyz ")
	unit, known := spanUnits[strings.TrimSpace(text[len(number):])]
	if !known || strings.Trim(number, "0123456789.") != "" {
		return bad("no number with a unit")
	}
	n, err := strconv.ParseFloat(number, 64)
	if err != nil || !(n >= 0 && n*float64(unit) <= float64(mostSpan)) {
		return bad(fmt.Sprintf("it must be from 0 to %.0f h", mostSpan.Hours()))
	}
	return Span{text, time.Duration(math.Round(n * float64(unit)))}, nil
}

// String returns the text as written.
func (s Span) String() string { return s.text }

// MarshalText returns the text as written.
func (s Span) MarshalText() ([]byte, error) { return []byte(s.text), nil }

// UnmarshalText reads the length of time and keeps the text.
func (s *Span) UnmarshalText(text []byte) (err error) {
	*s, err = NewSpan(string(text))
	return err
}
