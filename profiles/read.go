package profiles

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
)

// What is more than these is no record of ours.
const (
	maxPushes  = 2000
	maxChanges = 2000
)

// Parse reads a record strictly. path is used in errors only. The file's seals,
// if any, are comments to it.
func Parse(path string, data []byte) (*Record, error) {
	var r Record
	md, err := decode(path, data, &r)
	if err != nil {
		return nil, err
	}
	numberAsGiven(data, partsOf(&r.Entries))
	if err := r.check(path, data, md); err != nil {
		return nil, err
	}
	return &r, nil
}

// decode reads a file of ours into a value, of which it must know every key.
func decode(path string, data []byte, into any) (md toml.MetaData, err error) {
	fail := func(line int, wrong, hint string) error {
		return &problem.FileError{Path: path, Line: line, Problem: wrong, Hint: hint}
	}
	if len(data) > store.MaxText {
		return md, fail(0, fmt.Sprintf("%d bytes is no record: the most is %d", len(data), store.MaxText), "check that this is the right file")
	}
	if line := firstBadLine(data); line > 0 {
		return md, fail(line, "the file is not text in UTF-8", "save it as UTF-8 text")
	}
	if line, wrong, hint := problem.Scan(data, problem.MaxLetters); wrong != "" {
		return md, fail(line, wrong, hint)
	}
	if md, err = toml.Decode(problem.OnOneLine(data), into); err != nil {
		return md, problem.TomlError(path, data, err)
	}
	// The reader takes Attempt for attempt, and of two spellings it keeps one by chance.
	unknown := append(md.Undecoded(), slices.DeleteFunc(md.Keys(), isLower)...)
	if len(unknown) > 0 {
		key := unknown[0]
		return md, problem.At(path, data, key.String(), "this key is not known", "check its spelling, or take the line out")
	}
	return md, nil
}

func isLower(k toml.Key) bool {
	return !slices.ContainsFunc(k, func(part string) bool { return part != strings.ToLower(part) })
}

// check refuses what is well written but cannot be meant.
func (r *Record) check(path string, data []byte, md toml.MetaData) error {
	if !md.IsDefined("format") {
		return &problem.FileError{Path: path, Key: "format", Problem: "missing", Hint: fmt.Sprintf("write \"format = %d\" on the first line", Format)}
	}
	err := r.meant()
	if err == nil {
		_, err = r.Trial()
	}
	return placed(err, path, data)
}

// meant refuses values outside their range.
func (r *Record) meant() error {
	if r.Format != Format {
		return &entryError{"format", fmt.Sprintf("%d is not known to this version, which reads %d", r.Format, Format), "read it with the version that wrote it"}
	}
	for key, id := range map[string]string{"id": r.ID, "of": r.Of, "earlier": r.Earlier} {
		if id != "" && !ValidID(id) {
			return &entryError{key, fmt.Sprintf("%q is no record id", problem.Clip(id)), "ids are made by the program: 26 capital letters and digits"}
		}
	}
	switch {
	case len(r.Attempts) > maxPushes:
		return &entryError{fmt.Sprintf("attempt[%d]", maxPushes), fmt.Sprintf("more than %d pushes are no trial", maxPushes), "check that this is the right file"}
	case len(r.Changes) > maxChanges:
		return &entryError{fmt.Sprintf("change[%d]", maxChanges), fmt.Sprintf("more than %d changes are no trial", maxChanges), "check that this is the right file"}
	case r.Setting == nil:
		return nil
	}
	for key, chance := range map[string]*float64{
		"fold_chance": r.Setting.FoldChance, "fold_chance_high": r.Setting.FoldChanceHigh,
		"fold_chance_varied": r.Setting.FoldChanceVaried, "slip_chance": r.Setting.SlipChance,
	} {
		if chance != nil && !(*chance >= 0 && *chance <= 1) {
			return &entryError{"setting." + key, fmt.Sprintf("%v is outside 0 to 1", *chance), "it is a chance"}
		}
	}
	return nil
}

// firstBadLine returns the first line that is not UTF-8, 0 when all are.
func firstBadLine(data []byte) int {
	if utf8.Valid(data) {
		return 0
	}
	for i, line := range bytes.Split(data, []byte("\n")) {
		if !utf8.Valid(line) {
			return i + 1
		}
	}
	return 1
}
