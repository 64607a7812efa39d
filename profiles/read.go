package profiles

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

const (
	maxRecord  = 16 << 20 // bytes; a trial of a thousand pushes has a tenth of this
	maxNesting = 8        // brackets within brackets; a record needs three
)

// FileError says what is wrong with a record, where, and what to do.
type FileError struct {
	Path         string
	Line, Column int // 0 when the whole file is meant
	Key          string
	Problem      string
	Hint         string
}

func (e *FileError) Error() string {
	var b strings.Builder
	b.WriteString(e.Path)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
		if e.Column > 0 {
			fmt.Fprintf(&b, ":%d", e.Column)
		}
	}
	b.WriteString(": ")
	if e.Key != "" {
		b.WriteString(e.Key + ": ")
	}
	b.WriteString(e.Problem)
	if e.Hint != "" {
		b.WriteString("\n  " + e.Hint)
	}
	return b.String()
}

// Parse reads a record strictly. path is used in errors only. The file's seals,
// if any, are comments to it.
func Parse(path string, data []byte) (*Record, error) {
	fail := func(line int, problem, hint string) error {
		return &FileError{Path: path, Line: line, Problem: problem, Hint: hint}
	}
	if len(data) > maxRecord {
		return nil, fail(0, fmt.Sprintf("%d bytes is no record: the most is %d", len(data), maxRecord), "check that this is the right file")
	}
	if !utf8.Valid(data) {
		return nil, fail(0, "the file is not text in UTF-8", "save it as UTF-8 text")
	}
	if line, problem := scan(data); problem != "" {
		return nil, fail(line, problem, "a record has one value on each line")
	}
	var r Record
	md, err := toml.Decode(string(data), &r)
	if err != nil {
		return nil, tomlError(path, data, err)
	}
	if unknown := md.Undecoded(); len(unknown) > 0 {
		key := unknown[0]
		line, col := locate(data, key.String())
		return nil, &FileError{path, line, col, key.String(), "this key is not known", "check its spelling, or take the line out"}
	}
	r.numberAsGiven(data)
	if err := r.check(path, data, md); err != nil {
		return nil, err
	}
	return &r, nil
}

// check refuses what is well written but cannot be meant.
func (r *Record) check(path string, data []byte, md toml.MetaData) error {
	switch {
	case !md.IsDefined("format"):
		return &FileError{Path: path, Key: "format", Problem: "missing", Hint: fmt.Sprintf("write \"format = %d\" on the first line", Format)}
	case r.Format != Format:
		line, col := locate(data, "format")
		return &FileError{path, line, col, "format", fmt.Sprintf("%d is not known to this version, which reads %d", r.Format, Format), "read it with the version that wrote it"}
	case r.ID != "" && !ValidID(r.ID):
		line, col := locate(data, "id")
		return &FileError{path, line, col, "id", fmt.Sprintf("%q is no record id", clip(r.ID)), "ids are made by the program: 26 capital letters and digits"}
	case r.PolicyProblem() != nil:
		line, col := locate(data, "policy")
		return &FileError{path, line, col, "policy", r.PolicyProblem().Error(), "read it with the version that wrote it"}
	}
	if s := r.Cable.PolyethyleneShare; s != nil && !(*s >= 0 && *s <= 1) {
		line, col := locate(data, "cable.polyethylene_share")
		return &FileError{path, line, col, "cable.polyethylene_share", fmt.Sprintf("%v is outside 0 to 1", *s), "it is the jacket's share of bending stiffness"}
	}
	_, err := r.Trial()
	var bad *entryError
	if errors.As(err, &bad) {
		line, col := locate(data, bad.key)
		return &FileError{path, line, col, bad.key, bad.problem, bad.hint}
	}
	return err
}

// tomlError puts what the TOML reader found into the crew's words.
func tomlError(path string, data []byte, err error) error {
	var pe toml.ParseError
	if !errors.As(err, &pe) {
		return &FileError{Path: path, Problem: clip(strings.TrimPrefix(err.Error(), "toml: ")), Hint: "mend the line, or take it out"}
	}
	hint := "mend the line, or take it out"
	column := pe.Position.Col
	key := pe.LastKey
	if key != "" && column <= 1 {
		_, column = locate(data, key)
	}
	return &FileError{path, pe.Position.Line, column, key, clip(plainMessage(pe.Message)), hint}
}

func plainMessage(m string) string {
	if i := strings.IndexByte(m, '\n'); i >= 0 {
		m = m[:i]
	}
	return strings.TrimPrefix(m, "toml: ")
}

// scan refuses what a record never has and a reader may choke on: values over
// several lines, and brackets within brackets within brackets.
func scan(data []byte) (line int, problem string) {
	line = 1
	depth := 0
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
			line++
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

// clip keeps a hostile text from filling the screen.
func clip(s string) string {
	const most = 160
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
