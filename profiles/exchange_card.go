package profiles

import (
	"cmp"
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"

	"brinkmark/profiles/problem"
)

// ExchangedCard is a card that was copied, or that is not the same on both sides. A card
// that is there is never written to.
type ExchangedCard struct {
	Kind, Name string // "rig", and its name fit to be shown
	Fate       CardFate
	Mine, Its  string   // the two files
	Details    []string // what differs, and what only the other says
}

// CardFate is what became of a card in an exchange.
type CardFate int

// The fates.
const (
	CardIn CardFate = iota + 1
	CardOut
	CardDiffers
)

// travelling is a card of any kind on its way: its name, its file's text, and how it
// compares with another of its name.
type travelling interface {
	kind() string
	folderName() string
	shown() string // its name
	key() string   // its name as names are compared
	text() ([]byte, error)
	// against says what the two say otherwise, and what only the other says.
	against(other travelling) []string
}

type carriedCard struct{ card }

func (c carriedCard) kind() string       { return c.table() }
func (c carriedCard) folderName() string { return c.folder() }
func (c carriedCard) shown() string      { return cardName(c.card) }
func (c carriedCard) key() string        { return byName{}.bucket(c.card) }

func (c carriedCard) text() ([]byte, error) {
	text, err := cardText("", c.card)
	return []byte(text), err
}

func (c carriedCard) against(other travelling) []string {
	its := other.(carriedCard).card
	differs, more := compare(c.card, its)
	var said []string
	for _, v := range differs {
		mine := values(c.card)
		i := slices.IndexFunc(mine, func(m cardValue) bool { return m.key == v.key })
		said = append(said, fmt.Sprintf("%s: %s here, %s there", v.key, problem.ShownText(mine[i].text()), problem.ShownText(v.text())))
	}
	for _, v := range more {
		said = append(said, fmt.Sprintf("%s: not said here, %s there", v.key, problem.ShownText(v.text())))
	}
	return said
}

type carriedRoute struct{ RouteCard }

func (carriedRoute) kind() string       { return "route" }
func (carriedRoute) folderName() string { return "routes" }
func (r carriedRoute) shown() string    { return problem.ShownText(r.Name) }
func (r carriedRoute) key() string      { return "route\n" + fold(r.Name) }

func (r carriedRoute) text() ([]byte, error) {
	text, err := routeCardText("", r.Name, r.Sections)
	return []byte(text), err
}

func (r carriedRoute) against(other travelling) []string {
	if slices.Equal(r.Sections, other.(carriedRoute).Sections) {
		return nil
	}
	return []string{fmt.Sprintf("%d sections here, %d there, and they are not the same", len(r.Sections), len(other.(carriedRoute).Sections))}
}

// shelvedCard is a card in its file.
type shelvedCard struct {
	travelling
	at string
}

// cards exchanges the cards of cables, ducts, rigs, people and routes by their names.
func (x *exchange) cards() error {
	mine, err1 := x.cardsOf(x.here)
	its, err2 := x.cardsOf(x.there)
	if err := errors.Join(err1, err2); err != nil {
		return err // nobody knows what is there
	}
	names := make([]string, 0, len(mine)+len(its))
	for _, side := range []map[string]shelvedCard{mine, its} {
		for name := range side {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		a, here := mine[name]
		b, there := its[name]
		switch {
		case here && there:
			if differs := a.against(b.travelling); len(differs) > 0 {
				x.done.Cards = append(x.done.Cards, ExchangedCard{a.kind(), a.shown(), CardDiffers, x.here.at(a.at), x.there.at(b.at), differs})
			}
		case there && x.here.unread[b.folderName()]:
			x.done.Refused = append(x.done.Refused, x.there.odd(b.at, "not taken: a card here cannot be read, and may be the one of "+b.shown(), "mend that card; the next exchange brings this one"))
		case there:
			at, err := x.putCard(x.here, b)
			if err != nil {
				return err
			}
			x.done.Cards = append(x.done.Cards, ExchangedCard{Kind: b.kind(), Name: b.shown(), Fate: CardIn, Mine: x.here.at(at), Its: x.there.at(b.at)})
		default:
			_ = x.give(a.at, func() error {
				at, err := x.putCard(x.there, a)
				if err == nil {
					x.done.Cards = append(x.done.Cards, ExchangedCard{Kind: a.kind(), Name: a.shown(), Fate: CardOut, Mine: x.here.at(a.at), Its: x.there.at(at)})
				}
				return err
			}, nil)
		}
	}
	return nil
}

// putCard writes a card under a name of ours: what the other side calls its file, and
// what it has beside the card's values, stays there.
func (x *exchange) putCard(to *shelf, c shelvedCard) (at string, err error) {
	text, err := c.text()
	if err != nil {
		return "", err
	}
	at, err = freeName(to.store, c.folderName(), c.shown(), c.key())
	if err != nil {
		return "", err
	}
	return at, x.put(to, at, text)
}

// cardsOf reads the cards of a side by name; of two of one name the first file's.
func (x *exchange) cardsOf(s *shelf) (map[string]shelvedCard, error) {
	all, errs := map[string]shelvedCard{}, []error{}
	take := func(at string, c travelling, err error) {
		if err != nil {
			s.unread[path.Dir(at)] = true
			x.done.Refused = append(x.done.Refused, ownError(s.at(at), err))
		} else if _, twice := all[c.key()]; !twice {
			all[c.key()] = shelvedCard{c, at}
		}
	}
	for _, kind := range cardKinds {
		errs = append(errs, x.eachCard(s, kind.folder(), []string{".toml"}, func(at string, data []byte) {
			c, err := parseCard(s.at(at), data, kind)
			take(at, carriedCard{c}, err)
		}))
	}
	errs = append(errs, x.eachCard(s, "routes", []string{".toml", ".csv"}, func(at string, data []byte) {
		r, err := parseRouteFile(at, Source{Path: s.at(at), Text: data})
		take(at, carriedRoute{r}, err)
	}))
	return all, errors.Join(errs...)
}

// eachCard reads the files of a folder that may be cards.
func (x *exchange) eachCard(s *shelf, place string, endings []string, take func(at string, data []byte)) error {
	entries, err := s.listPlain(place, &x.done.Refused)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name, ".") || !slices.Contains(endings, strings.ToLower(path.Ext(e.Name))) {
			continue
		}
		at := path.Join(place, e.Name)
		data, _, err := s.store.Read(at)
		if err != nil {
			s.unread[place] = true
			x.done.Refused = append(x.done.Refused, s.shownAt(at, err))
			continue
		}
		take(at, data)
	}
	return nil
}

// shownAt puts the whole path into an error about a place.
func (s *shelf) shownAt(at string, err error) error {
	if own, ok := err.(*problem.FileError); ok {
		return s.odd(at, own.Problem, cmp.Or(own.Hint, leftAlone))
	}
	return s.odd(at, "cannot be read: "+problem.PrintableOnly(err.Error()), leftAlone)
}
