package profiles

import (
	"cmp"
	"path"
	"slices"
	"strings"
)

// fromOtherRecords are the exceptions that other records of the library give rise to.
var fromOtherRecords = []ExceptionKind{OtherCopy, HurtElsewhere, CheckDidNotHold, Disagrees, FoldInRun, DamageInRun, OverrideInRun}

// Reread looks anew, on the disk, at one profile of a review and at all that was decided
// about it, and puts what it finds in the profile's place in the list. What other records
// say about it stays as it was. It takes the time of the reviews alone, however many
// profiles there are.
func (l *Library) Reread(v Review, id string) (*Listed, error) {
	old, err := v.Find(id)
	if err != nil {
		return nil, err
	}
	actions, err := l.judgedOf(id)
	if err != nil {
		return nil, err
	}
	p := &Listed{}
	p.fill(l.store, fileRow(l.store, &entry{folder: old.row.folder, stamp: stamp{file: old.row.file}}))
	p.tooOld = old.tooOld
	p.judge(actions, l.now())
	for _, e := range old.Exceptions {
		if slices.Contains(fromOtherRecords, e.Kind) {
			p.Exceptions = append(p.Exceptions, e)
		}
	}
	p.unsealed(!p.row.sealed && sealedOnce(l.store, p.row.name()))
	slices.SortStableFunc(p.Exceptions, func(a, b Exception) int { return cmp.Compare(a.Kind, b.Kind) })
	v.Profiles[slices.Index(v.Profiles, old)] = p
	return p, nil
}

// judgedOf returns all that was decided about a profile, in order of time. Reviews that
// cannot be read are told of in a [Review].
func (l *Library) judgedOf(id string) ([]Judged, error) {
	const folder = "reviews"
	found, err := folderStamps(l.store, folder)
	if err != nil {
		return nil, err
	}
	var list []Judged
	for _, s := range found {
		if from, err := l.read(path.Join(folder, s.file)); err == nil && !strings.Contains(string(from.Text), id) {
			continue // most are about others
		}
		r := fileRow(l.store, &entry{folder: folder, stamp: s})
		for _, a := range unpackActions(r) {
			if a.Of == id {
				list = append(list, a)
			}
		}
	}
	inOrder(list)
	return list, nil
}
