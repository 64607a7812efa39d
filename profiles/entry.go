package profiles

import (
	"bytes"
	"fmt"
	"reflect"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"brinkmark/session"
)

// Entry is one thing to write down in a trial: an [Answer], an [Attempt], an [Undo] or a
// [Change]. Its number and time are set when it is written.
type Entry interface {
	// entry is it as the engine sees it; key names it in errors, now is the job as changed so
	// far.
	entry(key string, now Record) (session.Entry, error)
}

// part is one entry of a record, where it stands.
type part struct {
	key   string // "attempt[2]"
	seq   *int
	entry any // a pointer to it
}

// partsOf returns the entries of a trial or a run, kind by kind. entries points to an
// [Entries] or a [RunEntries]: structs of lists, of which each element has a Seq and an At.
func partsOf(entries any) []part {
	var parts []part
	kinds := reflect.ValueOf(entries).Elem()
	for i := range kinds.NumField() {
		kind, _, _ := strings.Cut(kinds.Type().Field(i).Tag.Get("toml"), ",")
		for n := range kinds.Field(i).Len() {
			e := kinds.Field(i).Index(n)
			parts = append(parts, part{fmt.Sprintf("%s[%d]", kind, n), e.FieldByName("Seq").Addr().Interface().(*int), e.Addr().Interface()})
		}
	}
	return parts
}

// entryText writes one entry as TOML, numbered and with its time. E is
// [Entries] or [RunEntries].
func entryText[E any](entry any, seq int, at time.Time) (string, error) {
	var one E
	kinds, v := reflect.ValueOf(&one).Elem(), reflect.Indirect(reflect.ValueOf(entry))
	for i := range kinds.NumField() {
		if list := kinds.Field(i); list.Type().Elem() == v.Type() {
			list.Set(reflect.Append(list, v))
			list.Index(0).FieldByName("Seq").SetInt(int64(seq))
			list.Index(0).FieldByName("At").Set(reflect.ValueOf(at))
		}
	}
	return encode(one)
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
