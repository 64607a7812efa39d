package journal

import (
	"bytes"
	"fmt"
	"hash/crc32"
	"regexp"
	"strings"
	"unicode/utf8"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
)

const (
	header = "# brinkmark journal 1\n"
	// SealMark is what a line of a seal begins with.
	SealMark = "# sealed "
)

// Begins reports whether a text has a journal's first line.
func Begins(text string) bool { return strings.HasPrefix(text, header) }

// castagnoli is the polynomial of CRC-32C. Source: RFC 3720, B.4.
var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// Sum is the CRC-32C of a text.
func Sum(text []byte) uint32 { return crc32.Checksum(text, castagnoli) }

// Sealed is the text of a journal up to its last good seal.
type Sealed struct {
	text  []byte
	seals int    // the head's and one for each entry
	crc   uint32 // of the last seal; the next one is chained from it
}

// SealHead returns the text of the journal that has this head and no entry.
func SealHead(head string) (Sealed, error) {
	if err := checkBlock(head); err != nil {
		return Sealed{}, fmt.Errorf("head: %w", err)
	}
	return Sealed{}.closed([]byte(header + WithLineEnd(head)))
}

// Text returns the text.
func (s Sealed) Text() string { return string(s.text) }

// Add returns the journal with one more entry, which can be read again.
func (s Sealed) Add(block string) (Sealed, error) {
	if err := problem.ShortEnough(block); err != nil {
		return s, err
	}
	if err := checkBlock(block); err != nil {
		return s, fmt.Errorf("entry %d: %w", s.seals, err)
	}
	next, err := s.closed([]byte(WithLineEnd(block)))
	if err == nil && len(next.text) > problem.MaxValues { // else it cannot have as many
		if line, wrong, _ := problem.Scan(next.text, problem.MaxLetters); wrong != "" {
			return s, fmt.Errorf("entry %d: line %d: %s", s.seals, line, wrong)
		}
	}
	return next, err
}

func (s Sealed) closed(block []byte) (Sealed, error) {
	line, crc := s.seal(block)
	size := len(s.text) + len(block) + len(line)
	if size > store.MaxText {
		return s, fmt.Errorf("%d bytes are too many for a record: the most is %d", size, store.MaxText)
	}
	text := make([]byte, 0, size)
	text = append(append(append(text, s.text...), block...), line...)
	return Sealed{text, s.seals + 1, crc}, nil
}

// seal returns the line that closes block, and its CRC: over the seal's number, the
// CRC before and the block. It shows damage and hand edits; it is no signature and
// stops nobody who means to forge it.
func (s Sealed) seal(block []byte) (line string, crc uint32) {
	chain := crc32.Checksum(fmt.Appendf(nil, "%d %08x\n", s.seals, s.crc), castagnoli)
	crc = crc32.Update(chain, castagnoli, block)
	return fmt.Sprintf("%s%d %08x\n", SealMark, s.seals, crc), crc
}

// entries is the number of entries.
func (s Sealed) entries() int { return s.seals - 1 }

// lines is the number of lines.
func (s Sealed) lines() int { return bytes.Count(s.text, []byte("\n")) }

// Unseal reads a journal's bytes up to the last good seal, and what is torn after
// it. path is used in errors only.
func Unseal(where string, data []byte) (s Sealed, torn []byte, err error) {
	for {
		rest := data[len(s.text):]
		block := rest[:sealAt(rest)]
		line, crc := s.seal(block)
		if !bytes.HasPrefix(rest[len(block):], []byte(line)) {
			break
		}
		s = Sealed{data[:len(s.text)+len(block)+len(line)], s.seals + 1, crc}
	}
	torn = data[len(s.text):]
	if s.seals == 0 || !s.endsTorn(torn) {
		return Sealed{}, nil, s.damage(where, torn)
	}
	return s, torn, nil
}

// endsTorn reports whether rest, which begins with no good entry, is what an
// unfinished append leaves: no seal, or the very next one with holes before it
// where the disk had not yet put the text. A seal in whole text was good once, and
// a later seal was only written after this entry was.
func (s Sealed) endsTorn(rest []byte) bool {
	at := sealAt(rest)
	end := bytes.IndexByte(rest[at:], '\n')
	if end < 0 {
		return true
	}
	after := rest[at+end+1:]
	next := fmt.Appendf(nil, "%s%d ", SealMark, s.seals)
	return bytes.IndexByte(rest[:at], 0) >= 0 && bytes.HasPrefix(rest[at:], next) && sealAt(after) == len(after)
}

// damage is the error for a journal changed in the entry that rest begins with.
func (s Sealed) damage(where string, rest []byte) error {
	part := fmt.Sprintf("entry %d", s.seals)
	if s.seals == 0 {
		part = "the head"
	}
	first := s.lines() + 1
	last := first + bytes.Count(rest[:sealAt(rest)], []byte("\n"))
	return &problem.FileError{
		Path: where, Line: first,
		Problem: fmt.Sprintf("%s is not as it was written: lines %d to %d do not fit their seal", part, first, last),
		Hint:    PutBack,
	}
}

// PutBack is all that mends a record that is not as it was written. Nobody can vouch for what
// stands in it now, so there is no way to make it count as it is.
const PutBack = "whoever has a whole copy, on another tablet or a stick, can put it back in its place; without one make a new trial: it cannot be mended by hand"

// sealAt is where the first line that looks like a seal begins, or the length of
// text when there is none.
func sealAt(text []byte) int {
	if bytes.HasPrefix(text, []byte(SealMark)) {
		return 0
	}
	if i := bytes.Index(text, []byte("\n"+SealMark)); i >= 0 {
		return i + 1
	}
	return len(text)
}

// IsJournal reports whether data is a journal, and not written by hand. A first line that is
// nearly a journal's is an error, and so are seals without it: no hand writes them, so the
// file was sealed once, and what stands in it now nobody has vouched for.
func IsJournal(where string, data []byte) (bool, error) {
	if bytes.HasPrefix(data, []byte(header)) {
		return true, nil
	}
	if !nearHeader(bytes.TrimPrefix(data, []byte("\uFEFF"))) {
		return false, beheaded(where, data)
	}
	return false, &problem.FileError{
		Path: where, Line: 1,
		Problem: fmt.Sprintf("the first line is not %q as it was written", strings.TrimSpace(header)),
		Hint:    "another version wrote the file, or an editor changed it: " + PutBack,
	}
}

// beheaded is the error for a text that has seals, and no first line of a journal.
func beheaded(where string, data []byte) error {
	for at := sealAt(data); at < len(data); at += sealAt(data[at:]) {
		if sealLine.Match(data[at:]) {
			return &problem.FileError{
				Path: where, Line: 1,
				Problem: fmt.Sprintf("it has seals, and its first line is not %q as it was written", strings.TrimSpace(header)),
				Hint:    PutBack,
			}
		}
		at++
	}
	return nil
}

// sealLine is a seal as it is written.
var sealLine = regexp.MustCompile(`^# sealed [0-9]+ [0-9a-f]{8}\r?(\n|$)`)

// nearHeader reports whether data begins with the header cut off, or but for a few
// bytes.
func nearHeader(data []byte) bool {
	if len(data) < len(header) {
		return len(data) > 0 && strings.HasPrefix(header, string(data))
	}
	const few = 2
	differ := 0
	for i := range len(header) - 1 {
		if data[i] != header[i] {
			differ++
		}
	}
	return differ <= few
}

// checkBlock refuses a text that could not be told from seals, or that one lost
// line could turn into something else.
func checkBlock(block string) error {
	if strings.TrimSpace(block) == "" {
		return fmt.Errorf("nothing to write")
	}
	if !utf8.ValidString(block) {
		return fmt.Errorf("not text in UTF-8")
	}
	for i, line := range strings.Split(block, "\n") {
		if strings.HasPrefix(line, strings.TrimSpace(SealMark)) || strings.HasPrefix(line, strings.TrimSpace(header)) {
			return fmt.Errorf("line %d: %q is kept for seals", i+1, problem.Clip(line))
		}
		if at := strings.IndexFunc(line, isControl); at >= 0 {
			return fmt.Errorf("line %d: a control character (%#02x)", i+1, line[at])
		}
	}
	if line, wrong, _ := problem.Scan([]byte(block), problem.MaxLetters); wrong != "" {
		return fmt.Errorf("line %d: %s", line, wrong)
	}
	return nil
}

func isControl(r rune) bool { return r < ' ' && r != '\t' || r == 0x7f }

// WithLineEnd is a text that ends in a line feed.
func WithLineEnd(block string) string {
	if strings.HasSuffix(block, "\n") {
		return block
	}
	return block + "\n"
}
