// Package command is the grammar of the command line: which commands there are, their
// flags, and the help that comes of it. It does nothing itself.
package command

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Command is one thing the program can be told to do.
type Command struct {
	Name string
	Args string   // as help shows them
	Does string   // in a few words
	Help string   // more of it, with an example
	Own  []string // flags with a value that this command takes beside the general ones
	Bare []string // flags without one
}

// Call is what the program was told.
type Call struct {
	Command string // empty: nothing
	Help    bool   // about the command, or about all
	Args    []string
	Library string // folder; empty: not said
	Plain   bool
	JSON    bool
	Own     map[string]string // by flag; a flag without a value has the value "true"
}

// Parse reads the arguments of a program with these commands. Flags may stand
// anywhere. The errors say what is wrong with the arguments.
func Parse(commands []Command, args []string) (Call, error) {
	call := Call{Own: map[string]string{}}
	var words []string
	for {
		set := flag.NewFlagSet("", flag.ContinueOnError)
		set.SetOutput(io.Discard)
		set.BoolVar(&call.Plain, "plain", call.Plain, "")
		set.BoolVar(&call.JSON, "json", call.JSON, "")
		set.StringVar(&call.Library, "library", call.Library, "")
		own(set, commands, call.Own)
		err := set.Parse(args)
		if errors.Is(err, flag.ErrHelp) {
			call.Help = true
			words = append(words, set.Args()...)
			break
		}
		if err != nil {
			if _, name, ok := strings.Cut(err.Error(), "not defined: -"); ok {
				err = fmt.Errorf("there is no flag --%s", strings.TrimLeft(name, "-"))
			}
			return call, err
		}
		if set.NArg() == 0 {
			break
		}
		words, args = append(words, set.Arg(0)), set.Args()[1:]
	}
	if len(words) > 0 && words[0] == "help" {
		call.Help, words = true, words[1:]
	}
	if len(words) > 0 {
		call.Command, call.Args = words[0], words[1:]
	}
	return call, call.check(commands)
}

// own adds the flags of all commands: which command it is may come after them.
func own(set *flag.FlagSet, commands []Command, values map[string]string) {
	for _, c := range commands {
		for _, name := range c.Own {
			if set.Lookup(name) == nil {
				set.Func(name, "", func(v string) error { values[name] = v; return nil })
			}
		}
		for _, name := range c.Bare {
			if set.Lookup(name) == nil {
				set.BoolFunc(name, "", func(v string) error { values[name] = v; return nil })
			}
		}
	}
}

// check refuses a command that does not exist, and a flag of another's.
func (call Call) check(commands []Command) error {
	if call.Help {
		return nil
	}
	i := slices.IndexFunc(commands, func(c Command) bool { return c.Name == call.Command })
	if call.Command != "" && i < 0 {
		return fmt.Errorf("there is no command %q", call.Command)
	}
	for name := range call.Own {
		if i < 0 {
			return fmt.Errorf("--%s belongs to a command", name)
		}
		if c := commands[i]; !slices.Contains(c.Own, name) && !slices.Contains(c.Bare, name) {
			return fmt.Errorf("%s takes no --%s", c.Name, name)
		}
	}
	return nil
}

// None returns an error when there are arguments where none belong.
func (call Call) None() error {
	if len(call.Args) > 0 {
		return fmt.Errorf("%s takes no %q", call.Command, call.Args[0])
	}
	return nil
}

// One returns the only argument; what says what it should be.
func (call Call) One(what string) (string, error) {
	switch len(call.Args) {
	case 0:
		return "", fmt.Errorf("which %s? none was named", what)
	case 1:
		return call.Args[0], nil
	}
	return "", fmt.Errorf("too many arguments: %q", call.Args[1])
}

// Help writes the help of a command, or of the whole program when there is none of
// that name. intro is its first line.
func Help(w io.Writer, commands []Command, name, intro string) {
	for _, c := range commands {
		if c.Name == name {
			fmt.Fprintf(w, "brinkmark %s\n\n%s\n", strings.TrimSpace(c.Name+" "+c.Args), c.Help)
			return
		}
	}
	fmt.Fprintf(w, "%s\n\n  %-28s %s\n", intro, "brinkmark", "the start: practice, example, new trial, resume")
	for _, c := range commands {
		fmt.Fprintf(w, "  %-28s %s\n", strings.TrimSpace("brinkmark "+c.Name+" "+c.Args), c.Does)
	}
	fmt.Fprint(w, "\n  --library DIR   folder of all records (or BRINKMARK_LIBRARY)\n  --help          after a command: more of it, with an example\n")
}
