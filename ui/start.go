package ui

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"brinkmark/profiles"
	"brinkmark/ui/ask"
	"brinkmark/ui/words"
)

// Start is what the crew wants to do first.
type Start int

// The ways to start.
const (
	StartPractice Start = iota
	StartExample
	StartNew
	StartResume
	StartLeave
	startLast // and those after it: a new trial as one of the last
)

// StartReach is to work out how far along a route the cable will come.
const StartReach Start = -1

// StartReview is to look through the records as a supervisor.
const StartReview Start = -2

// StartRun is to go on with a run, or to begin the record of one.
const StartRun Start = -3

// Last returns which of the last jobs a new trial is to begin from, and whether one was
// chosen.
func (s Start) Last() (i int, ok bool) { return int(s - startLast), s >= startLast }

// AskStart asks what to do, line by line, and offers the last jobs. The end of the input
// is leaving.
func AskStart(in io.Reader, out io.Writer, last ...profiles.Record) (Start, error) {
	heard := &words.Heard{To: words.Printable(out)}
	out = heard
	last = last[:min(len(last), ask.LastJobs)]
	const practise = "  0  Practise on a simulated rig: no cable, no machine\n"
	fmt.Fprint(out, "What now?\n")
	if len(last) == 0 {
		fmt.Fprint(out, practise) // first to who is new here
	}
	fmt.Fprint(out, "  1  Try the built-in example\n  2  A new trial\n  3  Go on with what is not finished\n  4  Leave\n")
	for i, job := range last {
		fmt.Fprintf(out, "  %d  New trial: %s\n", int(startLast)+i, ask.About(job))
	}
	if len(last) > 0 {
		fmt.Fprint(out, practise)
	}
	fmt.Fprint(out, "  r  Will it reach? A route\n  s  Review the records, as a supervisor\n  l  Log a run: go on with it, or begin one\n")
	for {
		fmt.Fprint(out, "> ")
		if heard.Failed != nil {
			return StartLeave, fmt.Errorf("what can be done here cannot be shown: %w\n  nothing was begun: start brinkmark again where it can", heard.Failed)
		}
		line, err := readLine(in)
		if err != nil {
			return StartLeave, nil
		}
		most := int(StartLeave) + len(last)
		n, err := strconv.Atoi(strings.TrimSpace(line))
		switch {
		case strings.TrimSpace(line) == "q":
			return StartLeave, nil
		case strings.TrimSpace(line) == "r":
			return StartReach, nil
		case strings.TrimSpace(line) == "s":
			return StartReview, nil
		case strings.TrimSpace(line) == "l":
			return StartRun, nil
		case err == nil && n >= 0 && n <= most:
			return Start(n), nil
		}
		fmt.Fprintf(out, "! type a number from 0 to %d, r, s or l\n", most)
	}
}

// readLine reads one line and not a byte more, so that the next reader of in finds
// the rest.
func readLine(in io.Reader) (string, error) {
	if b, ok := in.(*bufio.Reader); ok {
		return b.ReadString('\n')
	}
	var line []byte
	one := make([]byte, 1)
	for {
		n, err := in.Read(one)
		if n == 1 && one[0] == '\n' {
			return string(line), nil
		}
		if n == 1 {
			line = append(line, one[0])
		}
		if err != nil {
			return string(line), err
		}
	}
}
