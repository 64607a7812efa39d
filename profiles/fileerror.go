package profiles

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
	"unicode"

	"github.com/BurntSushi/toml"
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
	b.WriteString(printableOnly(e.Path))
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
		if e.Column > 0 {
			fmt.Fprintf(&b, ":%d", e.Column)
		}
	}
	b.WriteString(": ")
	if e.Key != "" {
		b.WriteString(printableOnly(e.Key) + ": ") // a quoted key may hold anything
	}
	b.WriteString(e.Problem)
	if e.Hint != "" {
		b.WriteString("\n  " + e.Hint)
	}
	return b.String()
}

// editedError is a [FileError] of a record that was changed after it was sealed.
type editedError struct{ err error }

func (e *editedError) Error() string { return e.err.Error() }
func (e *editedError) Unwrap() error { return e.err }

// tomlError puts what the TOML reader found into the crew's words.
func tomlError(path string, data []byte, err error) error {
	const hint = "mend the line, or take it out"
	var pe toml.ParseError
	if !errors.As(err, &pe) {
		return typeError(path, data, err.Error(), hint)
	}
	column := pe.Position.Col
	problem := plainMessage(pe.Message)
	if strings.Contains(problem, "has already been defined") {
		problem, column = "written twice", 0
	}
	if column <= 1 {
		column = valueColumn(data, pe.Position.Line)
	}
	return &FileError{path, pe.Position.Line, column, clip(pe.LastKey), problem, hint}
}

var (
	wrongType  = regexp.MustCompile(`line (\d+) \(last key "([^"]*)"\): (?:incompatible types: TOML value has type ([^;]+); destination has type (.+)|type mismatch for [^:]+: expected (\w+) but found (\w+))`)
	plainTypes = map[string]string{
		"string": "a text", "int64": "a whole number", "integer": "a whole number", "float64": "a number", "float": "a number",
		"bool": "true or false", "boolean": "true or false", "map[string]any": "a table", "map[string]interface {}": "a table", "table": "a table",
		"slice": "a list", "[]any": "a list", "[]interface {}": "a list", "[]map[string]any": "a list", "time.Time": "a time",
	}
)

// typeError names a value of the wrong kind by its line and key.
func typeError(path string, data []byte, message, hint string) error {
	m := wrongType.FindStringSubmatch(message)
	if m == nil {
		return &FileError{Path: path, Problem: plainMessage(message), Hint: hint}
	}
	var line int
	_, _ = fmt.Sscan(m[1], &line)
	has, wants := plainTypes[m[3]+m[6]], plainTypes[m[4]+m[5]]
	if has == "" || wants == "" {
		return &FileError{path, line, valueColumn(data, line), clip(m[2]), "this value is of the wrong kind", hint}
	}
	return &FileError{path, line, valueColumn(data, line), clip(m[2]), has + " where " + wants + " is meant", hint}
}

// plainMessage is a reader's message as one printable line.
func plainMessage(m string) string {
	m, _, _ = strings.Cut(m, "\n")
	return shownText(strings.TrimPrefix(m, "toml: "))
}

func printableOnly(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return -1
	}, s)
}

// shownText is a text from outside as one may show it: printable, and not too long.
func shownText(s string) string { return clip(printableOnly(s)) }

// hasControls reports whether a name could move the cursor of whoever is told it.
func hasControls(name string) bool { return strings.ContainsFunc(name, unicode.IsControl) }

// clip keeps a hostile text from filling the screen.
func clip(s string) string {
	const most = 160
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
