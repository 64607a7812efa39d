package profiles

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

const (
	maxRecord  = 16 << 20 // bytes; a trial of a thousand pushes has a tenth of this
	maxNesting = 8        // brackets within brackets; a record needs three
	maxDots    = 8        // in a line outside its texts; each costs the reader more than the last
)

// Parse reads a record strictly. path is used in errors only. The file's seals,
// if any, are comments to it.
func Parse(path string, data []byte) (*Record, error) {
	var r Record
	md, err := decode(path, data, &r)
	if err != nil {
		return nil, err
	}
	r.numberAsGiven(data)
	if err := r.check(path, data, md); err != nil {
		return nil, err
	}
	return &r, nil
}

// decode reads a file of ours into a value, of which it must know every key.
func decode(path string, data []byte, into any) (md toml.MetaData, err error) {
	fail := func(line int, problem, hint string) error {
		return &FileError{Path: path, Line: line, Problem: problem, Hint: hint}
	}
	if len(data) > maxRecord {
		return md, fail(0, fmt.Sprintf("%d bytes is no record: the most is %d", len(data), maxRecord), "check that this is the right file")
	}
	if line := firstBadLine(data); line > 0 {
		return md, fail(line, "the file is not text in UTF-8", "save it as UTF-8 text")
	}
	if line, problem := scan(data); problem != "" {
		return md, fail(line, problem, "a record has one value on each line")
	}
	if md, err = toml.Decode(string(data), into); err != nil {
		return md, tomlError(path, data, err)
	}
	// The reader takes Attempt for attempt, and of two spellings it keeps one by chance.
	unknown := append(md.Undecoded(), slices.DeleteFunc(md.Keys(), isLower)...)
	if len(unknown) > 0 {
		key := unknown[0]
		line, col := locate(data, key.String())
		return md, &FileError{path, line, col, clip(key.String()), "this key is not known", "check its spelling, or take the line out"}
	}
	return md, nil
}

func isLower(k toml.Key) bool {
	return !slices.ContainsFunc(k, func(part string) bool { return part != strings.ToLower(part) })
}

// check refuses what is well written but cannot be meant.
func (r *Record) check(path string, data []byte, md toml.MetaData) error {
	if !md.IsDefined("format") {
		return &FileError{Path: path, Key: "format", Problem: "missing", Hint: fmt.Sprintf("write \"format = %d\" on the first line", Format)}
	}
	err := r.meant()
	if err == nil {
		_, err = r.Trial()
	}
	var bad *entryError
	if errors.As(err, &bad) {
		line, col := locate(data, bad.key)
		return &FileError{path, line, col, bad.key, bad.problem, bad.hint}
	}
	return err
}

// meant refuses values outside their range.
func (r *Record) meant() error {
	if r.Format != Format {
		return &entryError{"format", fmt.Sprintf("%d is not known to this version, which reads %d", r.Format, Format), "read it with the version that wrote it"}
	}
	for key, id := range map[string]string{"id": r.ID, "of": r.Of, "earlier": r.Earlier} {
		if id != "" && !ValidID(id) {
			return &entryError{key, fmt.Sprintf("%q is no record id", clip(id)), "ids are made by the program: 26 capital letters and digits"}
		}
	}
	if r.Setting == nil {
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

// scan refuses what a record never has and a reader may choke on: values over
// several lines, and brackets within brackets within brackets.
func scan(data []byte) (line int, problem string) {
	line = 1
	depth, dots := 0, 0
	for rest := data; len(rest) > 0; {
		c := rest[0]
		switch {
		case bytes.HasPrefix(rest, []byte(`"""`)), bytes.HasPrefix(rest, []byte(`'''`)):
			return line, "a text over several lines"
		case c == '"' || c == '\'':
			rest = rest[skipString(rest):]
			continue
		case c == '#':
			rest = rest[skipComment(rest):]
			continue
		case c == '\n':
			line, dots = line+1, 0
		case c == '.':
			if dots++; dots > maxDots {
				return line, "a key with too many dots"
			}
		case c == '[' || c == '{':
			if depth++; depth > maxNesting {
				return line, "brackets within brackets"
			}
		case c == ']' || c == '}':
			depth--
		case c < ' ' && c != '\t' && c != '\r':
			return line, fmt.Sprintf("a control character (%#02x)", c)
		}
		rest = rest[1:]
	}
	return 0, ""
}

// skipString returns the length of the string that opens s, up to its end of line.
func skipString(s []byte) int {
	for i := 1; i < len(s); i++ {
		switch {
		case s[i] == '\n':
			return i
		case s[i] == '\\' && s[0] == '"':
			i++
		case s[i] == s[0]:
			return i + 1
		}
	}
	return len(s)
}

func skipComment(s []byte) int {
	if i := bytes.IndexByte(s, '\n'); i >= 0 {
		return i
	}
	return len(s)
}
