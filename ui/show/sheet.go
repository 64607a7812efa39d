package show

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
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

// WriteSheet writes the hand-over sheet of a profile.
func WriteSheet(l *profiles.Library, id string, progress func(done, total int), out io.Writer) error {
	if !profiles.ValidID(id) {
		return WrongUse{fmt.Sprintf("%q is no profile id: ids are 26 capital letters and digits", words.Clean(id))}
	}
	v, err := l.Review(progress)
	if err != nil {
		return err
	}
	p, err := v.Find(id)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("profile %s is not in this library, %s\n  \"brinkmark review --csv\" lists the ids", id, l.Where())
	}
	if err != nil {
		return err
	}
	record, _, err := p.Record()
	if err != nil {
		return err
	}
	holds, err := l.Holds(id)
	if err != nil && !slices.ContainsFunc(p.Exceptions, func(e profiles.Exception) bool { return e.Kind == profiles.EditedSinceSealed }) {
		return err // one that was edited holds for nothing, and the sheet says so
	}
	runs, err := l.RunLines(id)
	if err != nil {
		return err
	}
	return report.Sheet(out, report.SheetOf{Profile: record, Listed: p, Holds: holds, Run: runs, Printed: l.Now()})
}
