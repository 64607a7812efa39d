package problem

import (
	"fmt"
	"strings"
)

// At is what is wrong with the value of a key in a record's text: "format", "rig.grip_limit", or
// for the third attempt "attempt[2].speed".
func At(path string, data []byte, key, wrong, hint string) *FileError {
	line, column := locate(data, key)
	return &FileError{path, line, column, Clip(key), wrong, hint}
}

// locate finds the line and column of a key's value in a record's text: "format",
// "rig.grip_limit", or for the third attempt "attempt[2].speed". Where the line is
// missing it is the table's; zeros when that is missing too.
func locate(data []byte, key string) (line, column int) {
	table, name := "", key
	if i := strings.LastIndexByte(key, '.'); i >= 0 {
		table, name = key[:i], key[i+1:]
	}
	seen := map[string]int{}
	headers := map[string]int{} // line of each table's first line
	at := ""
	for n, text := range strings.Split(string(data), "\n") {
		trimmed := strings.TrimSpace(text)
		switch {
		case strings.HasPrefix(trimmed, "[["):
			t := TableName(text)
			at = fmt.Sprintf("%s[%d]", t, seen[t])
			seen[t]++
			headers[at] = n + 1
			if headers[t] == 0 {
				headers[t] = n + 1
			}
		case strings.HasPrefix(trimmed, "["):
			at = TableName(text)
			headers[at] = n + 1
		}
		if at != table && table != Unindexed(at) {
			continue
		}
		if left, _, ok := strings.Cut(text, "="); ok && strings.TrimSpace(left) == name {
			return n + 1, columnAfterEquals(text)
		}
	}
	if header, ok := headers[table]; ok && table != "" {
		return header, 0
	}
	return headers[key], 0
}

// valueColumn is the column of the value in a line, 0 when it has none.
func valueColumn(data []byte, line int) int {
	lines := strings.Split(string(data), "\n")
	if line < 1 || line > len(lines) || !strings.Contains(lines[line-1], "=") {
		return 0
	}
	return columnAfterEquals(lines[line-1])
}

func columnAfterEquals(text string) int {
	left, value, _ := strings.Cut(text, "=")
	return len(left) + 2 + len(value) - len(strings.TrimLeft(value, " \t"))
}

// Unindexed is the name of a table without its number.
func Unindexed(table string) string {
	name, _, _ := strings.Cut(table, "[")
	return name
}

// TableName returns the name in a line that opens a table: "[rig]", "[[attempt]] # third".
func TableName(line string) string {
	name, _, _ := strings.Cut(strings.TrimLeft(line, " \t["), "]")
	return strings.TrimSpace(name)
}
