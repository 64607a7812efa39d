package profiles

import (
	"fmt"
	"hash/crc32"
	"regexp"
	"strconv"
	"strings"
)

var (
	castagnoli = crc32.MakeTable(crc32.Castagnoli)
	sealLine   = regexp.MustCompile(`^# sealed (\d{1,9}) ([0-9a-f]{8})$`)
)

// makeSeal returns the seal of a block: its number, and the CRC-32C of the seal
// before, the number and the block. It shows damage and hand edits; it is no
// signature and stops nobody who means to forge it.
func makeSeal(number int, chain uint32, block string) (line string, next uint32) {
	next = crc32.Checksum([]byte(fmt.Sprintf("%d %08x\n%s", number, chain, block)), castagnoli)
	return fmt.Sprintf("# sealed %d %08x\n", number, next), next
}

// sealedHead is a journal with a head and nothing else.
func sealedHead(head string) (text string, chain uint32, err error) {
	if err := sealable(head); err != nil {
		return "", 0, err
	}
	seal, chain := makeSeal(0, 0, journalHeader+head)
	return journalHeader + head + seal, chain, nil
}

// found is what a reader made of a file.
type found struct {
	isJournal bool
	sealed    string // up to the last true seal; the whole file when it is no journal
	torn      string // what follows it
	next      int
	chain     uint32
}

// readJournal takes a file apart. A seal that does not fit is an error with its line.
func readJournal(path string, data []byte) (found, error) {
	text := string(data)
	if !strings.HasPrefix(text, journalHeader) {
		return found{sealed: text}, nil
	}
	f := found{isJournal: true}
	start, line := 0, 0
	for at := 0; at < len(text); {
		end := strings.IndexByte(text[at:], '\n')
		if end < 0 {
			break
		}
		line++
		m := sealLine.FindStringSubmatch(text[at : at+end])
		if m == nil {
			at += end + 1
			continue
		}
		block := text[start:at]
		want, chain := makeSeal(f.next, f.chain, block)
		if want != text[at:at+end+1] {
			if last := at+end+1 == len(text); last && strings.Contains(block, "\x00") {
				break // a power cut left the block unwritten and its seal written
			}
			return f, &FileError{Path: path, Line: line, Problem: "this seal does not fit what it seals: the record was edited or damaged",
				Hint: "nothing is written to it; begin a new trial, or put the untouched file back"}
		}
		at += end + 1
		start = at
		number, _ := strconv.Atoi(m[1])
		f.next, f.chain, f.sealed = number+1, chain, text[:at]
	}
	f.torn = text[len(f.sealed):]
	if f.sealed == "" {
		return f, &FileError{Path: path, Line: 1, Problem: "the record has no sealed job", Hint: "it was never finished writing; begin a new trial"}
	}
	return f, nil
}
