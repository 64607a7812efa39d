package profiles

import (
	"fmt"
	"strings"
)

// locate finds the line and column of a key's value in a record's text: "format",
// "rig.grip_limit", or for the third attempt "attempt[2].speed". It returns zeros
// when there is no such line.
func locate(data []byte, key string) (line, column int) {
	table, name := "", key
	if i := strings.LastIndexByte(key, '.'); i >= 0 {
		table, name = key[:i], key[i+1:]
	}
	seen := map[string]int{}
	at := ""
	for n, text := range strings.Split(string(data), "\n") {
		trimmed := strings.TrimSpace(text)
		switch {
		case strings.HasPrefix(trimmed, "[["):
			t := tableName(text)
			at = fmt.Sprintf("%s[%d]", t, seen[t])
			seen[t]++
		case strings.HasPrefix(trimmed, "["):
			at = tableName(text)
		}
		if at != table && table != unindexed(at) {
			continue
		}
		if left, _, ok := strings.Cut(text, "="); ok && strings.TrimSpace(left) == name {
			value := text[len(left)+1:]
			return n + 1, len(left) + 2 + len(value) - len(strings.TrimLeft(value, " \t"))
		}
	}
	return 0, 0
}

func unindexed(table string) string {
	name, _, _ := strings.Cut(table, "[")
	return name
}

// tableName returns the name in a line that opens a table: "[rig]", "[[attempt]] # third".
func tableName(line string) string {
	name, _, _ := strings.Cut(strings.TrimLeft(line, " \t["), "]")
	return strings.TrimSpace(name)
}
