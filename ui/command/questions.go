package command

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"brinkmark/profiles"
	"brinkmark/ui/ask"
	"brinkmark/ui/show"
	"brinkmark/ui/words"
)

// questionCommands answer one question about one file or reading, and write nothing.
func (a *app) questionCommands() []*cobra.Command {
	return []*cobra.Command{a.adviseCommand(), a.coversCommand(), a.expectCommand(), a.reachCommand(), a.droopCommand()}
}

func (a *app) adviseCommand() *cobra.Command {
	var earlier string
	c := a.jsonFlag(&cobra.Command{
		Use:   "advise FILE",
		Short: "what to try next, or install with; writes nothing",
		Long: `Reads a trial's record and says what comes next.
--earlier names the profile of a trial of the same cable, duct and rig that came
before: its id in the library, or a file. Its pushes are weighed too.

Exit code 0: try. 10: stop with a setting. 11: stop without.`,
		Example:           "brinkmark advise trial.toml --json",
		Args:              one("FILE"),
		ValidArgsFunction: files("toml"),
		RunE: func(_ *cobra.Command, args []string) error {
			from, err := named(args[0])
			if err != nil {
				return err
			}
			before := show.Earlier{ID: earlier}
			if earlier != "" && !profiles.ValidID(earlier) {
				file, err := named(earlier)
				if err != nil {
					return fmt.Errorf("%s: %w", words.OneLine(args[0]), err)
				}
				before = show.Earlier{File: &file}
			}
			advice, err := show.ReadAdvice(from, before, a.openToRead, a.open)
			if err != nil {
				return err
			}
			if err := a.give(advice.Form(), advice.Show); err != nil {
				return err
			}
			return exitWith(advice.Code())
		},
	})
	c.Flags().StringVar(&earlier, "earlier", "", "`PROFILE`: of a trial that came before, by id or file")
	return c
}

func (a *app) coversCommand() *cobra.Command {
	return a.jsonFlag(&cobra.Command{
		Use:   "covers FILE",
		Short: "does a profile hold for this job",
		Long: `Compares a job with every profile of the library: does one hold today? The job
needs cable make, cable type, duct size and cable temperature; whatever else it
says is compared too. FILE is a job in TOML; nothing is written.

A supervisor may write a file rules.toml into the library's folder. It tightens
these rules and never loosens one, it is for this tablet alone, and an exchange
does not carry it. Its lines, each with its usual value:

` + "  " + strings.Join(profiles.RuleLines(), "\n  ") + `

Exit code 0: covered. 10: short check first. 11: a full trial is needed.`,
		Example:           "brinkmark covers job.toml --json",
		Args:              one("FILE"),
		ValidArgsFunction: files("toml"),
		RunE: func(_ *cobra.Command, args []string) error {
			library, err := a.openToRead()
			if err != nil {
				return err
			}
			from, err := named(args[0])
			if err != nil {
				return err
			}
			cover, err := show.ReadCover(library, from, a.now())
			if err != nil {
				return err
			}
			cover.Tell(a.Err)
			if err := a.give(cover.Form(), cover.Show); err != nil {
				return err
			}
			return exitWith(cover.Code())
		},
	})
}

func (a *app) expectCommand() *cobra.Command {
	return a.jsonFlag(&cobra.Command{
		Use:   "expect FILE",
		Short: "what this cable should stand in this duct",
		Long: `Works out what this cable should stand in this duct: where it snakes, coils,
is bent too much and folds, whether it can double back, and how hard the belts
may squeeze. The job needs the cable's outer diameter and the duct's bore;
every other figure adds to what can be told. It is a guide: the trial on the
stub is the proof. FILE is a job in TOML; nothing is written.`,
		Example:           "brinkmark expect job.toml --json",
		Args:              one("FILE"),
		ValidArgsFunction: files("toml"),
		RunE: func(_ *cobra.Command, args []string) error {
			from, err := named(args[0])
			if err != nil {
				return err
			}
			x, err := show.ReadExpectation(from)
			if err != nil {
				return err
			}
			return a.give(x.Form(), x.Show)
		},
	})
}

func (a *app) reachCommand() *cobra.Command {
	return a.jsonFlag(&cobra.Command{
		Use:   "reach FILE",
		Short: "how far along the route the push carries the cable",
		Long: `Works out how far along a route the cable will go with the push it may have:
reach, air and time, a range, where the push is lost, and what would help most.
It needs cable diameter, mass and bending stiffness, the duct's bore, the air,
a friction coefficient, the safe push or a profile's id, and the route in
sections and bends, or as a spreadsheet (length,slope,bend,radius,plane). It is
a guide: friction is never known well. FILE is a run in TOML. Writes nothing.

Exit code 0: reaches the end. 10: does not.`,
		Example:           "brinkmark reach run.toml --json",
		Args:              one("FILE"),
		ValidArgsFunction: files("toml"),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.inLibrary(func(l *profiles.Library) error { return a.reach(l, args[0]) })
		},
	})
}

func (a *app) reach(library *profiles.Library, path string) error {
	var progress func(done, of int)
	if isTerminal(a.cursor) {
		progress = show.ReachProgress(a.cursor)
	}
	from, err := named(path)
	if err != nil {
		return err
	}
	r, err := show.ReadReach(library, from, progress)
	if err != nil {
		return err
	}
	if err := a.give(r.Form(), r.Show); err != nil {
		return err
	}
	return exitWith(r.Code())
}

func (a *app) droopCommand() *cobra.Command {
	var d ask.DroopReading
	c := a.jsonFlag(&cobra.Command{
		Use:   "droop --overhang L --drop D --mass M",
		Short: "bending stiffness from how far a cable hangs down",
		Long: `Clamp a straight piece of cable level with its end hanging free. Let the end
go gently, wait 30 seconds, and read how far it has dropped below the clamp.
Turn the cable half round and do it again after the same 30 seconds: that
takes out the bend the reel has left. A drop of 10 % to 50 % of the overhang
is best.`,
		Example:           `brinkmark droop --overhang "1 m" --drop "250 mm" --mass "118 kg/km"`,
		Args:              none,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE:              func(*cobra.Command, []string) error { return a.droop(d) },
	})
	c.Flags().StringVar(&d.Overhang, "overhang", "", "`L`: from the clamp to the free end, along the cable")
	c.Flags().StringVar(&d.Drop, "drop", "", "`D`: of the free end below the clamp")
	c.Flags().StringVar(&d.Turned, "drop-turned", "", "`D2`: after turning; with a minus when the end rises")
	c.Flags().StringVar(&d.Mass, "mass", "", "`M`: per length, from the data sheet")
	c.Flags().StringVar(&d.Temperature, "temperature", "", "`T`: of the cable, to use the figure on another day")
	return c
}

func (a *app) droop(d ask.DroopReading) error {
	for _, needed := range [][2]string{{"overhang", d.Overhang}, {"drop", d.Drop}, {"mass", d.Mass}} {
		if needed[1] == "" {
			return misused("droop needs --%s", needed[0])
		}
	}
	r, err := d.Solve()
	if err != nil {
		return fmt.Errorf("%w\n  measure it again, or mend the figure", err)
	}
	return a.give(r.Form(), r.Show)
}
