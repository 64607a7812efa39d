// Brinkmark leads a crew through the trial before a fibre-optic cable is pushed
// into duct, and keeps what the trial found.
package main

import (
	"cmp"
	"crypto/rand"
	_ "embed"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"github.com/mattn/go-isatty"

	_ "brinkmark/ui/background" // first: see there

	"brinkmark/profiles"
	"brinkmark/profiles/report"
	"brinkmark/session"
	"brinkmark/ui"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// Exit codes.
const (
	exitDone     = 0
	exitBad      = 1 // bad data, or the disk
	exitUsage    = 2
	exitStop     = 10 // advise: stop with a setting; covers: short check
	exitNothing  = 11 // advise: stop without one; resume: nothing to resume; covers: retest
	maxHandInput = 16 << 20
)

//go:embed testdata/jobs/example.toml
var exampleJob []byte

// app is one run of the program: its streams and its library.
type app struct {
	in       io.Reader
	out, err io.Writer
	dir      string // of the library; empty is the usual place
	library  *profiles.Library
	plain    bool
	json     bool
	own      map[string]string // the flags given that only some commands take
}

// command is one thing the program can be told to do.
type command struct {
	name, args, does, help string
	run                    func(*app, []string) int
	own                    []string // flags with a value that this command takes beside the general ones
}

var commands []command

func init() {
	commands = []command{
		{"trial", "[FILE] [--plain]", "guided trial; FILE gives the job",
			"Leads through checks, cautions and ladder to an install setting, and saves it as a profile.\nFILE is a job in TOML; without it every value is asked for.\n  brinkmark trial job.toml", (*app).trial, nil},
		{"resume", "[--plain]", "go on with the unfinished trial",
			"Opens the newest trial that is not closed. Exit code 11 when there is none.\n  brinkmark resume", (*app).resume, nil},
		{"advise", "FILE [--json]", "what to try next, or what to install with; writes nothing",
			"Reads a trial's record and says what comes next.\nExit code 0: try. 10: stop with a setting. 11: stop without.\n  brinkmark advise trial.toml --json", withFile((*app).advise), nil},
		{"expect", "FILE [--json]", "what this cable should stand in this duct", ui.ExpectHelp, withFile((*app).expect), nil},
		{"covers", "FILE [--json]", "does a profile hold for this job", ui.CoversHelp, withFile((*app).covers), nil},
		{"droop", "--overhang L --drop D --mass M", "bending stiffness from how far a cable hangs down", ui.DroopHelp, (*app).droop, ui.DroopFlags},
		{"version", "", "version of this program", "Prints the version.\n  brinkmark version", (*app).version, nil},
	}
}

func run(args []string, in io.Reader, out, errOut io.Writer) int {
	a := &app{in: in, out: out, err: ui.Printable(errOut)}
	rest, code := a.flags(args)
	if code >= 0 {
		return code
	}
	if len(rest) == 0 {
		return a.start()
	}
	for _, c := range commands {
		if c.name == rest[0] {
			return a.command(c, rest[1:])
		}
	}
	return a.usage(fmt.Errorf("there is no command %q", rest[0]))
}

// command runs a command unless it was given another's flags.
func (a *app) command(c command, args []string) int {
	for name := range a.own {
		if !slices.Contains(c.own, name) {
			return a.usage(fmt.Errorf("%s takes no --%s", c.name, name))
		}
	}
	return c.run(a, args)
}

// flags takes the flags out of the arguments, wherever they stand. A code below zero
// means go on.
func (a *app) flags(args []string) (rest []string, code int) {
	dir := os.Getenv("BRINKMARK_LIBRARY")
	a.own = map[string]string{}
	for {
		set := flag.NewFlagSet("brinkmark", flag.ContinueOnError)
		set.SetOutput(io.Discard)
		set.BoolVar(&a.plain, "plain", a.plain, "")
		set.BoolVar(&a.json, "json", a.json, "")
		set.StringVar(&dir, "library", dir, "")
		a.ownFlags(set)
		err := set.Parse(args)
		if errors.Is(err, flag.ErrHelp) {
			a.help(append(rest, set.Args()...))
			return nil, exitDone
		}
		if err != nil {
			return nil, a.usage(err)
		}
		if set.NArg() == 0 {
			break
		}
		rest, args = append(rest, set.Arg(0)), set.Args()[1:]
	}
	if len(rest) > 0 && rest[0] == "help" {
		a.help(rest[1:])
		return nil, exitDone
	}
	a.dir = dir
	return rest, -1
}

// ownFlags adds the flags of all commands: which command it is may come after them.
func (a *app) ownFlags(set *flag.FlagSet) {
	for _, c := range commands {
		for _, name := range c.own {
			set.Func(name, "", func(value string) error {
				a.own[name] = value
				return nil
			})
		}
	}
}

// openLibrary opens the library, for the commands that need one. A code below zero
// means go on.
func (a *app) openLibrary() int {
	var err error
	dir := a.dir
	if dir == "" {
		dir, err = profiles.DefaultDir()
	}
	if err == nil {
		a.library, err = profiles.OpenLibrary(dir, time.Now, rand.Reader)
	}
	if err != nil {
		return a.fail(err)
	}
	return -1
}

func (a *app) fail(err error) int {
	fmt.Fprintf(a.err, "brinkmark: %v\n", err)
	return exitBad
}

func (a *app) usage(err error) int {
	fmt.Fprintf(a.err, "brinkmark: %v\n  \"brinkmark --help\" lists the commands\n", err)
	return exitUsage
}

// withFile makes a command of what needs one FILE.
func withFile(run func(*app, string) int) func(*app, []string) int {
	return func(a *app, args []string) int {
		if len(args) == 0 {
			return a.usage(errors.New("which FILE? none was named"))
		}
		if len(args) > 1 {
			return a.usage(fmt.Errorf("too many arguments: %q", args[1]))
		}
		return run(a, args[0])
	}
}

func (a *app) help(args []string) {
	for _, c := range commands {
		if len(args) > 0 && args[0] == c.name {
			fmt.Fprintf(a.out, "brinkmark %s %s\n\n%s\n", c.name, c.args, c.help)
			return
		}
	}
	fmt.Fprint(a.out, "Finds the strongest push at which the drive gives up before the cable does.\n\n")
	fmt.Fprintf(a.out, "  %-28s %s\n", "brinkmark", "the start: example, new trial, resume")
	for _, c := range commands {
		fmt.Fprintf(a.out, "  %-28s %s\n", strings.TrimSpace("brinkmark "+c.name+" "+c.args), c.does)
	}
	fmt.Fprint(a.out, "\n  --library DIR   folder of all records (or BRINKMARK_LIBRARY)\n  --help          after a command: more of it, with an example\n")
}

func (a *app) version(args []string) int {
	if len(args) > 0 {
		return a.usage(fmt.Errorf("version takes no arguments"))
	}
	version := "development"
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		version = info.Main.Version
	}
	fmt.Fprintln(a.out, "brinkmark "+version)
	return exitDone
}

func (a *app) advise(path string) int {
	record, warning, err := profiles.ReadFile(path)
	if err != nil {
		return a.fail(err)
	}
	trial, err := record.Trial()
	if err == nil {
		err = trial.Advisable()
	}
	if err != nil {
		return a.fail(fmt.Errorf("%s: %w\n  add what is missing to the file", path, err))
	}
	o := session.View(trial)
	if warning != "" {
		o.Warnings = append(o.Warnings, warning)
	}
	code := exitNothing
	switch o.Next.(type) {
	case session.Try:
		code = exitDone
	case session.Install:
		code = exitStop
	}
	return cmp.Or(a.give(report.AdviceOn(trial, o), func(w io.Writer) { ui.ShowAdvice(w, trial, o) }), code)
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

func (a *app) droop(args []string) int {
	if len(args) > 0 {
		return a.usage(fmt.Errorf("droop takes no %q, only flags", args[0]))
	}
	reading, err := ui.NewDroopReading(a.own)
	if err != nil {
		return a.usage(err)
	}
	r, err := reading.Solve()
	if err != nil {
		return a.fail(fmt.Errorf("%w\n  measure it again, or mend the figure", err))
	}
	return a.give(r.Form(), r.Show)
}

// give prints a result in words, or in its outside form when that was asked for.
func (a *app) give(form any, show func(io.Writer)) int {
	if !a.json {
		show(a.out)
		return exitDone
	}
	text, err := report.JSON(form)
	if err == nil {
		_, err = fmt.Fprintf(a.out, "%s\n", text)
	}
	if err != nil {
		return a.fail(err)
	}
	return exitDone
}

// start is what the program does when told nothing.
func (a *app) start() int {
	if code := a.openLibrary(); code >= 0 {
		return code
	}
	if a.onTerminal() {
		return a.screens(a.keeper())
	}
	choice, err := ui.AskStart(a.in, a.out)
	if err != nil {
		return a.fail(err)
	}
	switch choice {
	case ui.StartExample:
		return a.begin(profiles.Record{}, true)
	case ui.StartNew:
		return a.begin(profiles.Record{Format: profiles.Format}, false)
	case ui.StartResume:
		return a.resume(nil)
	}
	return exitDone
}

func (a *app) trial(args []string) int {
	if len(args) == 0 {
		return a.begin(profiles.Record{Format: profiles.Format}, false)
	}
	return withFile(func(a *app, path string) int {
		job, _, err := profiles.ReadFile(path)
		if err != nil {
			return a.fail(err)
		}
		return a.begin(*job, false)
	})(a, args)
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
	return a.lead(keeper, told)
}

func (a *app) resume(args []string) int {
	if len(args) > 0 {
		return a.usage(errors.New("resume takes no arguments"))
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
	return a.lead(keeper, told)
}

// lead leads a trial to its end, or to where the crew leaves it.
func (a *app) lead(k ui.Keeper, told string) int {
	if a.onTerminal() {
		return a.screens(k)
	}
	if told != "" {
		fmt.Fprintln(ui.Printable(a.out), told)
	}
	p := ui.Plain{In: a.in, Out: a.out, Now: time.Now, Keeper: k}
	if err := errors.Join(p.Run(), k.Close()); err != nil {
		return a.fail(err)
	}
	return exitDone
}

// onTerminal reports whether the screens can be drawn and were not declined.
func (a *app) onTerminal() bool {
	in, ok1 := a.in.(*os.File)
	out, ok2 := a.out.(*os.File)
	return ok1 && ok2 && !a.plain && os.Getenv("TERM") != "dumb" && isatty.IsTerminal(in.Fd()) && isatty.IsTerminal(out.Fd())
}

func (a *app) screens(k ui.Keeper) int {
	options, err := a.library.Options()
	if err != nil {
		fmt.Fprintf(a.err, "brinkmark: %v\n", err)
	}
	if err := ui.Run(ui.Screens{Keeper: k, Now: time.Now, Options: options}, a.in, a.out); err != nil {
		return a.fail(err)
	}
	return exitDone
}
