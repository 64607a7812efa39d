// Package command is the command line: which commands there are, what each takes, its
// help, and how it ends. What a command says is worked out and worded in ui.
package command

import (
	"cmp"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"

	"brinkmark/profiles"
	"brinkmark/profiles/report"
	"brinkmark/profiles/store/folder"
	"brinkmark/ui"
	"brinkmark/ui/show"
	"brinkmark/ui/words"
)

// Exit codes.
const (
	exitBad     exit = 1 // bad data, or the disk
	exitUsage   exit = 2
	exitNothing exit = 11 // resume: nothing to resume. The others are told by what is shown
)

// exit ends a command with a code and without another word. Code 0 is no error.
type exit int

func (e exit) Error() string { return fmt.Sprintf("exit code %d", int(e)) }

func exitWith(code int) error {
	if code == 0 {
		return nil
	}
	return exit(code)
}

// Program is one run of the program: its streams and what is built into it.
type Program struct {
	In         io.Reader
	Out, Err   io.Writer
	ExampleJob []byte
	Clock      func() time.Time // time.Now where there is none
}

// now is the time of the program's clock.
func (p Program) now() time.Time {
	if p.Clock == nil {
		return time.Now()
	}
	return p.Clock()
}

// Run does what the arguments say and returns the exit code.
func (p Program) Run(args []string) int {
	a := &app{Program: p, cursor: p.Err}
	a.Err = words.Printable(p.Err)
	out := &words.Heard{To: p.Out}
	if !isTerminal(p.Out) {
		a.Out = out
	}
	root := a.tree()
	root.SetArgs(append([]string{}, args...)) // cobra takes nil for the system's own
	c, err := execute(root)
	if answer := (exit(0)); out.Failed != nil && (err == nil || errors.As(err, &answer)) {
		err = fmt.Errorf("what this says could not be written: %w\n  make room, or send it elsewhere, and ask again", out.Failed)
	}
	return int(a.ended(c, err))
}

// execute does what the arguments say; a fault of the program's own is an error, too.
func execute(root *cobra.Command) (c *cobra.Command, err error) {
	defer func() {
		if caught := recover(); caught != nil {
			c, err = root, ui.Fault(caught)
		}
	}()
	return root.ExecuteC()
}

// app is a run of the program with what it was told.
type app struct {
	Program
	cursor      io.Writer // Err as it is, for what moves the cursor
	dir         string    // of the library; empty: not said
	plain, json bool
}

// ended tells of an error and returns the exit code.
func (a *app) ended(c *cobra.Command, err error) exit {
	var code exit
	switch {
	case err == nil:
		return 0
	case errors.As(err, &code):
		return code
	case errors.As(err, &show.WrongUse{}):
		does := "says how it is used"
		if !c.HasParent() || c.Name() == "help" {
			c, does = c.Root(), "lists the commands"
		}
		fmt.Fprintf(a.Err, "brinkmark: %v\n  \"%s --help\" %s\n", err, c.CommandPath(), does)
		return exitUsage
	}
	fmt.Fprintf(a.Err, "brinkmark: %v\n", err)
	return exitBad
}

// libraryVariable names the library's folder where no flag does.
const libraryVariable = "BRINKMARK_LIBRARY"

// open opens the library, for the commands that need one.
func (a *app) open() (*profiles.Library, error) {
	dir := cmp.Or(a.dir, os.Getenv(libraryVariable))
	if dir == "" {
		var err error
		if dir, err = folder.Usual(); err != nil {
			return nil, err
		}
	}
	kept, err := folder.Open(dir)
	if err != nil {
		return nil, err
	}
	return profiles.OpenLibrary(kept, a.now, rand.Reader), nil
}

// named is a file that somebody has named, with those beside it.
func named(path string) (profiles.Source, error) {
	text, err := folder.ReadNamed(path)
	return profiles.Source{Path: path, Text: text, Beside: func(name string) (profiles.Source, error) {
		return named(filepath.Join(filepath.Dir(path), name))
	}}, err
}

// record reads it as a record.
func record(path string) (*profiles.Record, error) {
	from, err := named(path)
	if err != nil {
		return nil, err
	}
	r, _, err := from.Record()
	return r, err
}

// openToRead is open for what looks something up. A library that is not there answers like an
// empty one, so that it is not there is said.
func (a *app) openToRead() (*profiles.Library, error) {
	library, err := a.open()
	if err == nil && library.Missing() {
		fmt.Fprintf(a.Err, "brinkmark: %s\n  see that --library or %s names the right folder\n", show.NoLibrary(library), libraryVariable)
	}
	return library, err
}

// openToBegin is open for a trial, whose first answer makes the library. The usual place is made
// in silence; of one that was named it is said, for the name may be wrong.
func (a *app) openToBegin() (*profiles.Library, error) {
	if cmp.Or(a.dir, os.Getenv(libraryVariable)) == "" {
		return a.open()
	}
	return a.openToRead()
}

// give prints a result in words, or in its outside form when that was asked for.
func (a *app) give(form any, show func(io.Writer)) error {
	if !a.json {
		show(a.Out)
		return nil
	}
	text, err := report.JSON(form)
	if err == nil {
		_, err = fmt.Fprintf(a.Out, "%s\n", text)
	}
	return err
}

// onTerminal reports whether the screens can be drawn and were not declined.
func (a *app) onTerminal() bool {
	return !a.plain && os.Getenv("TERM") != "dumb" && isTerminal(a.In) && isTerminal(a.Out)
}

func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && isatty.IsTerminal(f.Fd())
}
