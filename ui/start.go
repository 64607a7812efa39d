package ui

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"brinkmark/session"
)

// Start is what the crew wants to do first.
type Start int

// The ways to start.
const (
	StartExample Start = iota + 1
	StartNew
	StartResume
	StartLeave
)

// AskStart asks what to do, line by line. The end of the input is leaving.
func AskStart(in io.Reader, out io.Writer) (Start, error) {
	fmt.Fprint(out, "What now?\n  1  Try the built-in example\n  2  A new trial\n  3  Go on with the unfinished trial\n  4  Leave\n")
	for {
		fmt.Fprint(out, "> ")
		line, err := readLine(in)
		if err != nil {
			return StartLeave, nil
		}
		switch strings.TrimSpace(line) {
		case "1":
			return StartExample, nil
		case "2":
			return StartNew, nil
		case "3":
			return StartResume, nil
		case "4", "q":
			return StartLeave, nil
		}
		fmt.Fprint(out, "! type a number from 1 to 4\n")
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

// ShowAdvice prints what to do next on a trial, in words.
func ShowAdvice(out io.Writer, t session.Trial, o session.Outlook) {
	out = Printable(out)
	switch next := o.Next.(type) {
	case session.Try:
		fmt.Fprintf(out, "Try %s.\n%s\n", t.Rig.Show(next.Setting), next.Reason)
	case session.Install:
		for _, line := range o.Lines(t) {
			fmt.Fprintln(out, line)
		}
	case session.Refuse:
		fmt.Fprintf(out, "Stop without a setting.\n%s\n", capital(next.Reason))
	}
	fmt.Fprintf(out, "Pushes that count: %d. Cable used: %s.\n", o.Attempts, Flow{Trial: t}.length(o.CableUsed))
	for _, w := range o.Warnings {
		fmt.Fprintf(out, "! %s.\n", capital(w))
	}
}
