// Brinkmark leads a crew through the trial before a fibre-optic cable is pushed
// into duct, and keeps what the trial found.
package main

import (
	_ "embed"
	"io"
	"os"

	_ "brinkmark/ui/background" // first: see there

	"brinkmark/ui/command"
)

//go:embed testdata/jobs/example.toml
var exampleJob []byte

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// run does what the arguments say and returns the exit code.
func run(args []string, in io.Reader, out, errOut io.Writer) int {
	return command.Program{In: in, Out: out, Err: errOut, ExampleJob: exampleJob}.Run(args)
}
