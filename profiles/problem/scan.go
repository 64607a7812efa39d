package problem

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"
)

// What is more than these is no record of ours, and would only cost the crew time and
// the device its memory.
const (
	MaxValues  = 100_000   // lines, and parts of lists and tables; a trial of a thousand pushes has 75 000
	MaxLetters = 128 << 10 // an earlier version wrote what a typed line or a word of a command could hold
	maxNesting = 8         // brackets within brackets; a record needs three
	maxDots    = 8         // in a line outside its texts; each costs the reader more than the last
)

// mostWritten is how many letters a text of a new entry may have: the longest note anyone
// should have to read.
const mostWritten = 4000

const longText = "a text of "

// ShortEnough refuses an entry with a text that is longer than anyone should have to read.
// Those of a job, and those on record from an earlier version, are copied as they are.
func ShortEnough(block string) error {
	if _, wrong, hint := Scan([]byte(block), mostWritten); strings.HasPrefix(wrong, longText) {
		return fmt.Errorf("not written: %s\n  %s", wrong, hint)
	}
	return nil
}

// Scan refuses what a record never has and a reader may choke on: values over
// several lines, brackets within brackets within brackets, and too much of anything. most
// is how many letters a text may have.
func Scan(data []byte, most int) (line int, wrong, hint string) {
	const plainly, other = "a record has one value on each line", "check that this is the right file"
	line = 1
	depth, dots, values := 0, 0, 0
	for rest := data; len(rest) > 0; {
		c := rest[0]
		if strings.IndexByte("\n,.[{", c) >= 0 {
			values++
		}
		if values > MaxValues {
			return line, fmt.Sprintf("more than %d lines and values are no record", MaxValues), other
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

// OnOneLine is a file of ours with a space in place of every line break that one of its
// texts spells. Shown, such a text would draw a line of its own, and could fake one of the
// program's; refused, a record that an earlier version wrote could not be read.
func OnOneLine(data []byte) string {
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
