package profiles

import (
	"cmp"
	"path"
	"slices"
	"strings"
	"time"
	"unicode"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
)

// Cards are the cables, ducts, rigs and people this library knows, the last used
// first. A cable's reel, lot and print legend and a duct's lot are of one job and on
// no card.
type Cards struct {
	Cables     []Cable
	Ducts      []Duct
	Rigs       []Rig
	People     []Person
	Unreadable []error // one for each card that cannot be read, naming its file

	unreadIn map[string][]error // the same, by folder
}

// UnreadableIn are those of a folder, "cables".
func (c Cards) UnreadableIn(folder string) []error { return c.unreadIn[folder] }

// card is the one table of a card's file.
type card interface {
	table() string  // "cable"
	folder() string // "cables"
	named() error   // what its name lacks, by key
	name() []string // what two cards must differ in
	file() cardFile
	of(cardFile) card
}

// cardFile is the file of a card: its format, and one of the tables.
type cardFile struct {
	Format int    `toml:"format"`
	Cable  Cable  `toml:"cable,omitempty"`
	Duct   Duct   `toml:"duct,omitempty"`
	Rig    Rig    `toml:"rig,omitempty"`
	Person Person `toml:"person,omitempty"`
}

// record is what of the file a record has too.
func (f cardFile) record() Record {
	return Record{Format: f.Format, Cable: f.Cable, Duct: f.Duct, Rig: f.Rig}
}

// cardKinds are the kinds of cards, one of each.
var cardKinds = []card{Cable{}, Duct{}, Rig{}, Person{}}

func (Cable) table() string { return "cable" }
func (Duct) table() string  { return "duct" }
func (Rig) table() string   { return "rig" }

func (Cable) folder() string { return "cables" }
func (Duct) folder() string  { return "ducts" }
func (Rig) folder() string   { return "rigs" }

func (c Cable) name() []string { return []string{c.Make, c.Type} }
func (d Duct) name() []string {
	if d.Lining == 0 {
		return []string{d.Size}
	}
	return []string{d.Size, d.Lining.String()}
}
func (r Rig) name() []string { return []string{r.Name} }

// sameCard reports whether two cards of a kind have one name: case, spacing and the
// units of sizes make no other one.
func sameCard(a, b card) bool {
	return slices.EqualFunc(a.name(), b.name(), func(a, b string) bool { return newName(a).same(newName(b)) })
}

// key is a card's name without case and spacing.
func key(c card) string {
	var parts []string
	for _, part := range c.name() {
		parts = append(parts, fold(part))
	}
	return strings.Join(parts, "\n")
}

func (c Cable) file() cardFile { return cardFile{Format: Format, Cable: c} }
func (d Duct) file() cardFile  { return cardFile{Format: Format, Duct: d} }
func (r Rig) file() cardFile   { return cardFile{Format: Format, Rig: r} }

func (Cable) of(f cardFile) card { return f.Cable }
func (Duct) of(f cardFile) card  { return f.Duct }
func (Rig) of(f cardFile) card   { return f.Rig }

func (c Cable) named() error {
	switch {
	case blank(c.Make):
		return missing("cable.make")
	case blank(c.Type):
		return missing("cable.type")
	case c.Reel != "":
		return ofTheJob("cable.reel")
	case c.Lot != "":
		return ofTheJob("cable.lot")
	case c.PrintLegend != "":
		return ofTheJob("cable.print_legend")
	}
	return nil
}

func (d Duct) named() error {
	switch {
	case blank(d.Size):
		return missing("duct.size")
	case d.Lot != "":
		return ofTheJob("duct.lot")
	}
	return nil
}

func (r Rig) named() error {
	if blank(r.Name) {
		return missing("rig.name")
	}
	return nil
}

func missing(key string) error {
	return &entryError{key, "missing", "a card is found by it: write it"}
}

func ofTheJob(key string) error {
	return &entryError{key, "this belongs to one job, not to a card", "take the line out: it is asked with the job"}
}

func blank(s string) bool { return fold(s) == "" }

// fold makes names alike that differ in case and spacing only.
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return unicode.ToLower(r)
	}, s)
}

// SameName reports whether two names differ in case and spacing only.
func SameName(a, b string) bool { return fold(a) == fold(b) }

// found is a card in its file.
type found struct {
	at   string // the file's name
	used time.Time
	card card
}

// Cards reads all cards, the last used first.
func (l *Library) Cards() Cards {
	var all Cards
	for _, kind := range cardKinds {
		cards, unreadable := l.cards(kind)
		if all.Unreadable = append(all.Unreadable, unreadable...); len(unreadable) > 0 {
			all.unreadIn = withFolder(all.unreadIn, kind.folder(), unreadable)
		}
		seen := byName{}
		for _, f := range cards {
			if seen.has(f.card) {
				continue
			}
			seen.add(f)
			switch c := f.card.(type) {
			case Cable:
				all.Cables = append(all.Cables, c)
			case Duct:
				all.Ducts = append(all.Ducts, c)
			case Rig:
				all.Rigs = append(all.Rigs, c)
			case Person:
				all.People = append(all.People, c)
			}
		}
	}
	return all
}

func withFolder(in map[string][]error, folder string, unreadable []error) map[string][]error {
	if in == nil {
		in = map[string][]error{}
	}
	in[folder] = unreadable
	return in
}

// byName are cards to find by their name.
type byName map[string][]found

func (n byName) bucket(c card) string {
	var parts []string
	for _, part := range c.name() {
		parts = append(parts, newName(part).folded)
	}
	return c.table() + "\n" + strings.Join(parts, "\n")
}

func (n byName) add(f found) { n[n.bucket(f.card)] = append(n[n.bucket(f.card)], f) }

func (n byName) find(c card) (found, bool) {
	for _, f := range n[n.bucket(c)] {
		if sameCard(f.card, c) {
			return f, true
		}
	}
	return found{}, false
}

func (n byName) has(c card) bool {
	_, ok := n.find(c)
	return ok
}

func (l *Library) cards(kind card) (all []found, unreadable []error) {
	entries, err := l.store.List(kind.folder())
	if err != nil {
		return nil, []error{store.Plain(err)}
	}
	for _, e := range entries {
		if path.Ext(e.Name) != ".toml" || strings.HasPrefix(e.Name, ".") {
			continue
		}
		f, err := l.readCard(path.Join(kind.folder(), e.Name), kind)
		if err != nil {
			unreadable = append(unreadable, err)
			continue
		}
		all = append(all, f)
	}
	slices.SortFunc(all, func(a, b found) int {
		return cmp.Or(b.used.Compare(a.used), strings.Compare(a.at, b.at))
	})
	return all, unreadable
}

func (l *Library) readCard(at string, kind card) (found, error) {
	data, version, err := l.store.Read(at)
	if err != nil {
		return found{}, store.Plain(err)
	}
	c, err := parseCard(l.store.Where(at), data, kind)
	return found{at, time.Unix(0, version.Time), c}, err
}

// parseCard reads a card as strictly as a record, of which it is one table.
func parseCard(path string, data []byte, kind card) (card, error) {
	var f cardFile
	md, err := decode(path, data, &f)
	if err != nil {
		return nil, err
	}
	for _, other := range cardKinds {
		if table := other.table(); table != kind.table() && md.IsDefined(table) {
			return nil, problem.At(path, data, table, "this does not belong on the card of a "+kind.table(), "take it out, or move the file away")
		}
	}
	r := f.record()
	if err := r.check(path, data, md); err != nil {
		return nil, err
	}
	c := kind.of(f)
	if err := placed(c.named(), path, data); err != nil {
		return nil, err
	}
	return c, nil
}
