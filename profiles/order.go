package profiles

import (
	"fmt"
	"sort"
	"strings"
)

// placed is one entry with where it stands.
type placed struct {
	seq     int
	key     string // "attempt[2]"
	answer  *Answer
	attempt *Attempt
	undo    *Undo
	change  *Change
}

// ordered returns the entries by seq.
func (r *Record) ordered() ([]placed, error) {
	var all []placed
	for i := range r.Answers {
		all = append(all, placed{seq: r.Answers[i].Seq, key: fmt.Sprintf("answer[%d]", i), answer: &r.Answers[i]})
	}
	for i := range r.Attempts {
		all = append(all, placed{seq: r.Attempts[i].Seq, key: fmt.Sprintf("attempt[%d]", i), attempt: &r.Attempts[i]})
	}
	for i := range r.Undos {
		all = append(all, placed{seq: r.Undos[i].Seq, key: fmt.Sprintf("undo[%d]", i), undo: &r.Undos[i]})
	}
	for i := range r.Changes {
		all = append(all, placed{seq: r.Changes[i].Seq, key: fmt.Sprintf("change[%d]", i), change: &r.Changes[i]})
	}
	sort.SliceStable(all, func(a, b int) bool { return all[a].seq < all[b].seq })
	slots := make([]slot, len(all))
	for i, e := range all {
		slots[i] = slot{seq: e.seq, key: e.key, undo: e.undo != nil}
		if e.undo != nil {
			slots[i].drops = e.undo.Drops
		}
	}
	return all, checkOrder(slots)
}

// slot is the place of an entry in any record.
type slot struct {
	seq   int
	key   string
	undo  bool
	drops int // of an undo
}

// checkOrder refuses entries, sorted by number, that are not each numbered once, and an undo
// of what is not there, or of another undo.
func checkOrder(all []slot) error {
	last := 0
	for _, e := range all {
		if e.seq <= last {
			return &entryError{e.key + ".seq", fmt.Sprintf("%d is missing, below 1 or given twice", e.seq), "number the entries in the order they were made, or leave every seq out"}
		}
		last = e.seq
	}
	kinds := map[int]slot{}
	for _, e := range all {
		kinds[e.seq] = e
		if !e.undo {
			continue
		}
		dropped, ok := kinds[e.drops]
		switch {
		case !ok || dropped.seq >= e.seq:
			return &entryError{e.key + ".drops", fmt.Sprintf("%d is no earlier entry", e.drops), "write the seq of the entry that is taken back"}
		case dropped.undo:
			return &entryError{e.key + ".drops", fmt.Sprintf("%d is an undo, which stays", e.drops), "write down anew what was taken back"}
		}
	}
	return nil
}

// numberAsGiven gives the entries of a hand-written record, which carry no seq,
// the order in which they stand in the file.
func (r *Record) numberAsGiven(data []byte) {
	seqs := map[string][]*int{}
	for i := range r.Answers {
		seqs["answer"] = append(seqs["answer"], &r.Answers[i].Seq)
	}
	for i := range r.Attempts {
		seqs["attempt"] = append(seqs["attempt"], &r.Attempts[i].Seq)
	}
	for i := range r.Undos {
		seqs["undo"] = append(seqs["undo"], &r.Undos[i].Seq)
	}
	for i := range r.Changes {
		seqs["change"] = append(seqs["change"], &r.Changes[i].Seq)
	}
	numberByPlace(data, seqs)
}

// numberByPlace numbers entries that carry no seq, by kind, in the order in which their
// tables stand in the file.
func numberByPlace(data []byte, seqs map[string][]*int) {
	for _, of := range seqs {
		for _, seq := range of {
			if *seq != 0 {
				return
			}
		}
	}
	n := 0
	for _, line := range strings.Split(string(data), "\n") {
		kind := tableName(line)
		if left := seqs[kind]; strings.HasPrefix(strings.TrimSpace(line), "[[") && len(left) > 0 {
			n++
			*left[0], seqs[kind] = n, left[1:]
		}
	}
}

func (r *Record) undone() map[int]bool {
	dropped := map[int]bool{}
	for _, u := range r.Undos {
		dropped[u.Drops] = true
	}
	return dropped
}
