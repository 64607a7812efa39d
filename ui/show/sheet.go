package show

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"

	"brinkmark/profiles"
	"brinkmark/profiles/report"
	"brinkmark/ui/words"
)

// SheetHelp is what the sheet command is and does.
const SheetHelp = `Writes the hand-over sheet of a profile: one HTML page for people without this
program, to print on A4 or Letter or to send. Key, setting, what it holds for
and when it must be checked again, all pushes, checks, people, the runs made
with it, and what a supervisor should look at. It fetches nothing and needs no
colours. Without -o it is sheet-ID.html in the current folder; -o - writes it
out here. A file that is there is never written over.`

// SheetAsked says which sheet is wanted, and where.
type SheetAsked struct {
	ID   string
	File string // "" in the current folder, "-" to the output
}

// WriteSheet writes the hand-over sheet of a profile, and says where.
func WriteSheet(l *profiles.Library, asked SheetAsked, progress func(done, total int), out io.Writer) error {
	if !profiles.ValidID(asked.ID) {
		return WrongUse{fmt.Sprintf("%q is no profile id: ids are 26 capital letters and digits", words.Clean(asked.ID))}
	}
	v, err := l.Review(progress)
	if err != nil {
		return err
	}
	p, err := v.Find(asked.ID)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("profile %s is not in this library, %s\n  \"brinkmark review --csv\" lists the ids", asked.ID, l.Dir())
	}
	if err != nil {
		return err
	}
	record, err := p.Record()
	if err != nil {
		return err
	}
	holds, err := l.Holds(asked.ID)
	if err != nil && !slices.ContainsFunc(p.Exceptions, func(e profiles.Exception) bool { return e.Kind == profiles.EditedSinceSealed }) {
		return err // one that was edited holds for nothing, and the sheet says so
	}
	runs, err := l.RunLines(asked.ID)
	if err != nil {
		return err
	}
	var page bytes.Buffer
	if err := report.Sheet(&page, report.SheetOf{Profile: record, Listed: p, Holds: holds, Run: runs, Printed: l.Now()}); err != nil {
		return err
	}
	if asked.File == "-" {
		_, err := out.Write(page.Bytes())
		return err
	}
	path := cmp.Or(asked.File, "sheet-"+asked.ID+".html")
	err = profiles.CreateFile(path, page.Bytes())
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already, and nothing is written over\n  name another file with -o, or move that one away", words.OneLine(path))
	}
	if err != nil {
		return fmt.Errorf("sheet %w", err)
	}
	if whole, err := filepath.Abs(path); err == nil {
		path = whole
	}
	_, err = fmt.Fprintf(words.Printable(out), "Sheet written: %s\n", words.OneLine(path))
	return err
}
