package profiles

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"brinkmark/profiles/problem"
	q "brinkmark/session/quantity"
	"brinkmark/session/reach"
)

// RouteSection is one part of a route as written: a straight with its length and slope,
// or a bend with its radius and plane.
type RouteSection struct {
	Length Quantity[q.Length] `toml:"length,omitempty"`
	Slope  Quantity[q.Angle]  `toml:"slope,omitempty"` // against level, rising is positive
	Bend   Quantity[q.Angle]  `toml:"bend,omitempty"`
	Radius Quantity[q.Length] `toml:"radius,omitempty"`
	Plane  string             `toml:"plane,omitempty"` // left, right, up or down; level where the side is not said
}

var planes = map[string]reach.Plane{"": reach.Level, "level": reach.Level, "up": reach.Up, "down": reach.Down, "left": reach.Left, "right": reach.Right}

// section is the part in SI. Its errors are the engine's, with the key of the part.
func (s RouteSection) section() (reach.Section, *reach.FieldError) {
	fail := func(key, wrong string) (reach.Section, *reach.FieldError) {
		return nil, &reach.FieldError{Field: key, Err: errors.New(wrong)}
	}
	length, straight := s.Length.value.Get()
	bend, bent := s.Bend.value.Get()
	radius, round := s.Radius.value.Get()
	plane, known := planes[s.Plane]
	switch {
	case straight && bent:
		return fail("bend", "a part is straight or a bend: length or bend, not both")
	case !straight && !bent:
		return fail("length", "missing: a straight has a length, a bend has a bend and a radius")
	case straight && round:
		return fail("radius", "a straight has no radius")
	case straight && s.Plane != "":
		return fail("plane", "a straight has a slope and no plane")
	case straight:
		return reach.Straight{Length: length, Slope: s.Slope.value.Or(0)}, nil
	case !round:
		return fail("radius", "missing: a bend has a radius")
	case s.Slope.text != "":
		return fail("slope", "a bend has a plane and no slope: it begins at the slope before it")
	case !known:
		return fail("plane", fmt.Sprintf("%q is none: write left, right, up, down, or level", problem.ShownText(s.Plane)))
	}
	return reach.Bend{Angle: bend, Radius: radius, Plane: plane}, nil
}

// NewRoute returns the route of sections. Its errors have keys such as "section[2].bend".
func NewRoute(sections []RouteSection) (reach.Route, error) {
	all := make([]reach.Section, len(sections))
	for i, s := range sections {
		part, err := s.section()
		if err != nil {
			err.Field = fmt.Sprintf("section[%d].%s", i, err.Field)
			return reach.Route{}, err
		}
		all[i] = part
	}
	return reach.NewRoute(all)
}

// routeColumns are the headings of a route's spreadsheet, in the order of a new one.
var routeColumns = []string{"length", "slope", "bend", "radius", "plane"}

const mostRouteProblems = 50

// ParseRouteCSV reads a route: a line of headings, length, slope, bend, radius, plane, and
// below it one section a line. A value has its unit, "207 m", or its heading has it for the
// whole column, "length (m)". Blank lines, and lines that begin with #, say nothing.
//
// ParseRouteCSV returns every line that cannot be read at once, each a [FileError].
func ParseRouteCSV(path string, data []byte) ([]RouteSection, error) {
	rows, problems := readSheet(path, data, isRouteHeading)
	fail := func(line int, key, wrong, hint string) {
		problems = append(problems, &problem.FileError{Path: path, Line: line, Key: key, Problem: wrong, Hint: hint})
	}
	var columns []routeColumn
	var sections []RouteSection
	var lines []int
	for _, row := range rows {
		switch {
		case row.blank():
		case len(problems) >= mostRouteProblems:
			return nil, errors.Join(problems...)
		case columns == nil:
			if columns = routeHeadings(row); columns == nil {
				fail(row.line, "", "no line of headings, or one that is not known", "the first line is: "+strings.Join(routeColumns, ",")+", a unit may follow each: length (m)")
				return nil, errors.Join(problems...)
			}
		default:
			s, key, wrong := readSection(columns, row)
			if wrong == "" {
				if _, err := s.section(); err != nil {
					key, wrong = err.Field, err.Err.Error()
				}
			}
			if wrong != "" {
				fail(row.line, key, wrong, "mend the line, or take it out")
				continue
			}
			sections, lines = append(sections, s), append(lines, row.line)
		}
	}
	if len(problems) == 0 && len(sections) == 0 {
		fail(0, "", "no sections in it", "each line below the headings is one section")
	}
	if len(problems) == 0 {
		if _, err := NewRoute(sections); err != nil {
			line, key := routeLine(err, lines)
			fail(line, key, err.(*reach.FieldError).Err.Error(), "mend the line")
		}
	}
	if len(problems) > 0 {
		return nil, errors.Join(problems...)
	}
	return sections, nil
}

// isRouteHeading reports whether a cell is a heading of a route's spreadsheet.
func isRouteHeading(cell string) bool {
	name, _, _ := strings.Cut(strings.ToLower(cell), " ")
	return slices.Contains(routeColumns, name)
}

// routeLine is the line of a spreadsheet an error of the engine is about.
func routeLine(err error, lines []int) (line int, key string) {
	field := err.(*reach.FieldError).Field
	var i int
	if _, scanErr := fmt.Sscanf(field, "section[%d].%s", &i, &key); scanErr == nil && i < len(lines) {
		return lines[i], key
	}
	return 0, ""
}

// routeColumn is one column of a route's spreadsheet: its key, and the unit of bare numbers.
type routeColumn struct{ key, unit string }

// routeHeadings returns the columns of a line of headings, nil when one is not known.
func routeHeadings(row sheetRow) []routeColumn {
	columns := []routeColumn{}
	seen := map[string]bool{}
	for _, cell := range row.cells {
		name, unit, _ := strings.Cut(strings.ToLower(strings.TrimSpace(cell)), " ")
		unit = strings.Trim(unit, " ()[]")
		known := name == ""
		for _, key := range routeColumns {
			known = known || name == key && !seen[key]
		}
		if !known {
			return nil
		}
		if name != "" {
			seen[name] = true
		}
		columns = append(columns, routeColumn{name, unit})
	}
	if !seen["length"] && !seen["bend"] {
		return nil
	}
	return columns
}

// readSection reads one line, or says which value is bad and why.
func readSection(columns []routeColumn, row sheetRow) (s RouteSection, key, wrong string) {
	for i, cell := range row.cells {
		cell = strings.TrimSpace(cell)
		if cell == "" {
			continue
		}
		if i >= len(columns) || columns[i].key == "" {
			return s, "", fmt.Sprintf("%q stands below no heading", problem.ShownText(cell))
		}
		if strings.ContainsAny(cell, "0123456789") && !strings.ContainsFunc(cell, isUnitRune) {
			cell += " " + columns[i].unit
		}
		var err error
		switch columns[i].key {
		case "length":
			s.Length, err = NewQuantity[q.Length](cell)
		case "slope":
			s.Slope, err = NewQuantity[q.Angle](cell)
		case "bend":
			s.Bend, err = NewQuantity[q.Angle](cell)
		case "radius":
			s.Radius, err = NewQuantity[q.Length](cell)
		case "plane":
			s.Plane = strings.ToLower(cell)
		}
		if err != nil {
			return s, columns[i].key, problem.PrintableOnly(err.Error())
		}
	}
	return s, "", ""
}

// isUnitRune reports whether a sign of a cell shows that it has a unit of its own.
func isUnitRune(r rune) bool { return !strings.ContainsRune("0123456789.,+-−eE ", r) }
