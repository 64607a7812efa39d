//go:build !windows

package whole

import (
	"cmp"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// work is led line by line to its end, however often the program is cut short.
type work struct {
	name    string
	prepare func(t *testing.T, binary, library string) // what is in the library before; may be nil
	begin   []string
	resume  []string
	answer  func(c *crew, question string) string
	press   func(c *crew, t *testing.T, screen string) string // the same on screens; may be nil
	journal string                                            // the pattern of what it writes, and how many there are at its end: see found
	over    string                                            // what is said at its end
	nothing string                                            // what is said when there is nothing to go on with: the end was not heard
	found   map[string]int                                    // how many files of a pattern there are then
	stops   bool                                              // it may end by itself, and then says why
	mute    func() bool                                       // whether its words were refused too; may be nil
}

// crew is what answers have to remember.
type crew struct {
	speed  string
	points int // of the log of a run
}

const exampleJobFile = "testdata/jobs/example.toml"

var wholeTrial = work{
	name: "trial", begin: []string{"trial", exampleJobFile, "--plain"}, resume: []string{"resume", "--plain"},
	answer: (*crew).leadsTrial, press: (*crew).pressesTrial, journal: "trials/*.toml", over: "This trial is closed", nothing: "There is no unfinished trial", found: map[string]int{"trials/*.toml": 1, "profiles/*/*.toml": 1},
}

var works = []work{
	wholeTrial,
	{
		name: "short check", prepare: aFoldedTrial, begin: []string{"trial", "{library}/noon", "--plain"}, resume: []string{"resume", "--plain"},
		answer: (*crew).leadsCheck, journal: "trials/*.toml", over: "This trial is closed", nothing: "There is no unfinished trial", found: map[string]int{"trials/*.toml": 2, "profiles/*/*.toml": 2},
	},
	{
		name: "run", prepare: aFoldedTrial, begin: []string{"run", "{profile}", "--plain"}, resume: []string{"run", "--plain"},
		answer: (*crew).leadsRun, press: (*crew).pressesRun, journal: "runs/*.toml", over: "This run is closed", nothing: "There is no unfinished run", found: map[string]int{"runs/*.toml": 1, "profiles/*/*.toml": 1},
	},
}

var dialled = regexp.MustCompile(`\[climb\] Push \d+: dial grip pressure \d+ psi, belt speed (\d+) ft/min`)

// leadsTrial answers as a crew whose cable folds from 100 ft/min on.
func (c *crew) leadsTrial(question string) string {
	if m := dialled.FindStringSubmatch(question); m != nil {
		c.speed = m[1]
	}
	if strings.Contains(question, "What happened?") && len(c.speed) > 2 {
		return "3"
	}
	return forTheSupervisor(question)
}

// forTheSupervisor is what one comes to a page for. These crews are too fast for their times
// to be believed: what they find is written for the supervisor to look at.
func forTheSupervisor(question string) string {
	if press := PressFor(question, "Write the profile for the supervisor"); press != "q" {
		return press
	}
	return FirstKey(question)
}

// leadsCheck answers as a crew that checks a setting which holds.
func (c *crew) leadsCheck(question string) string {
	if press := PressFor(question, "Short check first"); press != "q" {
		return press
	}
	return forTheSupervisor(question)
}

var (
	toDial    = regexp.MustCompile(`(?m)^  (\d+ psi) grip pressure   (\d+ ft/min)`)
	toBeTyped = regexp.MustCompile(`(?:such as|last|allowed): (.*)\n> $`)
	inUnit    = regexp.MustCompile(`with its unit, such as (.*)\n> $`)
	ways1     = regexp.MustCompile(`(?m)^  [1a]  (Back|Leave)`)
)

// leadsRun answers as a crew that dials what it is told, logs some points and arrives.
func (c *crew) leadsRun(question string) string {
	question = question[strings.LastIndex(question, "\n[")+1:]
	if m := toDial.FindStringSubmatch(question); m != nil {
		c.speed = m[1] + "," + m[2]
	}
	grip, speed, _ := strings.Cut(c.speed, ",")
	typed := toBeTyped.FindStringSubmatch(question)
	if unit := inUnit.FindStringSubmatch(question); unit != nil {
		typed = []string{"", usualFigure(unit[1])}
	}
	switch {
	case strings.Contains(question, "] Really "):
		return PressFor(question, "Yes")
	case strings.Contains(question, "grip pressure gauge read?"):
		return grip
	case strings.Contains(question, "belt speed gauge read?"), strings.Contains(question, "belt speed read?"):
		return speed
	case strings.Contains(question, "Which way does it go?"):
		return PressFor(question, "Not known")
	case strings.Contains(question, "  Log a point"):
		if c.points++; c.points > 4 {
			return PressFor(question, "Arrived")
		}
		return PressFor(question, "Log a point")
	case typed != nil && (ways1.MatchString(question) || strings.Contains(question, "How warm is the cable") || strings.Contains(question, "print mark")):
		return typed[1]
	}
	return FirstKey(question)
}

// usualFigure is what is typed where no figure is shown, in the unit that is.
func usualFigure(unit string) string {
	return cmp.Or(map[string]string{"mm": "28", "in": "1.1", "m": "14", "ft": "46", "bar": "10", "psi": "145"}[unit], "41") + " " + unit
}

// aFoldedTrial puts a whole trial into a library, and beside it the same job some hours and
// 17 °F later, as a file named noon. Its pushes came faster than anybody can make them: a
// supervisor has looked at it.
func aFoldedTrial(t *testing.T, binary, library string) {
	wholeTrial.lead(t, library, plainly(binary), undisturbed)
	supervised(t, binary, library)
	text, err := os.ReadFile(exampleJobFile)
	require.NoError(t, err)
	noon := strings.Replace(string(text), `cable_temperature = "41 °F"`, `cable_temperature = "58 °F"`, 1)
	require.NoError(t, os.WriteFile(filepath.Join(library, "noon"), []byte(noon), 0o666))
}

// supervised has a supervisor accept the one profile of a library.
func supervised(t *testing.T, binary, library string) {
	t.Helper()
	accept := exec.Command(binary, meant(t, library, []string{"review", "accept", "{profile}", "--by", "QS"})...)
	accept.Env = environment(library)
	out, err := accept.CombinedOutput()
	require.NoError(t, err, string(out))
}
