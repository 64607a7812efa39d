package profiles

import (
	"errors"
	"fmt"
	"slices"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
)

// Fate is what became of one card of a spreadsheet.
type Fate int

// The fates.
const (
	Added     Fate = iota + 1 // a new card was written
	Completed                 // values were written that its card did not have
	Unchanged                 // its card says the same
	Differs                   // its card says otherwise and was left as it is
)

// CardImport is one card of a spreadsheet and what became of it.
type CardImport struct {
	Line    int    // in the spreadsheet
	Kind    string // "cable"
	Name    string // fit to be shown
	Fate    Fate
	Path    string   // of the card's file
	Details []string // what was completed, or what differs
}

// ImportCards reads a spreadsheet of cards and writes those that are new, and what is
// new of those that are known. A card that says otherwise is never changed, only told.
// Nothing is written when a line is bad: the error then names every one. After a
// failing disk the imports are those that were written before it.
func (l *Library) ImportCards(sheet Source) (imports []CardImport, err error) {
	cards, problems := parseSheet(sheet.Path, sheet.Text)
	if len(problems) > 0 {
		return nil, errors.Join(problems...)
	}
	err = l.store.Alone(func() (err error) { imports, err = l.importCards(cards); return err })
	return imports, err
}

// importCards writes cards. The caller holds the library's lock.
func (l *Library) importCards(cards []sheetCard) (imports []CardImport, err error) {
	known, ready, near := byName{}, map[string]bool{}, nameList{}
	for _, s := range cards {
		if kind := s.card.table(); !ready[kind] {
			ready[kind] = true
			if err := l.store.Tidy(s.card.folder(), l.now()); err != nil {
				return imports, store.Plain(err)
			}
			all, _ := l.cards(s.card) // freeCard gives the name of none that cannot be read
			for _, f := range all {
				if !known.has(f.card) {
					known.add(f)
					near.add(f.card)
				}
			}
		}
		done, err := l.importCard(s.card, known)
		if err != nil {
			return imports, fmt.Errorf("line %d, %s %s: %w", s.line, s.card.table(), cardName(s.card), err)
		}
		if done.Line = s.line; done.Fate == Added {
			for _, n := range near.near(s.card) {
				done.Details = append(done.Details, "! near to a known name: "+n+". If that is meant, mend the file and delete "+done.Path)
			}
			near.add(s.card)
		}
		imports = append(imports, done)
	}
	return imports, nil
}

func (l *Library) importCard(c card, known byName) (CardImport, error) {
	done := CardImport{Kind: c.table(), Name: cardName(c), Fate: Added}
	old, ok := known.find(c)
	if !ok {
		var err error
		if old.at, err = l.freeCard(c); err != nil {
			return done, err
		}
		done.Path = l.store.Where(old.at)
		return done, l.writeCard(old.at, c)
	}
	done.Path = l.store.Where(old.at)
	differs, more := compare(old.card, c)
	both, fit := filled(old.card, c)
	switch {
	case len(differs) > 0:
		done.Fate = Differs
		was := values(old.card)
		for i, v := range values(c) {
			for _, d := range differs {
				if v.key == d.key {
					done.Details = append(done.Details, fmt.Sprintf("%s: the card says %q, the file %q", v.key, problem.ShownText(was[i].text()), problem.Clip(v.text())))
				}
			}
		}
		return done, nil
	case len(more) == 0:
		done.Fate = Unchanged
		return done, nil
	case !fit:
		done.Fate, done.Details = Differs, []string{"its units do not go with those on the card"}
		return done, nil
	}
	done.Fate = Completed
	for _, v := range more {
		done.Details = append(done.Details, fmt.Sprintf("%s: %s", v.key, v.text()))
	}
	return done, l.writeCard(old.at, both)
}

// nameList are the names of cards, by kind and place in the card's name.
type nameList map[string][]name

func (l nameList) add(c card) {
	for i, part := range c.name() {
		at, n := fmt.Sprint(c.table(), i), newName(part)
		if !slices.ContainsFunc(l[at], n.same) {
			l[at] = append(l[at], n)
		}
	}
}

// near returns the known names that a card's may be meant for.
func (l nameList) near(c card) (near []string) {
	for i, part := range c.name() {
		at, n := fmt.Sprint(c.table(), i), newName(part)
		if slices.ContainsFunc(l[at], n.same) {
			continue
		}
		if j := slices.IndexFunc(l[at], n.alike); j >= 0 {
			near = append(near, problem.PrintableOnly(l[at][j].said))
		}
	}
	return near
}
