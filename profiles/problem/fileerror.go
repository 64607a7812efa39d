// Package problem says what is wrong with a file, where in it, and what to do, in text that is
// fit to be shown whatever the file holds.
package problem

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
	b.WriteString(PrintableOnly(e.Path))
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
		if e.Column > 0 {
			fmt.Fprintf(&b, ":%d", e.Column)
		}
	}
	b.WriteString(": ")
	if e.Key != "" {
		b.WriteString(PrintableOnly(e.Key) + ": ") // a quoted key may hold anything
	}
	b.WriteString(e.Problem)
	if e.Hint != "" {
		b.WriteString("\n  " + e.Hint)
	}
	return b.String()
}

// EditedError is a [FileError] of a record that was changed after it was sealed.
type EditedError struct{ Err error }

func (e *EditedError) Error() string { return e.Err.Error() }
func (e *EditedError) Unwrap() error { return e.Err }

// TomlError puts what the TOML reader found into the crew's words.
func TomlError(path string, data []byte, err error) error {
	const hint = "mend the line, or take it out"
	var pe toml.ParseError
	if !errors.As(err, &pe) {
		return typeError(path, data, err.Error(), hint)
	}
	column := pe.Position.Col
	wrong := PlainMessage(pe.Message)
	if strings.Contains(wrong, "has already been defined") {
		wrong, column = "written twice", 0
	}
	if column <= 1 {
		column = valueColumn(data, pe.Position.Line)
	}
	return &FileError{path, pe.Position.Line, column, Clip(pe.LastKey), wrong, hint}
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
		return &FileError{Path: path, Problem: PlainMessage(message), Hint: hint}
	}
	var line int
	_, _ = fmt.Sscan(m[1], &line)
	has, wants := plainTypes[m[3]+m[6]], plainTypes[m[4]+m[5]]
	if has == "" || wants == "" {
		return &FileError{path, line, valueColumn(data, line), Clip(m[2]), "this value is of the wrong kind", hint}
	}
	return &FileError{path, line, valueColumn(data, line), Clip(m[2]), has + " where " + wants + " is meant", hint}
}

// PlainMessage is a reader's message as one printable line.
func PlainMessage(m string) string {
	m, _, _ = strings.Cut(m, "\n")
	return ShownText(strings.TrimPrefix(m, "toml: "))
}

// PrintableOnly is a text without what cannot be printed.
func PrintableOnly(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return -1
	}, s)
}

// ShownText is a text from outside as one may show it: printable, and not too long.
func ShownText(s string) string { return Clip(PrintableOnly(s)) }

// HasControls reports whether a name could move the cursor of whoever is told it.
func HasControls(name string) bool { return strings.ContainsFunc(name, unicode.IsControl) }

// Clip keeps a hostile text from filling the screen.
func Clip(s string) string {
	const most = 160
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
