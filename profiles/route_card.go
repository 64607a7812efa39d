package profiles

import (
	"cmp"
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"brinkmark/profiles/problem"
	"brinkmark/profiles/store"
)

var errNoRoute = errors.New("the library has no route of this name")

// RouteCard is a route the library knows.
type RouteCard struct {
	Name     string
	Sections []RouteSection

	at   string
	used time.Time
}

// routeFile is a route's card as its file.
type routeFile struct {
	Format   int            `toml:"format"`
	Route    routeName      `toml:"route"`
	Sections []RouteSection `toml:"section"`
}

type routeName struct {
	Name string `toml:"name"`
}

const routeFolder = "routes"

// Routes returns the routes of the library, cards and spreadsheets, the last saved first, and what cannot be read,
// each error naming its file.
func (l *Library) Routes() (routes []RouteCard, unreadable []error) {
	entries, err := l.store.List(routeFolder)
	if err != nil {
		return nil, []error{store.Plain(err)}
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name, ".") || !slices.Contains([]string{".toml", ".csv"}, strings.ToLower(path.Ext(e.Name))) {
			continue
		}
		card, err := l.readRoute(path.Join(routeFolder, e.Name))
		if err != nil {
			unreadable = append(unreadable, err)
			continue
		}
		routes = append(routes, card)
	}
	slices.SortStableFunc(routes, func(a, b RouteCard) int { return cmp.Or(b.used.Compare(a.used), strings.Compare(a.at, b.at)) })
	return routes, unreadable
}

// readRoute reads a route's card, or a spreadsheet that has its file's name.
func (l *Library) readRoute(at string) (RouteCard, error) {
	data, version, err := l.store.Read(at)
	if err != nil {
		return RouteCard{}, store.Plain(err)
	}
	card, err := parseRouteFile(at, Source{Path: l.store.Where(at), Text: data})
	card.at, card.used = at, time.Unix(0, version.Time)
	return card, err
}

// parseRouteFile reads the card or the spreadsheet, as its name says.
func parseRouteFile(at string, from Source) (card RouteCard, err error) {
	ext := path.Ext(at)
	if !strings.EqualFold(ext, ".csv") {
		return parseRoute(from.Path, from.Text)
	}
	card.Name = strings.TrimSuffix(path.Base(at), ext)
	card.Sections, err = ParseRouteCSV(from.Path, from.Text)
	return card, err
}

func parseRoute(path string, data []byte) (RouteCard, error) {
	var file routeFile
	if err := decodeStrictly(path, data, &file); err != nil {
		return RouteCard{}, err
	}
	f := ReachFile{from: Source{Path: path, Text: data}}
	switch {
	case file.Format != Format:
		return RouteCard{}, f.fail("format", "not known to this version", fmt.Sprintf("write \"format = %d\" on the first line", Format))
	case blank(file.Route.Name):
		return RouteCard{}, f.fail("route.name", "missing", "a card is found by it: write it")
	}
	if _, err := NewRoute(file.Sections); err != nil {
		return RouteCard{}, f.engineError(err)
	}
	return RouteCard{Name: file.Route.Name, Sections: file.Sections}, nil
}

// routeCard returns the sections of the route of a name.
func (l *Library) routeCard(name string) ([]RouteSection, error) {
	routes, unreadable := l.Routes()
	for _, r := range routes {
		if SameName(r.Name, name) {
			return r.Sections, nil
		}
	}
	if len(unreadable) > 0 { // it may be the one
		return nil, unreadable[0]
	}
	return nil, errNoRoute
}

const mostRouteName = 60

// SaveRoute writes a route's card and returns where it is, once it can be read again. It
// writes over no other route: saving the same once more changes nothing, and a name that
// another route has is an error.
func (l *Library) SaveRoute(name string, sections []RouteSection) (where string, err error) {
	name = strings.TrimSpace(name)
	switch {
	case blank(name):
		return "", errors.New("route: it has no name\n  give one it is found by")
	case !utf8.ValidString(name) || problem.PrintableOnly(name) != name || utf8.RuneCountInString(name) > mostRouteName:
		return "", fmt.Errorf("route: %q is no name\n  give one of at most %d letters", problem.ShownText(name), mostRouteName)
	}
	err = l.store.Alone(func() (err error) { where, err = l.saveRoute(name, sections); return err })
	return where, err
}

func (l *Library) saveRoute(name string, sections []RouteSection) (where string, err error) {
	if err := l.store.Tidy(routeFolder, l.now()); err != nil {
		return "", store.Plain(err)
	}
	routes, _ := l.Routes()
	for _, r := range routes {
		switch {
		case !SameName(r.Name, name):
		case slices.Equal(r.Sections, sections):
			return l.store.Where(r.at), nil
		default:
			return "", fmt.Errorf("route: the library has another one named %s\n  give this one another name", problem.PrintableOnly(r.Name))
		}
	}
	return l.writeRoute(name, sections)
}

func (l *Library) writeRoute(name string, sections []RouteSection) (where string, err error) {
	at, err := freeName(l.store, routeFolder, name, fold(name))
	if err != nil {
		return "", err
	}
	where = l.store.Where(at)
	text, err := routeCardText(where, name, sections)
	if err != nil {
		return "", fmt.Errorf("not written: %w", err)
	}
	return where, store.Plain(l.put(at, []byte(text)))
}

// routeCardText is a route's card as its file, which is sure to be read again. path is used
// in errors only.
func routeCardText(path, name string, sections []RouteSection) (string, error) {
	text, err := encode(routeFile{Format, routeName{name}, sections})
	if err == nil {
		_, err = parseRoute(path, []byte(text))
	}
	return text, err
}
