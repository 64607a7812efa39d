package profiles

import (
	"brinkmark/profiles/problem"
	"bytes"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// What is more than these is no record of ours, and would only cost the crew time and
// the device its memory.
const (
	maxValues  = 100_000   // lines, and parts of lists and tables; the same trial has 75 000
	maxText    = 128 << 10 // letters; an earlier version wrote what a typed line or a word of a command could hold
	maxNesting = 8         // brackets within brackets; a record needs three
	maxDots    = 8         // in a line outside its texts; each costs the reader more than the last
	maxPushes  = 2000
	maxChanges = 2000
)

// mostWritten is how many letters a text of a new entry may have: the longest note anyone
// should have to read.
const mostWritten = 4000

const longText = "a text of "

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
	if len(data) > maxRecord {
		return md, fail(0, fmt.Sprintf("%d bytes is no record: the most is %d", len(data), maxRecord), "check that this is the right file")
	}
	if line := firstBadLine(data); line > 0 {
		return md, fail(line, "the file is not text in UTF-8", "save it as UTF-8 text")
	}
	if line, wrong, hint := scan(data, maxText); wrong != "" {
		return md, fail(line, wrong, hint)
	}
	if md, err = toml.Decode(onOneLine(data), into); err != nil {
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

// scan refuses what a record never has and a reader may choke on: values over
// several lines, brackets within brackets within brackets, and too much of anything. most
// is how many letters a text may have.
func scan(data []byte, most int) (line int, wrong, hint string) {
	const plainly, other = "a record has one value on each line", "check that this is the right file"
	line = 1
	depth, dots, values := 0, 0, 0
	for rest := data; len(rest) > 0; {
		c := rest[0]
		if strings.IndexByte("\n,.[{", c) >= 0 {
			values++
		}
		if values > maxValues {
			return line, fmt.Sprintf("more than %d lines and values are no record", maxValues), other
		}
		switch {
		case bytes.HasPrefix(rest, []byte(`"""`)), bytes.HasPrefix(rest, []byte(`'''`)):
			return line, "a text over several lines", plainly
		case c == '"' || c == '\'':
			n, letters := skipString(rest)
			if letters > most {
				return line, fmt.Sprintf(longText+"%d letters: the most is %d", letters, most), "shorten it"
			}
			rest = rest[n:]
			continue
		case c == '#':
			rest = rest[skipComment(rest):]
			continue
		case c == '\n':
			line, dots = line+1, 0
		case c == '.':
			if dots++; dots > maxDots {
				return line, "a key with too many dots", plainly
			}
		case c == '[' || c == '{':
			if depth++; depth > maxNesting {
				return line, "brackets within brackets", plainly
			}
		case c == ']' || c == '}':
			depth--
		case c < ' ' && c != '\t' && c != '\r':
			return line, fmt.Sprintf("a control character (%#02x)", c), plainly
		}
		rest = rest[1:]
	}
	return 0, "", ""
}

// skipString returns the length of the string that opens s, up to its end of line, and
// how many letters it stands for. Those stay as many however the string is written anew.
func skipString(s []byte) (n, letters int) {
	for n = 1; n < len(s); n++ {
		switch {
		case s[n] == '\n':
			return n, letters
		case s[n] == s[0]:
			return n + 1, letters
		case s[n] == '\\' && s[0] == '"':
			n += escapeLength(s[n+1:])
		case !utf8.RuneStart(s[n]):
			continue
		}
		letters++
	}
	return len(s), letters
}

// escapeLength is how long an escape is without its backslash.
func escapeLength(s []byte) int {
	switch {
	case bytes.HasPrefix(s, []byte("x")):
		return len("x1b")
	case bytes.HasPrefix(s, []byte("u")):
		return len("u001b")
	case bytes.HasPrefix(s, []byte("U")):
		return len("U0000001b")
	}
	return 1
}

// onOneLine is a file of ours with a space in place of every line break that one of its
// texts spells. Shown, such a text would draw a line of its own, and could fake one of the
// program's; refused, a record that an earlier version wrote could not be read.
func onOneLine(data []byte) string {
	if bytes.IndexByte(data, '\\') < 0 {
		return string(data)
	}
	var b strings.Builder
	b.Grow(len(data))
	for rest := data; len(rest) > 0; {
		n := 1
		switch rest[0] {
		case '"', '\'':
			n, _ = skipString(rest)
		case '#':
			n = skipComment(rest)
		}
		if rest[0] == '"' {
			writeOnOneLine(&b, rest[:n])
		} else {
			b.Write(rest[:n])
		}
		rest = rest[n:]
	}
	return b.String()
}

// writeOnOneLine writes a text in double quotes.
func writeOnOneLine(b *strings.Builder, s []byte) {
	for len(s) > 0 {
		n := 1
		if s[0] == '\\' && len(s) > 1 {
			n = min(1+escapeLength(s[1:]), len(s))
		}
		switch escape := string(s[:n]); escape {
		case `\n`, `\x0a`, `\x0A`, `\u000a`, `\u000A`, `\U0000000a`, `\U0000000A`:
			b.WriteByte(' ')
		default:
			b.WriteString(escape)
		}
		s = s[n:]
	}
}

func skipComment(s []byte) int {
	if i := bytes.IndexByte(s, '\n'); i >= 0 {
		return i
	}
	return len(s)
}
