package profiles

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
)

// SaveCards writes the cards of a job's cable, duct, rig and people, as far as they
// have names, with the job's later changes. What a card of the same name knows beyond
// the job stays on it.
func (l *Library) SaveCards(r Record) error {
	r, _, err := r.current()
	if err != nil {
		return err
	}
	cable, duct := r.Cable, r.Duct
	cable.Reel, cable.Lot, cable.PrintLegend, duct.Lot = "", "", "", ""
	return l.store.Alone(func() error {
		errs := []error{l.saveCard(cable), l.saveCard(duct), l.saveCard(r.Rig)}
		for _, p := range r.People.persons() {
			errs = append(errs, l.saveCard(p))
		}
		return errors.Join(errs...)
	})
}

// saveCard writes one card. The caller holds the library's lock.
func (l *Library) saveCard(c card) error {
	if c.named() != nil {
		return nil
	}
	if err := l.store.Tidy(c.folder(), l.now()); err != nil {
		return store.Plain(err)
	}
	all, _ := l.cards(c)
	at, err := l.freeCard(c)
	for _, f := range all {
		if sameCard(f.card, c) {
			at, c, err = f.at, merged(f.card, c), nil
			break
		}
	}
	if err != nil {
		return err
	}
	return l.writeCard(at, c)
}

// writeCard puts a card in its file, once it is sure that it can be read again.
func (l *Library) writeCard(at string, c card) error {
	text, err := cardText(l.store.Where(at), c)
	if err != nil {
		return fmt.Errorf("not written: %w", err)
	}
	return store.Plain(l.put(at, []byte(text)))
}

// cardText is a card as its file, which is sure to be read again: of a record without
// entries only the format and the card's table are ever written. path is used in errors
// only.
func cardText(path string, c card) (string, error) {
	text, err := encode(map[string]any{"format": Format, c.table(): c})
	if err == nil {
		_, err = parseCard(path, []byte(text), c)
	}
	return text, err
}

// merged returns a card with what the older one of its name knows beyond it. A rig
// whose push control is another is a rig of its own.
func merged(old, c card) card {
	was, is := old.file().Rig, c.file().Rig
	if !SameName(was.PushControl, is.PushControl) || was.pushUnit() != is.pushUnit() {
		return c
	}
	both, ok := filled(c, old)
	if !ok {
		return c
	}
	return both
}

func readable(c card) bool {
	_, err := cardText("", c)
	return err == nil
}

// freeCard returns a name for a new card. See [freeName].
func (l *Library) freeCard(c card) (string, error) {
	return freeName(l.store, c.folder(), strings.Join(c.name(), " "), key(c))
}

// freeName returns a name for a new card in a folder: made from the card's name
// where that leaves something and nothing else has it, with a mark of its key besides
// where not.
func freeName(in store.Store, folder, name, key string) (string, error) {
	base, sum := slug(name), fmt.Sprintf("%x", sha256.Sum256([]byte(key)))[:12]
	at := func(name string) string { return path.Join(folder, name+".toml") }
	for _, try := range []string{base, strings.TrimPrefix(base+"-"+sum, "-")} {
		if try == "" {
			continue
		}
		if _, err := in.Look(at(try)); errors.Is(err, fs.ErrNotExist) {
			return at(try), nil
		}
	}
	return "", &problem.FileError{Path: in.Where(at(base + "-" + sum)), Problem: "this card cannot be read, so it is not written over", Hint: "mend the card, or move it away"}
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
