package words

import (
	"io"
	"strings"
	"unicode"
)

// Printable passes on only what may be drawn: text, spaces and line ends. Text from
// files can then not move the cursor, hide itself or run backwards.
func Printable(w io.Writer) io.Writer { return printable{w} }

type printable struct{ to io.Writer }

func (p printable) Write(b []byte) (int, error) {
	if _, err := io.WriteString(p.to, Clean(string(b))); err != nil {
		return 0, err
	}
	return len(b), nil
}

// Heard passes on what is said until a write fails, and keeps the failure: on a full disk or
// a lost link nobody has read what comes after.
type Heard struct {
	To     io.Writer
	Failed error // nil as long as all was written
}

func (h *Heard) Write(b []byte) (int, error) {
	if h.Failed != nil {
		return 0, h.Failed
	}
	n, err := h.To.Write(b)
	h.Failed = err
	return n, err
}

// OneLine is a text from outside as a part of one line: cleaned, its line breaks as spaces.
// Texts of records need it no more: they were read so.
func OneLine(text string) string { return strings.ReplaceAll(Clean(text), "\n", " ") }

// Clean takes out of a text everything but printable characters and line ends.
func Clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n', unicode.IsPrint(r):
			return r
		case r == '\t', r == '\u00a0':
			return ' '
		}
		return -1
	}, text)
}
