package command

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"brinkmark/ui/show"
)

// groups are the kinds of commands, as help lists them.
var groups = []*cobra.Group{{ID: "job", Title: "On the job"}, {ID: "questions", Title: "Questions"}, {ID: "records", Title: "Records"}, {ID: "program", Title: "The program"}}

// tree is the program with all its commands.
func (a *app) tree() *cobra.Command {
	cobra.MousetrapHelpText = ""       // a double click on Windows opens the start
	cobra.EnableCommandSorting = false // help lists what comes first on a job first
	root := &cobra.Command{
		Use:           "brinkmark",
		Short:         "the start: practice, example, new trial, resume",
		Long:          "Finds the strongest push at which the drive gives up before the cable does.",
		Example:       "brinkmark trial job.toml",
		SilenceErrors: true, // app.ended tells of them
		SilenceUsage:  true,
		Args:          a.noCommand,
	}
	version := root.Flags().Bool("version", false, "the version, and nothing else")
	root.RunE = func(*cobra.Command, []string) error {
		if *version {
			_, err := fmt.Fprintln(a.Out, "brinkmark "+builtAs().Version)
			return err
		}
		return a.start()
	}
	a.plainFlag(root)
	root.PersistentFlags().StringVar(&a.dir, "library", "", "`DIR`: folder of all records (or BRINKMARK_LIBRARY)")
	root.PersistentFlags().SortFlags = false
	root.PersistentFlags().BoolP("help", "h", false, "how the command is used, with an example")
	root.CompletionOptions.DisableDefaultCmd = true
	root.Flags().SortFlags = false
	root.SuggestionsMinimumDistance = 2
	root.SetHelpFunc(a.help)
	root.SetFlagErrorFunc(flagError)
	root.SetIn(a.In)
	root.SetOut(a.Out)
	root.SetErr(a.Err)
	_ = root.RegisterFlagCompletionFunc("library", cobra.FixedCompletions(nil, cobra.ShellCompDirectiveFilterDirs))
	root.AddGroup(groups...)
	for i, commands := range [][]*cobra.Command{a.jobCommands(), a.questionCommands(), a.recordCommands(), a.programCommands()} {
		for _, c := range commands {
			c.GroupID = groups[i].ID
			c.Flags().SortFlags = false
			a.valueFlags(c, map[string]cobra.CompletionFunc{"earlier": a.profileOrFile, "output": anyFile})
		}
		root.AddCommand(commands...)
	}
	root.SetHelpCommand(a.helpCommand())
	root.SetHelpCommandGroupID("program")
	return root
}

// plainFlag and jsonFlag are for the commands they make a difference to.
func (a *app) plainFlag(c *cobra.Command) *cobra.Command {
	c.Flags().BoolVar(&a.plain, "plain", false, "line by line, without screens")
	return c
}

func (a *app) jsonFlag(c *cobra.Command) *cobra.Command {
	c.Flags().BoolVar(&a.json, "json", false, "for another program, as JSON")
	return c
}

func misused(format string, values ...any) error {
	return show.WrongUse{Problem: fmt.Sprintf(format, values...)}
}

// noCommand refuses a word where a command should be.
func (a *app) noCommand(root *cobra.Command, words []string) error {
	if len(words) == 0 {
		return nil
	}
	near := root.SuggestionsFor(words[0])
	if len(near) == 0 {
		return misused("there is no command %q", words[0])
	}
	return misused("there is no command %q: is %q meant?", words[0], near[0])
}

// none refuses arguments where none belong.
func none(c *cobra.Command, args []string) error {
	if len(args) > 0 {
		return misused("%s takes no %q", c.Name(), args[0])
	}
	return nil
}

// one wants one argument; what says what it should be.
func one(what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return misused("which %s? none was named", what)
		}
		return oneAtMost(c, args)
	}
}

func oneAtMost(_ *cobra.Command, args []string) error {
	if len(args) > 1 {
		return misused("too many arguments: %q", args[1])
	}
	return nil
}

// flagError says in our words what is wrong with a flag.
func flagError(c *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var bare *pflag.ValueRequiredError
	var bad *pflag.InvalidValueError
	var garbled *pflag.InvalidSyntaxError
	switch {
	case !c.HasParent() && c.Flags().NArg() > 0:
		return c.Args(c, c.Flags().Args())
	case errors.As(err, &unknown):
		return unknownFlag(c, unknown)
	case errors.As(err, &bare):
		value, _ := pflag.UnquoteUsage(bare.GetFlag())
		return misused("--%s needs a value: %s", bare.GetFlag().Name, value)
	case errors.As(err, &bad):
		return misused("--%s takes no %q", bad.GetFlag().Name, bad.GetValue())
	case errors.As(err, &garbled):
		return misused("%q is no flag", garbled.GetSpecifiedFlag())
	}
	return err
}

func unknownFlag(c *cobra.Command, e *pflag.NotExistError) error {
	flag := "--" + printedFlag(e.GetSpecifiedName())
	if short := e.GetSpecifiedShortnames(); short != "" {
		flag = "-" + printedFlag(short)
	}
	if c.HasParent() {
		return misused("%s takes no %s", c.Name(), flag)
	}
	for _, command := range c.Commands() {
		if command.Flags().Lookup(strings.TrimPrefix(flag, "--")) != nil {
			return misused("%s belongs to a command: write it after the command's name", flag)
		}
	}
	return misused("there is no flag %s", flag)
}

// printedFlag is a flag as it was typed, on one line.
func printedFlag(name string) string {
	quoted := strconv.Quote(name)
	return quoted[1 : len(quoted)-1]
}
