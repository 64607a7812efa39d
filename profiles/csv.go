package profiles

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"

	"brinkmark/profiles/problem"
)

// A spreadsheet of cards is read as CSV. A line of headings names the keys of the
// values below it, as they stand on a card: "cable.make", "cable.type", "cable.mass".
// Every line below is a card, or several where its headings are of several kinds, up to
// the next line of headings. Blank lines, and lines that begin with #, say nothing.

const (
	maxSheet    = 4 << 20 // bytes; ten thousand cards have half of it
	maxLines    = 20_000
	maxCells    = 500_000
	maxColumns  = 1024 // spreadsheets leave as many empty ones at the end of a line
	maxCell     = 200  // characters
	mostTold    = 1000 // problems
	spreadsheet = "save the spreadsheet as CSV in UTF-8"
)

// sheetRow is one line of a spreadsheet.
type sheetRow struct {
	line  int // in the file, from 1
	cells []string
}

// blank reports whether the line says nothing.
func (r sheetRow) blank() bool {
	for _, cell := range r.cells {
		if cell != "" {
			return strings.HasPrefix(cell, "#")
		}
	}
	return true
}

// readSheet reads the lines of a CSV file with commas, semicolons or tabs between the
// cells, and returns every problem with their form. isHeading tells its headings.
func readSheet(path string, data []byte, isHeading func(cell string) bool) (rows []sheetRow, problems []error) {
	fail := func(line int, wrong, hint string) {
		problems = append(problems, &problem.FileError{Path: path, Line: line, Problem: wrong, Hint: hint})
	}
	if len(data) > maxSheet {
		fail(0, fmt.Sprintf("%d bytes is no list of cards or sections: the most is %d", len(data), maxSheet), "check that this is the right file, or divide it")
		return nil, problems
	}
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		fail(0, "the file is text in UTF-16", spreadsheet)
		return nil, problems
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if bytes.IndexByte(data, '\n') < 0 {
		data = bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))
	}
	if line := firstBadLine(data); line > 0 {
		fail(line, "the file is not text in UTF-8", spreadsheet+", or write 41 F without the degree sign")
		return nil, problems
	}
	for _, most := range []struct {
		what, marks string
		n           int
	}{{"lines", "\n", maxLines}, {"cells", ",", maxCells}, {"cells", ";", maxCells}, {"cells", "\t", maxCells}} {
		if n := bytes.Count(data, []byte(most.marks)); n > most.n {
			fail(0, fmt.Sprintf("%d %s are no list of cards or sections: the most is %d", n, most.what, most.n), "check that this is the right file, or divide it")
			return nil, problems
		}
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma, r.FieldsPerRecord = separator(data, isHeading), -1
	r.TrimLeadingSpace = r.Comma != '\t' // it would take empty cells for space
	for {
		cells, err := r.Read()
		var bad *csv.ParseError
		switch {
		case errors.Is(err, io.EOF), len(problems) >= mostTold:
			return rows, problems
		case errors.As(err, &bad):
			fail(bad.StartLine, "quotation marks that do not fit", "put the whole cell between quotation marks and write those within it twice; write inches as in")
			continue
		case err != nil:
			fail(0, err.Error(), "try again")
			return nil, problems
		}
		line, _ := r.FieldPos(0)
		if len(cells) > maxColumns {
			fail(line, fmt.Sprintf("%d cells in one line: the most is %d", len(cells), maxColumns), "take out the columns that are not needed")
			continue
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		rows = append(rows, sheetRow{line, cells})
	}
}

// separator is what stands between the cells: of comma, semicolon and tab the one that
// takes the first line with several headings apart.
func separator(data []byte, isHeading func(cell string) bool) rune {
	for line := range bytes.Lines(data) {
		for _, c := range []string{",", ";", "\t"} {
			headings := 0
			for _, cell := range strings.Split(string(line), c) {
				if isHeading(strings.Trim(strings.TrimSpace(cell), `"`)) {
					headings++
				}
			}
			if headings > 1 {
				return rune(c[0])
			}
		}
	}
	return ','
}

// isCardHeading reports whether a cell is a heading of a spreadsheet of cards.
func isCardHeading(cell string) bool {
	_, ok := sheetKeys[headingKey(cell)]
	return ok
}

// heading is what stands above a column.
type heading struct {
	key string // "" for none
	bad bool   // told already: what is below it is passed over
}

// sheetCards are the cards of a spreadsheet, or every problem with it.
type sheetCards struct {
	path     string
	headings []heading
	headed   bool // or that they are missing is told
	cards    []sheetCard
	seen     byName
	problems []error
}

// sheetCard is a card and the line it stands in.
type sheetCard struct {
	line int
	card card
}

// parseSheet reads the cards of a spreadsheet. All problems are returned at once, each
// with its line, its column and what to do.
func parseSheet(path string, data []byte) ([]sheetCard, []error) {
	rows, problems := readSheet(path, data, isCardHeading)
	s := &sheetCards{path: path, problems: problems, seen: byName{}}
	for _, row := range rows {
		switch {
		case len(s.problems) >= mostTold:
			return nil, append(s.problems, errors.New("the rest is not looked at: mend these first"))
		case row.blank():
		case isHeadings(row):
			s.head(row)
		default:
			s.read(row)
		}
	}
	slices.SortStableFunc(s.problems, func(a, b error) int { return a.(*problem.FileError).Line - b.(*problem.FileError).Line })
	if len(s.cards) == 0 && len(s.problems) == 0 {
		s.fail(0, "", "no cards in it", "brinkmark cards --template prints a list to fill in")
	}
	return s.cards, s.problems
}

func (s *sheetCards) fail(line int, where, wrong, hint string) {
	s.problems = append(s.problems, &problem.FileError{Path: s.path, Line: line, Key: where, Problem: wrong, Hint: hint})
}

// isHeadings reports whether a line names the columns below it.
func isHeadings(row sheetRow) bool {
	for _, cell := range row.cells {
		if _, ok := sheetKeys[headingKey(cell)]; ok {
			return true
		}
	}
	return false
}

// headingKey is a heading as a key: spreadsheets change case, people put spaces.
func headingKey(text string) string {
	return strings.ReplaceAll(strings.Join(strings.Fields(strings.ToLower(text)), "_"), "._", ".")
}

// head takes a line of headings.
func (s *sheetCards) head(row sheetRow) {
	s.headings, s.headed = make([]heading, len(row.cells)), true
	seen := map[string]int{}
	for i, text := range row.cells {
		if text == "" {
			continue
		}
		key := headingKey(text)
		s.headings[i] = heading{key, true}
		where := "column " + letters(i)
		ofJob, known := sheetKeys[key]
		first, twice := seen[key]
		switch {
		case !known:
			s.fail(row.line, where, fmt.Sprintf("%q is no heading", problem.ShownText(text)), nearHeading(key))
		case ofJob:
			s.fail(row.line, where+", "+key, "this belongs to one job, not to a card", "take the column out: it is asked with the job")
		case twice:
			s.fail(row.line, where+", "+key, "this heading stands above column "+letters(first)+" too", "take one of the two out")
		default:
			s.headings[i].bad, seen[key] = false, i
		}
	}
}

func nearHeading(key string) string {
	near, least := "", 3
	for _, k := range sheetKeyOrder {
		if len(key) >= 2*len(k) {
			continue
		}
		if d := distance([]rune(key), []rune(k)); d < least {
			near, least = k, d
		}
	}
	if near != "" {
		return "write " + near + " if that is meant, or take the column out"
	}
	return "brinkmark cards --template prints those that are known; a heading of your own begins with #"
}

// read takes a line of values.
func (s *sheetCards) read(row sheetRow) {
	if s.headings == nil {
		if !s.headed {
			s.fail(row.line, "", "values without headings above them", "begin with a line such as: cable.make, cable.type, cable.mass")
		}
		s.headed = true
		return
	}
	f, tables, sound := cardFile{Format: Format}, map[string]bool{}, true
	for i, text := range row.cells {
		switch {
		case text == "":
		case i >= len(s.headings) || s.headings[i].key == "":
			s.fail(row.line, "column "+letters(i), fmt.Sprintf("%q stands under no heading", problem.ShownText(text)), "write a heading above it, or empty the cell; a cell that holds the separator needs quotation marks")
			sound = false
		case s.headings[i].bad:
			sound = false
		default:
			key := s.headings[i].key
			table, _, _ := strings.Cut(key, ".")
			tables[table] = true
			if wrong := f.set(key, text); wrong != "" {
				s.fail(row.line, s.where(key), wrong, "write it as in \""+sheetExamples[key]+"\"")
				sound = false
			}
		}
	}
	if sound {
		s.take(row.line, f, tables)
	}
}

// take takes the cards of a line whose values are sound each by itself.
func (s *sheetCards) take(line int, f cardFile, tables map[string]bool) {
	for _, kind := range cardKinds {
		if !tables[kind.table()] {
			continue
		}
		c := kind.of(f)
		_, err := cardText("", c)
		var bad *problem.FileError
		if errors.As(err, &bad) {
			s.fail(line, s.where(bad.Key), bad.Problem, bad.Hint)
			continue
		}
		if err != nil {
			s.fail(line, kind.table(), err.Error(), "write the line anew")
			continue
		}
		s.once(sheetCard{line, c})
	}
}

// where is a key with its column, if it has one here.
func (s *sheetCards) where(key string) string {
	for i, h := range s.headings {
		if h.key == key {
			return "column " + letters(i) + ", " + key
		}
	}
	return key
}

// once takes a card unless the same stands above already. Two that differ under one name
// are a mistake.
func (s *sheetCards) once(c sheetCard) {
	earlier, ok := s.seen.find(c.card)
	if !ok {
		s.seen.add(found{at: fmt.Sprint(c.line), card: c.card}) // found in that line
		s.cards = append(s.cards, c)
		return
	}
	differs, more := compare(earlier.card, c.card)
	if _, less := compare(c.card, earlier.card); len(differs)+len(more)+len(less) > 0 {
		s.fail(c.line, c.card.table(), fmt.Sprintf("%q stands in line %s too, with other values", problem.Clip(cardName(c.card)), earlier.at), "take one of the two out")
	}
}

// cardName is a card's name on one line, fit to be shown.
func cardName(c card) string { return problem.PrintableOnly(strings.Join(c.name(), ", ")) }

// letters are a column's name in a spreadsheet: A, B, … Z, AA, AB.
func letters(column int) string {
	name := ""
	for n := column + 1; n > 0; n = (n - 1) / 26 {
		name = string(rune('A'+(n-1)%26)) + name
	}
	return name
}

// unshowable reports whether a text has characters that a screen must not be given.
func unshowable(text string) bool {
	return strings.ContainsFunc(text, func(r rune) bool { return !unicode.IsPrint(r) })
}
