package quantity

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

const (
	maxReading  = 1e9
	maxUnit     = 16 // characters of a unit that is no unit of speed
	readingKind = "reading of the push control"
	unitKind    = "unit of the push control"
)

var (
	speeds = kinds[Speed(0)]
	forces = kinds[Force(0)]
)

// doubtfulSpeeds may be metres, miles or feet, per minute or per something else.
var doubtfulSpeeds = []string{"mpm", "mps", "mph", "fps", "kph", "kmh"}

// ParseReading reads what the push control shows: a number, then a unit of
// speed, or any other unit, or none. A speed becomes m/s. Any other unit is
// carried as written, in at most 16 letters, digits, spaces and signs of %°/·²³.
//
// ParseReading returns a [*ParseError] for a number that is negative or beyond
// 10⁹, for other signs, and for a unit that may or may not be one of speed, such
// as "m/m".
func ParseReading(text string) (Reading, error) {
	r, _, err := parseReading(text)
	return r, err
}

// ReadingUnit returns the unit of a text that [ParseReading] accepts as it should
// be shown: "95 fpm" gives "ft/min", "3 notches" gives "notches".
func ReadingUnit(text string) (string, error) {
	_, unit, err := parseReading(text)
	return unit, err
}

// PushUnit reads the unit of a push control written alone. It returns the unit as
// it should be shown, and whether it is a unit of speed. Its errors are those of
// [ParseReading].
func PushUnit(unit string) (canonical string, isSpeed bool, err error) {
	if len(unit) > maxText || strings.ContainsFunc(unit, unicode.IsControl) {
		return "", false, readingError(unit, unitKind, unitRule)
	}
	canonical, isSpeed, problem := pushUnit(unit)
	if problem != "" {
		return "", false, readingError(unit, unitKind, problem)
	}
	return canonical, isSpeed, nil
}

func parseReading(text string) (r Reading, unit string, err error) {
	number, rest, problem := split(text)
	if problem == "" {
		r, unit, problem = newReading(number, rest)
	}
	if problem != "" {
		return Reading{}, "", readingError(text, readingKind, problem)
	}
	return r, unit, nil
}

func newReading(number, rest string) (r Reading, unit, problem string) {
	unit, isSpeed, problem := pushUnit(rest)
	if problem != "" {
		return r, "", problem
	}
	if isSpeed {
		v, problem := speeds.value(number, speeds.must(unit))
		return Reading{v, "m/s"}, unit, problem
	}
	v, problem := amount(number)
	return Reading{v, unit}, unit, problem
}

// amount returns the value of a number in a unit that is carried.
func amount(number string) (x float64, problem string) {
	x, problem = decimal(number, smallest)
	if problem == "" && !(x >= 0 && x <= maxReading) {
		return 0, "must be from 0 to " + digits(maxReading)
	}
	return x, problem
}

// In returns the reading as a number of unit, which must be a unit of speed if
// the reading is a speed and the reading's own unit if it is not. It panics on
// any other unit.
func (r Reading) In(unit string) float64 {
	if r.Unit == "m/s" {
		return In(Speed(r.Value), unit)
	}
	mustBeIn(r.Unit, unit)
	return finite(r.Value)
}

// Text returns the reading in unit for people to read, such as "95 ft/min" or
// "3 notches", with the digits of the function [Text]. It panics as
// [Reading.In] does.
func (r Reading) Text(unit string) string {
	if r.Unit == "m/s" {
		return Text(Speed(r.Value), unit)
	}
	return join(digits(r.In(unit)), unit)
}

// mustBeIn refuses to give a carried unit as any other.
func mustBeIn(own, asked string) {
	if asked != own {
		panic(fmt.Sprintf("quantity: reading in %q asked for in %q", own, asked))
	}
}

const unitRule = "a unit has at most 16 letters, digits, spaces and signs of %°/·²³, and does not begin with a digit"

// pushUnit returns the canonical form of a unit of the push control, or the problem.
func pushUnit(text string) (canonical string, isSpeed bool, problem string) {
	if u := speeds.find(text); u != nil {
		return u.name, true, ""
	}
	canonical = strings.Join(strings.Fields(text), " ")
	length, _, isRate := strings.Cut(plain(canonical), "/")
	doubtful := isRate && kinds[Length(0)].find(length) != nil ||
		slices.Contains(doubtfulSpeeds, strings.ToLower(canonical))
	switch {
	case doubtful:
		return "", false, fmt.Sprintf("%q may be a speed; use %s", canonical, either(speeds.names()))
	case !validUnit(canonical):
		return "", false, unitRule
	}
	return canonical, false, ""
}

func validUnit(unit string) bool {
	foreign := func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("%°/·²³ ", r)
	}
	first, _ := utf8.DecodeRuneInString(unit)
	return utf8.RuneCountInString(unit) <= maxUnit && utf8.ValidString(unit) &&
		!strings.ContainsFunc(unit, foreign) &&
		!unicode.IsDigit(first) && !strings.ContainsRune("·²³", first)
}

func readingError(text, kind, problem string) error {
	return &ParseError{cut(text), kind, problem, nil}
}
