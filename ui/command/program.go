package command

import (
	"os"
	"runtime"

	"github.com/spf13/cobra"

	"brinkmark/profiles"
	"brinkmark/ui/show"
)

// programCommands are about the program itself.
func (a *app) programCommands() []*cobra.Command {
	return []*cobra.Command{a.doctorCommand(), a.versionCommand(), a.completionCommand(), a.manCommand()}
}

func (a *app) doctorCommand() *cobra.Command {
	return a.jsonFlag(&cobra.Command{
		Use:   "doctor",
		Short: "can the program work well on this device",
		Long: `Looks at the terminal, the clock and the library, and says of each whether it is
ok, worth a look, or wrong, and then what to do. It asks the terminal nothing,
changes nothing and makes nothing.

Exit code 0: nothing is wrong. 1: something is.`,
		Example:           "brinkmark doctor --json",
		Args:              none,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(*cobra.Command, []string) error {
			c := a.checkUp()
			if err := a.give(c, c.Show); err != nil {
				return err
			}
			return exitWith(c.Code())
		},
	})
}

// checkUp looks at where the program runs.
func (a *app) checkUp() show.Checkup {
	b := builtAs()
	s := show.Surroundings{Program: "brinkmark " + b.Version + ", " + b.Platform, System: runtime.GOOS, Env: os.Getenv, Now: a.now(), LibraryFrom: a.libraryFrom()}
	s.LookAt(a.Out)
	library, err := a.open()
	if err != nil {
		return show.CheckUp(s, profiles.Health{Problem: err})
	}
	if options, err := library.Options(); err == nil {
		s.ASCII = options.ASCII
	}
	return show.CheckUp(s, library.Health(a.recordProgress()))
}

// libraryFrom says who named the library's folder.
func (a *app) libraryFrom() string {
	switch {
	case a.dir != "":
		return "--library"
	case os.Getenv(libraryVariable) != "":
		return libraryVariable
	}
	return "the usual place"
}
