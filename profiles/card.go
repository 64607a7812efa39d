package profiles

import (
	"cmp"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/BurntSushi/toml"
)

// Cards are the cables, ducts and rigs this library knows, the last used first. A
// cable's reel, lot and print legend and a duct's lot are of one job and on no card.
type Cards struct {
	Cables []Cable
	Ducts  []Duct
	Rigs   []Rig
}

// card is the one table of a card's file.
type card interface {
	table() string  // "cable"; its folder has an s more
	named() error   // what its name lacks, by key
	name() []string // what two cards must differ in
	record() Record
	of(Record) card
}

func (Cable) table() string { return "cable" }
func (Duct) table() string  { return "duct" }
func (Rig) table() string   { return "rig" }

func (c Cable) name() []string { return []string{c.Make, c.Type} }
func (d Duct) name() []string {
	if d.Lining == 0 {
		return []string{d.Size}
	}
	return []string{d.Size, d.Lining.String()}
}
func (r Rig) name() []string { return []string{r.Name} }

// key is a card's name without case and spacing.
func key(c card) string {
	var parts []string
	for _, part := range c.name() {
		parts = append(parts, fold(part))
	}
	return strings.Join(parts, "\n")
}

func (c Cable) record() Record { return Record{Format: Format, Cable: c} }
func (d Duct) record() Record  { return Record{Format: Format, Duct: d} }
func (r Rig) record() Record   { return Record{Format: Format, Rig: r} }

func (Cable) of(r Record) card { return r.Cable }
func (Duct) of(r Record) card  { return r.Duct }
func (Rig) of(r Record) card   { return r.Rig }

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
	path string
	used time.Time
	card card
}

// Cards reads all cards, the last used first. Those that cannot be read are left
// out and named in the errors.
func (l *Library) Cards() (Cards, []error) {
	cables, errs1 := l.cards(Cable{})
	ducts, errs2 := l.cards(Duct{})
	rigs, errs3 := l.cards(Rig{})
	return Cards{each[Cable](cables), each[Duct](ducts), each[Rig](rigs)}, slices.Concat(errs1, errs2, errs3)
}

// each returns one card of every name.
func each[T card](all []found) []T {
	var out []T
	seen := map[string]bool{}
	for _, f := range all {
		if k := key(f.card); !seen[k] {
			seen[k] = true
			out = append(out, f.card.(T))
		}
	}
	return out
}

func (l *Library) cardFolder(kind card) string { return filepath.Join(l.dir, kind.table()+"s") }

func (l *Library) cards(kind card) (all []found, unreadable []error) {
	dir := l.cardFolder(kind)
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, []error{plainDiskError(err)}
	}
	for _, e := range entries {
		if filepath.Ext(e.Name()) != ".toml" || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		f, err := readCard(filepath.Join(dir, e.Name()), kind)
		if err != nil {
			unreadable = append(unreadable, err)
			continue
		}
		all = append(all, f)
	}
	slices.SortFunc(all, func(a, b found) int {
		return cmp.Or(b.used.Compare(a.used), strings.Compare(a.path, b.path))
	})
	return all, unreadable
}

func readCard(path string, kind card) (found, error) {
	data, err := osDisk{}.read(path)
	if err != nil {
		return found{}, plainDiskError(err)
	}
	info, err := os.Lstat(path)
	if err != nil {
		return found{}, plainDiskError(err)
	}
	c, err := parseCard(path, data, kind)
	return found{path, info.ModTime(), c}, err
}

// parseCard reads a card as strictly as a record, of which it is one table.
func parseCard(path string, data []byte, kind card) (card, error) {
	r, err := Parse(path, data)
	if err != nil {
		return nil, err
	}
	var tables map[string]any
	if _, err := toml.Decode(string(data), &tables); err != nil {
		return nil, tomlError(path, data, err)
	}
	for table := range tables {
		if table != "format" && table != kind.table() {
			line, column := locate(data, table)
			return nil, &FileError{path, line, column, clip(table), "this does not belong on the card of a " + kind.table(), "take it out, or move the file away"}
		}
	}
	c := kind.of(*r)
	var bad *entryError
	if errors.As(c.named(), &bad) {
		line, column := locate(data, bad.key)
		return nil, &FileError{path, line, column, bad.key, bad.problem, bad.hint}
	}
	return c, nil
}

// SaveCards writes the cards of a job's cable, duct and rig, as far as they have
// names. What a card of the same name knows beyond the job stays on it.
func (l *Library) SaveCards(r Record) error {
	cable, duct := r.Cable, r.Duct
	cable.Reel, cable.Lot, cable.PrintLegend, duct.Lot = "", "", "", ""
	if err := makeFolder(osDisk{}, l.dir); err != nil {
		return err
	}
	lock, err := lockLibrary(l.dir)
	if err != nil {
		return err
	}
	return errors.Join(l.saveCard(cable), l.saveCard(duct), l.saveCard(r.Rig), lock.Unlock())
}

// saveCard writes one card. The caller holds the library's lock.
func (l *Library) saveCard(c card) error {
	if c.named() != nil {
		return nil
	}
	dir := l.cardFolder(c)
	if err := makeFolder(osDisk{}, dir); err != nil {
		return err
	}
	if err := cleanTemps(osDisk{}, dir, l.now()); err != nil {
		return plainDiskError(err)
	}
	all, _ := l.cards(c)
	path, err := freePath(dir, c)
	for _, f := range all {
		if key(f.card) == key(c) {
			path, c, err = f.path, merged(f.card, c), nil
			break
		}
	}
	if err != nil {
		return err
	}
	text, err := cardText(c)
	if err != nil {
		return err
	}
	if _, err := parseCard(path, []byte(text), c); err != nil {
		return fmt.Errorf("not written: %w", err)
	}
	return replaceFile(osDisk{}, path, []byte(text))
}

// cardText is a card as its file: of a record without entries only the format and
// the card's table are ever written.
func cardText(c card) (string, error) {
	return encode(map[string]any{"format": Format, c.table(): c})
}

// merged returns a card with what the older one of its name knows beyond it. A rig
// whose push control is another is a rig of its own.
func merged(old, c card) card {
	was, is := old.record().Rig, c.record().Rig
	if !SameName(was.PushControl, is.PushControl) || was.pushUnit() != is.pushUnit() {
		return c
	}
	text, err := c.record().Text()
	if err != nil {
		return c
	}
	both := old.record()
	if _, err := toml.Decode(text, &both); err != nil || !readable(c.of(both)) {
		return c
	}
	return c.of(both)
}

func readable(c card) bool {
	text, err := cardText(c)
	if err == nil {
		_, err = parseCard("", []byte(text), c)
	}
	return err == nil
}

// freePath returns a file name for a new card: made from its name where that leaves
// something and nothing else has it, with a mark of the name besides where not.
func freePath(dir string, c card) (string, error) {
	base, sum := slug(strings.Join(c.name(), " ")), fmt.Sprintf("%x", sha256.Sum256([]byte(key(c))))[:12]
	for _, try := range []string{base, strings.TrimPrefix(base+"-"+sum, "-")} {
		path := filepath.Join(dir, try+".toml")
		if _, err := os.Lstat(path); try != "" && errors.Is(err, fs.ErrNotExist) {
			return path, nil
		}
	}
	return "", &FileError{Path: filepath.Join(dir, base+"-"+sum+".toml"), Problem: "this card cannot be read, so it is not written over", Hint: "mend the card, or move it away"}
}

// deviceNames are no file names on Windows, whatever their ending.
var deviceNames = []string{"con", "prn", "aux", "nul", "com", "lpt"}

// slug makes a file name of lower-case ASCII letters, digits and hyphens from a
// name, or "" when nothing fit for one is left.
func slug(name string) string {
	const most = 48
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case b.Len() >= most:
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	s := strings.TrimRight(b.String(), "-")
	if slices.Contains(deviceNames, strings.TrimRight(s, "0123456789")) {
		return ""
	}
	return s
}
