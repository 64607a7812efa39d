package profiles

import (
	"fmt"
	"slices"
	"strings"

	"brinkmark/profiles/problem"
	q "brinkmark/session/quantity"
)

// Quantity is a quantity as written, and its value. The empty text is not known.
type Quantity[T q.Scalar] struct {
	text  string
	value q.Maybe[T]
}

// NewQuantity reads a quantity from text.
func NewQuantity[T q.Scalar](text string) (Quantity[T], error) {
	var v Quantity[T]
	err := v.UnmarshalText([]byte(text))
	return v, err
}

// String returns the text as written.
func (v Quantity[T]) String() string { return v.text }

// Value returns what the text says.
func (v Quantity[T]) Value() q.Maybe[T] { return v.value }

// MarshalText returns the text as written.
func (v Quantity[T]) MarshalText() ([]byte, error) { return []byte(v.text), nil }

// UnmarshalText reads the quantity and keeps the text.
func (v *Quantity[T]) UnmarshalText(b []byte) error {
	*v = Quantity[T]{text: string(b)}
	if v.text == "" {
		return nil
	}
	value, err := q.Parse[T](v.text)
	if err == nil {
		v.value = q.Known(value)
	}
	return err
}

// unit returns the unit it was written in, or other when it is not known.
func (v Quantity[T]) unit(other string) string {
	if u, err := q.Unit[T](v.text); v.text != "" && err == nil {
		return u
	}
	return other
}

// Reading is a push control reading as written, and its value.
type Reading struct {
	text  string
	value q.Maybe[q.Reading]
}

// IsSpeed reports whether the control reads a true speed.
func (v Reading) IsSpeed() bool {
	r, known := v.value.Get()
	return known && r.Unit == "m/s"
}

// NewReading reads a push control reading from text.
func NewReading(text string) (Reading, error) {
	var v Reading
	err := v.UnmarshalText([]byte(text))
	return v, err
}

// String returns the text as written.
func (v Reading) String() string { return v.text }

// MarshalText returns the text as written.
func (v Reading) MarshalText() ([]byte, error) { return []byte(v.text), nil }

// UnmarshalText reads the reading and keeps the text.
func (v *Reading) UnmarshalText(b []byte) error {
	*v = Reading{text: string(b)}
	if v.text == "" {
		return nil
	}
	value, err := q.ParseReading(v.text)
	if err == nil {
		v.value = q.Known(value)
	}
	return err
}

// ForcePerReading is a force per push control reading as written, and its value.
type ForcePerReading struct {
	text  string
	value q.Maybe[q.ForcePerReading]
}

// String returns the text as written.
func (v ForcePerReading) String() string { return v.text }

// Value returns what the text says.
func (v ForcePerReading) Value() q.Maybe[q.ForcePerReading] { return v.value }

// MarshalText returns the text as written.
func (v ForcePerReading) MarshalText() ([]byte, error) { return []byte(v.text), nil }

// UnmarshalText reads the value and keeps the text.
func (v *ForcePerReading) UnmarshalText(b []byte) error {
	*v = ForcePerReading{text: string(b)}
	if v.text == "" {
		return nil
	}
	value, err := q.ParseForcePerReading(v.text)
	if err == nil {
		v.value = q.Known(value)
	}
	return err
}

// oneOf reads a word that must be one of a few.
func oneOf[T ~string](text []byte, what string, words []T) (T, error) {
	if word := T(text); slices.Contains(words, word) {
		return word, nil
	}
	said := make([]string, len(words))
	for i, w := range words {
		said[i] = string(w)
	}
	last := len(said) - 1
	return "", fmt.Errorf("%q is no %s; use %s or %s", problem.ShownText(string(text)), what, strings.Join(said[:last], ", "), said[last])
}
