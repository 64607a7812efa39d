package profiles

import (
	"brinkmark/profiles/problem"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

var errNoRoute = errors.New("the library has no route of this name")

// RouteCard is a route the library knows.
type RouteCard struct {
	Name     string
	Sections []RouteSection

	path string
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

func (l *Library) routeFolder() string { return filepath.Join(l.dir, "routes") }

// Routes returns the routes of the library, cards and spreadsheets, the last saved first, and what cannot be read,
// each error naming its file.
func (l *Library) Routes() (routes []RouteCard, unreadable []error) {
	entries, err := os.ReadDir(l.routeFolder())
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, []error{plainDiskError(err)}
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") || !slices.Contains([]string{".toml", ".csv"}, strings.ToLower(filepath.Ext(e.Name()))) {
			continue
		}
		card, err := readRoute(filepath.Join(l.routeFolder(), e.Name()))
		if err != nil {
			unreadable = append(unreadable, err)
			continue
		}
		routes = append(routes, card)
	}
	slices.SortStableFunc(routes, func(a, b RouteCard) int { return cmp.Or(b.used.Compare(a.used), strings.Compare(a.path, b.path)) })
	return routes, unreadable
}

// readRoute reads a route's card, or a spreadsheet that has its file's name.
func readRoute(path string) (RouteCard, error) {
	data, err := readFile(osDisk{}, path)
	if err != nil {
		return RouteCard{}, plainDiskError(err)
	}
	info, err := os.Lstat(path)
	if err != nil {
		return RouteCard{}, plainDiskError(err)
	}
	card, err := parseRouteFile(path, data)
	card.path, card.used = path, info.ModTime()
	return card, err
}

// parseRouteFile reads the card or the spreadsheet, as the path says.
func parseRouteFile(path string, data []byte) (card RouteCard, err error) {
	ext := filepath.Ext(path)
	if !strings.EqualFold(ext, ".csv") {
		return parseRoute(path, data)
	}
	card.Name = strings.TrimSuffix(filepath.Base(path), ext)
	card.Sections, err = ParseRouteCSV(path, data)
	return card, err
}

func parseRoute(path string, data []byte) (RouteCard, error) {
	var file routeFile
	if err := decodeStrictly(path, data, &file); err != nil {
		return RouteCard{}, err
	}
	f := ReachFile{path: path, data: data}
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
func (l *Library) SaveRoute(name string, sections []RouteSection) (path string, err error) {
	name = strings.TrimSpace(name)
	switch {
	case blank(name):
		return "", errors.New("route: it has no name\n  give one it is found by")
	case !utf8.ValidString(name) || problem.PrintableOnly(name) != name || utf8.RuneCountInString(name) > mostRouteName:
		return "", fmt.Errorf("route: %q is no name\n  give one of at most %d letters", problem.ShownText(name), mostRouteName)
	}
	if err := l.makeFolder(l.dir); err != nil {
		return "", err
	}
	lock, err := lockLibrary(l.dir)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, lock.Unlock()) }()
	if err := l.makeFolder(l.routeFolder()); err != nil {
		return "", err
	}
	if err := cleanTemps(osDisk{}, l.routeFolder(), l.now()); err != nil {
		return "", plainDiskError(err)
	}
	routes, _ := l.Routes()
	for _, r := range routes {
		switch {
		case !SameName(r.Name, name):
		case slices.Equal(r.Sections, sections):
			return r.path, nil
		default:
			return "", fmt.Errorf("route: the library has another one named %s\n  give this one another name", problem.PrintableOnly(r.Name))
		}
	}
	return l.writeRoute(name, sections)
}

func (l *Library) writeRoute(name string, sections []RouteSection) (string, error) {
	path, err := freeName(l.routeFolder(), name, fold(name), func(path string) bool {
		_, err := os.Lstat(path)
		return errors.Is(err, fs.ErrNotExist)
	})
	if err != nil {
		return "", err
	}
	text, err := routeCardText(path, name, sections)
	if err != nil {
		return "", fmt.Errorf("not written: %w", err)
	}
	return path, replaceFile(osDisk{}, path, []byte(text))
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
