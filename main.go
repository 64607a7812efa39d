// Brinkmark leads a crew through the trial before a fibre-optic cable is pushed
// into duct, and keeps what the trial found.
package main

import (
	"cmp"
	"crypto/rand"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/mattn/go-isatty"

	_ "brinkmark/ui/background" // first: see there

	"brinkmark/profiles"
	"brinkmark/profiles/report"
	"brinkmark/session"
	"brinkmark/ui"
	"brinkmark/ui/command"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// Exit codes.
const (
	exitDone    = 0
	exitBad     = 1 // bad data, or the disk
	exitUsage   = 2
	exitStop    = 10 // advise: stop with a setting; covers: short check; reach: does not arrive
	exitNothing = 11 // advise: stop without one; resume: nothing to resume; covers: retest
)

//go:embed testdata/jobs/example.toml
var exampleJob []byte

// app is one run of the program: its streams, what it was told, and its library.
type app struct {
	in       io.Reader
	out, err io.Writer
	raw      io.Writer // err as it is, for what moves the cursor
	call     command.Call
	library  *profiles.Library
}

// does is what each command runs; the grammar of all is in commands.
type does struct {
	command.Command
	run func(*app) int
}

var (
	table    []does
	commands []command.Command
)

func init() {
	table = []does{
		{command.Command{Name: "trial", Args: "[FILE] [--plain]", Does: "guided trial; FILE gives the job",
			Help: "Leads through checks, cautions and ladder to an install setting, and saves it as a profile.\nFILE is a job in TOML; without it every value is asked for.\n  brinkmark trial job.toml"}, (*app).trial},
		{command.Command{Name: "resume", Args: "[--plain]", Does: "go on with the unfinished trial",
			Help: "Opens the newest trial that is not closed. Exit code 11 when there is none.\n  brinkmark resume"}, (*app).resume},
		{command.Command{Name: "practice", Args: "[FILE] [--lesson N] [--seed S] [--plain]", Does: "a trial on a simulated rig: no cable, no machine",
			Help: ui.PracticeHelp, Own: ui.PracticeFlags}, (*app).practise},
		{command.Command{Name: "advise", Args: "FILE [--json] [--earlier PROFILE]", Does: "what to try next, or what to install with; writes nothing",
			Help: ui.AdviseHelp, Own: []string{"earlier"}}, withFile((*app).advise)},
		{command.Command{Name: "expect", Args: "FILE [--json]", Does: "what this cable should stand in this duct", Help: ui.ExpectHelp}, withFile((*app).expect)},
		{command.Command{Name: "covers", Args: "FILE [--json]", Does: "does a profile hold for this job", Help: ui.CoversHelp}, withFile((*app).covers)},
		{command.Command{Name: "reach", Args: "FILE [--json]", Does: "how far along the route this push will carry the cable", Help: ui.ReachHelp}, withFile((*app).reach)},
		{command.Command{Name: "cards", Args: "FILE | --template", Does: "cards of cables, ducts, rigs and people from a spreadsheet",
			Help: ui.CardsHelp, Bare: []string{"template"}}, (*app).cards},
		{command.Command{Name: "droop", Args: "--overhang L --drop D --mass M", Does: "bending stiffness from how far a cable hangs down",
			Help: ui.DroopHelp, Own: ui.DroopFlags}, (*app).droop},
		{command.Command{Name: "version", Does: "version of this program", Help: "Prints the version.\n  brinkmark version"}, (*app).version},
	}
	for _, d := range table {
		commands = append(commands, d.Command)
	}
}

func run(args []string, in io.Reader, out, errOut io.Writer) int {
	a := &app{in: in, out: out, err: ui.Printable(errOut), raw: errOut}
	var err error
	if a.call, err = command.Parse(commands, args); err != nil {
		return a.usage(err)
	}
	if a.call.Help {
		command.Help(a.out, commands, a.call.Command, "Finds the strongest push at which the drive gives up before the cable does.")
		return exitDone
	}
	for _, d := range table {
		if d.Name == a.call.Command {
			return d.run(a)
		}
	}
	return a.start()
}

// open opens the library, for the commands that need one.
func (a *app) open() (*profiles.Library, error) {
	dir := cmp.Or(a.call.Library, os.Getenv("BRINKMARK_LIBRARY"))
	if dir == "" {
		var err error
		if dir, err = profiles.DefaultDir(); err != nil {
			return nil, err
		}
	}
	return profiles.OpenLibrary(dir, time.Now, rand.Reader)
}

// openLibrary opens it for the rest of a command. A code below zero means go on.
func (a *app) openLibrary() int {
	if a.library != nil {
		return -1
	}
	var err error
	if a.library, err = a.open(); err != nil {
		return a.fail(err)
	}
	return -1
}

func (a *app) fail(err error) int {
	fmt.Fprintf(a.err, "brinkmark: %v\n", err)
	return exitBad
}

// done is the end of a command that has nothing more to say.
func (a *app) done(err error) int {
	if err != nil {
		return a.fail(err)
	}
	return exitDone
}

func (a *app) usage(err error) int {
	fmt.Fprintf(a.err, "brinkmark: %v\n  \"brinkmark --help\" lists the commands\n", err)
	return exitUsage
}

// withFile makes a command of what needs one FILE.
func withFile(run func(*app, string) int) func(*app) int {
	return func(a *app) int {
		path, err := a.call.One("FILE")
		if err != nil {
			return a.usage(err)
		}
		return run(a, path)
	}
}

func (a *app) version() int {
	if err := a.call.None(); err != nil {
		return a.usage(err)
	}
	_, err := fmt.Fprintln(a.out, "brinkmark "+command.Version())
	return a.done(err)
}

func (a *app) advise(path string) int {
	advice, err := ui.ReadAdvice(path, a.call.Own["earlier"], a.open)
	if err != nil {
		return a.fail(err)
	}
	code := exitNothing
	switch advice.Next().(type) {
	case session.Try:
		code = exitDone
	case session.Install:
		code = exitStop
	}
	return cmp.Or(a.give(advice.Form(), advice.Show), code)
}

func (a *app) expect(path string) int {
	x, err := ui.ReadExpectation(path)
	if err != nil {
		return a.fail(err)
	}
	return a.give(x.Form(), x.Show)
}

func (a *app) covers(path string) int {
	if code := a.openLibrary(); code >= 0 {
		return code
	}
	c, err := ui.ReadCover(a.library, path, time.Now())
	if err != nil {
		return a.fail(err)
	}
	c.Tell(a.err)
	return cmp.Or(a.give(c.Form(), c.Show), c.Code())
}

func (a *app) droop() int {
	if err := a.call.None(); err != nil {
		return a.usage(err)
	}
	reading, err := ui.NewDroopReading(a.call.Own)
	if err != nil {
		return a.usage(err)
	}
	r, err := reading.Solve()
	if err != nil {
		return a.fail(fmt.Errorf("%w\n  measure it again, or mend the figure", err))
	}
	return a.give(r.Form(), r.Show)
}

func (a *app) reach(path string) int {
	if code := a.openLibrary(); code >= 0 {
		return code
	}
	var progress func(done, of int)
	if isTerminal(a.raw) {
		progress = ui.ReachProgress(a.raw)
	}
	r, err := ui.ReadReach(a.library, path, progress)
	if err != nil {
		return a.fail(err)
	}
	return cmp.Or(a.give(r.Form(), r.Show), r.Code())
}

func (a *app) cards() int {
	if a.call.Own["template"] != "" {
		if err := a.call.None(); err != nil {
			return a.usage(err)
		}
		return a.done(ui.PrintCardTemplate(a.out))
	}
	return withFile((*app).importCards)(a)
}

func (a *app) importCards(path string) int {
	if code := a.openLibrary(); code >= 0 {
		return code
	}
	return a.done(ui.ImportCards(a.library, path, a.out))
}

// give prints a result in words, or in its outside form when that was asked for.
func (a *app) give(form any, show func(io.Writer)) int {
	if !a.call.JSON {
		show(a.out)
		return exitDone
	}
	text, err := report.JSON(form)
	if err == nil {
		_, err = fmt.Fprintf(a.out, "%s\n", text)
	}
	return a.done(err)
}

// start is what the program does when told nothing.
func (a *app) start() int {
	if code := a.openLibrary(); code >= 0 {
		return code
	}
	if a.onTerminal() {
		return a.screens(a.keeper(), nil)
	}
	jobs, err := a.library.LastJobs()
	if err != nil {
		return a.fail(err)
	}
	choice, err := ui.AskStart(a.in, a.out, jobs...)
	if err != nil {
		return a.fail(err)
	}
	if i, ok := choice.Last(); ok {
		return a.begin(jobs[i], false)
	}
	switch choice {
	case ui.StartPractice:
		return a.practise()
	case ui.StartReach:
		keeper, page, err := ui.PlanReach(a.keeper(), a.library)
		if err != nil {
			return a.fail(err)
		}
		return a.lead(keeper, page, "")
	case ui.StartExample:
		return a.begin(profiles.Record{}, true)
	case ui.StartNew:
		return a.begin(profiles.Record{Format: profiles.Format}, false)
	case ui.StartResume:
		return a.resume()
	}
	return exitDone
}

func (a *app) trial() int {
	if len(a.call.Args) == 0 {
		return a.begin(profiles.Record{Format: profiles.Format}, false)
	}
	return withFile((*app).trialOf)(a)
}

func (a *app) trialOf(path string) int {
	job, _, err := profiles.ReadFile(path)
	if err != nil {
		return a.fail(err)
	}
	return a.begin(*job, false)
}

func (a *app) practise() int {
	choice := ui.PracticeChoice{Lesson: a.call.Own["lesson"], Seed: a.call.Own["seed"]}
	if len(a.call.Args) > 0 {
		path, err := a.call.One("FILE")
		if err != nil {
			return a.usage(err)
		}
		if choice.Job, _, err = profiles.ReadFile(path); err != nil {
			return a.fail(err)
		}
	}
	if code := a.openLibrary(); code >= 0 {
		return code
	}
	keeper, page, err := ui.Practise(a.keeper(), a.library, choice)
	if wrong := (ui.WrongUse{}); errors.As(err, &wrong) {
		return a.usage(err)
	}
	if err != nil {
		return a.fail(err)
	}
	return a.lead(keeper, page, "")
}

func (a *app) keeper() ui.Keeper { return ui.NewKeeper(a.library, exampleJob) }

func (a *app) begin(job profiles.Record, example bool) int {
	if code := a.openLibrary(); code >= 0 {
		return code
	}
	keeper, told, err := a.keeper().Begin(ui.Begin{Job: job, Example: example})
	if err != nil {
		return a.fail(err)
	}
	return a.lead(keeper, nil, told)
}

func (a *app) resume() int {
	if err := a.call.None(); err != nil {
		return a.usage(err)
	}
	if code := a.openLibrary(); code >= 0 {
		return code
	}
	id, unreadable, err := ui.Unfinished(a.library)
	if err != nil {
		return a.fail(err)
	}
	for _, u := range unreadable {
		fmt.Fprintf(a.err, "brinkmark: passed over: %v\n", u)
	}
	if id == "" {
		fmt.Fprintln(a.out, "There is no unfinished trial.")
		return exitNothing
	}
	keeper, told, err := a.keeper().Resume(id)
	if err != nil {
		return a.fail(err)
	}
	return a.lead(keeper, nil, told)
}

// lead leads a trial to its end, or to where the crew leaves it. first is the page to
// begin with when that is not a trial.
func (a *app) lead(k ui.Keeper, first *ui.Home, told string) int {
	if a.onTerminal() {
		return a.screens(k, first)
	}
	if told != "" {
		fmt.Fprintln(ui.Printable(a.out), told)
	}
	p := ui.Plain{In: a.in, Out: a.out, Now: time.Now, Keeper: k, Home: first}
	err := p.Run()
	if p.Keeper.Close != nil {
		err = errors.Join(err, p.Keeper.Close())
	}
	return a.done(err)
}

// onTerminal reports whether the screens can be drawn and were not declined.
func (a *app) onTerminal() bool {
	return !a.call.Plain && os.Getenv("TERM") != "dumb" && isTerminal(a.in) && isTerminal(a.out)
}

func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && isatty.IsTerminal(f.Fd())
}

func (a *app) screens(k ui.Keeper, first *ui.Home) int {
	options, err := a.library.Options()
	if err != nil {
		fmt.Fprintf(a.err, "brinkmark: %v\n", err)
	}
	return a.done(ui.Run(ui.Screens{Keeper: k, First: first, Now: time.Now, Options: options}, a.in, a.out))
}
