package profiles

import (
	"fmt"
	"sort"
	"strings"

	"brinkmark/profiles/problem"
)

// ordered returns the entries by seq.
func (r *Record) ordered() ([]part, error) { return byNumber(partsOf(&r.Entries)) }

// byNumber sorts entries by their numbers, and refuses what [checkOrder] does.
func byNumber(parts []part) ([]part, error) {
	sort.SliceStable(parts, func(a, b int) bool { return *parts[a].seq < *parts[b].seq })
	return parts, checkOrder(parts)
}

// checkOrder refuses entries, sorted by number, that are not each numbered once, and an undo
// of what is not there, or of another undo.
func checkOrder(all []part) error {
	last := 0
	for _, e := range all {
		if *e.seq <= last {
			return &entryError{e.key + ".seq", fmt.Sprintf("%d is missing, below 1 or given twice", *e.seq), "number the entries in the order they were made, or leave every seq out"}
		}
		last = *e.seq
	}
	earlier := map[int]part{}
	for _, e := range all {
		if undo, is := e.entry.(*Undo); is {
			dropped, there := earlier[undo.Drops]
			if !there {
				return &entryError{e.key + ".drops", fmt.Sprintf("%d is no earlier entry", undo.Drops), "write the seq of the entry that is taken back"}
			}
			if _, undone := dropped.entry.(*Undo); undone {
				return &entryError{e.key + ".drops", fmt.Sprintf("%d is an undo, which stays", undo.Drops), "write down anew what was taken back"}
			}
		}
		earlier[*e.seq] = e
	}
	return nil
}

// numberAsGiven gives the entries of a hand-written record, which carry no seq, the order in
// which their tables stand in the file.
func numberAsGiven(data []byte, parts []part) {
	unnumbered := map[string][]*int{}
	for _, p := range parts {
		if *p.seq != 0 {
			return
		}
		kind := problem.Unindexed(p.key)
		unnumbered[kind] = append(unnumbered[kind], p.seq)
	}
	n := 0
	for _, line := range strings.Split(string(data), "\n") {
		kind := problem.TableName(line)
		if left := unnumbered[kind]; strings.HasPrefix(strings.TrimSpace(line), "[[") && len(left) > 0 {
			n++
			*left[0], unnumbered[kind] = n, left[1:]
		}
	}
}

func (r *Record) undone() map[int]bool { return dropped(r.Undos) }

// dropped are the numbers of the entries that were taken back.
func dropped(undos []Undo) map[int]bool {
	drops := map[int]bool{}
	for _, u := range undos {
		drops[u.Drops] = true
	}
	return drops
}
