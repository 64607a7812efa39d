package profiles

import (
	"bytes"
	"fmt"
	"time"

	"github.com/BurntSushi/toml"
)

// Entry is one thing to write down: an [Answer], an [Attempt], an [Undo] or a
// [Change]. Its number and time are set when it is written.
type Entry interface {
	// block is the entry as the one table of a record.
	block(seq int, at time.Time) any
}

func (a Answer) block(seq int, at time.Time) any {
	a.Seq, a.At = seq, at
	return struct {
		Answers []Answer `toml:"answer"`
	}{[]Answer{a}}
}

func (a Attempt) block(seq int, at time.Time) any {
	a.Seq, a.At = seq, at
	return struct {
		Attempts []Attempt `toml:"attempt"`
	}{[]Attempt{a}}
}

func (u Undo) block(seq int, at time.Time) any {
	u.Seq, u.At = seq, at
	return struct {
		Undos []Undo `toml:"undo"`
	}{[]Undo{u}}
}

func (c Change) block(seq int, at time.Time) any {
	c.Seq, c.At = seq, at
	return struct {
		Changes []Change `toml:"change"`
	}{[]Change{c}}
}

// entryText writes an entry as TOML.
func entryText(e Entry, seq int, at time.Time) (string, error) {
	return encode(e.block(seq, at.Truncate(time.Second)))
}

// Text writes a record as TOML: the head of a trial, or a profile.
func (r Record) Text() (string, error) { return encode(r) }

func encode(v any) (string, error) {
	var b bytes.Buffer
	enc := toml.NewEncoder(&b)
	enc.Indent = ""
	if err := enc.Encode(v); err != nil {
		return "", fmt.Errorf("write the record: %w", err)
	}
	return b.String(), nil
}

// With returns the record with one value of its job replaced, by key and text as
// in the file: "conditions.cable_temperature", "52 °F". The empty text makes the
// value not known.
func (r Record) With(key, text string) (Record, error) {
	next, err := r.changed(Change{Key: key, Value: text})
	if err != nil {
		return r, err
	}
	if _, err := next.Trial(); err != nil {
		return r, err
	}
	return next, nil
}
