package command

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

func (a *app) helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "help [COMMAND]",
		Short:   "the commands, or how one is used",
		Long:    "Lists the commands, or says how one is used. \"brinkmark COMMAND --help\" says the\nsame.",
		Example: "brinkmark help reach",
		Args:    oneAtMost,
		ValidArgsFunction: func(c *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			return commandNames(c.Root(), len(args)), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(c *cobra.Command, args []string) error {
			about := c.Root()
			if len(args) > 0 {
				var err error
				if about, _, err = c.Root().Find(args); err != nil || about == c.Root() {
					return a.noCommand(c.Root(), args)
				}
			}
			a.help(about, nil)
			return nil
		},
	}
}

// commandNames are the commands with what they do, for who has not named one yet.
func commandNames(root *cobra.Command, named int) []string {
	var names []string
	for _, c := range root.Commands() {
		if named == 0 && c.IsAvailableCommand() {
			names = append(names, c.Name()+"\t"+c.Short)
		}
	}
	return names
}

// help writes the help of a command, or of the whole program.
func (a *app) help(c *cobra.Command, _ []string) {
	if !c.HasParent() {
		writeProgramHelp(a.Out, c)
		return
	}
	fmt.Fprintf(a.Out, "%s\n\n%s\n\n", strings.Join(usageLines(c), "\n"), c.Long)
	writeRows(a.Out, flagRows(c))
	fmt.Fprintf(a.Out, "\nExample:\n  %s\n", strings.ReplaceAll(c.Example, "\n", "\n  "))
}

func writeProgramHelp(w io.Writer, root *cobra.Command) {
	fmt.Fprintf(w, "%s\n\n", root.Long)
	rows := []row{{text: root.Groups()[0].Title}, {root.Name(), root.Short}}
	for i, group := range root.Groups() {
		if i > 0 {
			rows = append(rows, row{}, row{text: group.Title})
		}
		for _, c := range root.Commands() {
			if c.GroupID == group.ID {
				rows = append(rows, row{listed(c), c.Short})
			}
		}
	}
	writeRows(w, append(append(rows, row{}, row{text: "Flags"}), flagRows(root)...))
	fmt.Fprint(w, "\nExit code 0: done. 1: bad data, or the disk. 2: wrong use. 10 and 11: see\nadvise, covers, reach and resume. \"brinkmark COMMAND --help\" says more.\n")
}

// listedWidth leaves room beside a command for what it does.
const listedWidth = 16

// listed is a command with its arguments where they are few, without its flags.
func listed(c *cobra.Command) string {
	words, _, _ := strings.Cut(c.Use, " --")
	if words = strings.TrimSuffix(words, " |"); len(words) > listedWidth {
		words = c.Name()
	}
	return "brinkmark " + words
}

// usageWidth keeps help within the narrowest usual window.
const usageWidth = 80

// usageLines are how a command is called, with all its flags.
func usageLines(c *cobra.Command) []string {
	lines := []string{"brinkmark"}
	add := func(part string) {
		if last := &lines[len(lines)-1]; len(*last)+1+len(part) <= usageWidth {
			*last += " " + part
			return
		}
		lines = append(lines, "    "+part)
	}
	add(c.Use)
	ownFlags(c).VisitAll(func(f *pflag.Flag) {
		if !strings.Contains(c.Use, "--"+f.Name+" ") && !strings.HasSuffix(c.Use, "--"+f.Name) {
			name, _ := described(f)
			add("[" + name + "]")
		}
	})
	return lines
}

// described is a flag with the name of its value, and what it does. Its usage begins
// with that name: "`DIR`: folder of all records".
func described(f *pflag.Flag) (flag, does string) {
	value, does := pflag.UnquoteUsage(f)
	if value == "" {
		return "--" + f.Name, does
	}
	return "--" + f.Name + " " + value, strings.TrimPrefix(does, value+": ")
}

// ownFlags are those that only this command has, in the order they were given.
func ownFlags(c *cobra.Command) *pflag.FlagSet {
	own := c.LocalNonPersistentFlags()
	own.SortFlags = false
	return own
}

// row is what something is called and what it does; without a name it is a heading.
type row struct{ name, text string }

// flagRows are a command's flags, its own first, and what they do.
func flagRows(c *cobra.Command) []row {
	return append(ownFlagRows(c), rowsOf(c.Root().PersistentFlags())...)
}

func ownFlagRows(c *cobra.Command) []row { return rowsOf(ownFlags(c)) }

func rowsOf(flags *pflag.FlagSet) []row {
	var rows []row
	flags.VisitAll(func(f *pflag.Flag) {
		name, does := described(f)
		if f.Shorthand != "" {
			name = "-" + f.Shorthand + ", " + name
		}
		rows = append(rows, row{name, does})
	})
	return rows
}

// writeRows writes rows with what they do below each other.
func writeRows(w io.Writer, rows []row) {
	widest := 0
	for _, r := range rows {
		widest = max(widest, len(r.name))
	}
	for _, r := range rows {
		if r.name == "" {
			fmt.Fprintln(w, r.text)
			continue
		}
		fmt.Fprintf(w, "  %-*s  %s\n", widest, r.name, r.text)
	}
}
