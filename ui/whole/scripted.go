package whole

import (
	"os"
	"sync"
	"time"

	_ "brinkmark/ui/background" // first: see there

	"brinkmark/ui/command"
)

// Scripted is the program of the scripts: the product, but its clock goes on by steps at
// each look, from one run of the program to the next, in the file that ScriptClock names.
// Scripts answer in milliseconds what a crew needs seconds for, and nobody believes pushes
// so close together.
func Scripted(exampleJob []byte) {
	name := os.Getenv(ScriptClock)
	time.Local = time.FixedZone("", -5*60*60)
	clock := &steppedClock{file: name}
	os.Exit(command.Program{In: os.Stdin, Out: os.Stdout, Err: os.Stderr, ExampleJob: exampleJob, Clock: clock.now}.Run(os.Args[1:]))
}

// ScriptClock is the variable that names the file of the scripts' clock.
const ScriptClock = "BRINKMARK_SCRIPT_CLOCK"

// steppedClock begins on a May morning and keeps the last time it told in a file.
type steppedClock struct {
	file string
	mu   sync.Mutex
}

func (c *steppedClock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	at := time.Date(2026, 5, 14, 9, 12, 10, 0, time.Local)
	if text, err := os.ReadFile(c.file); err == nil {
		if at, err = time.ParseInLocation(time.DateTime, string(text), time.Local); err != nil {
			panic(err)
		}
		at = at.Add(3 * time.Second)
	}
	// in one go, since tests kill the program
	err := os.WriteFile(c.file+".new", []byte(at.Format(time.DateTime)), 0o666)
	if err == nil {
		err = os.Rename(c.file+".new", c.file)
	}
	if err != nil {
		panic(err)
	}
	return at
}
