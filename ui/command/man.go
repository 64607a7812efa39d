package command

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
)

func (a *app) manCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "man",
		Short: "all of this help as a page for the manual",
		Long: `Prints the whole help as a page for the manual, of section 1. With a folder of
your own in the manual's path, "man brinkmark" shows it.`,
		Example:           "brinkmark man | man -l -\nbrinkmark man > ~/.local/share/man/man1/brinkmark.1",
		Args:              none,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(c *cobra.Command, _ []string) error {
			_, err := io.WriteString(a.Out, manPage(c.Root(), builtAs().Version))
			return err
		},
	}
}

// What the page says beside the help of the commands.
const (
	manExit = `0: done. 1: bad data, or the disk; the message says file, line, key and value, and a
second line says what to do. 2: wrong use. 10 and 11: an answer, see advise,
covers, reach and resume.`
	manEnvironment = `BRINKMARK_LIBRARY names the folder of all records, unless --library does.
XDG_DATA_HOME names the folder that holds it otherwise.
With TERM set to dumb everything goes line by line, as with --plain.`
	manFiles = `Records are plain text files in the library: ~/.local/share/brinkmark on Linux,
~/Library/Application Support/brinkmark on a Mac, %AppData%\brinkmark on Windows.
Every answer is on disk before the next question shows.`
	manCautions = `This work can hurt and kill. Local codes, site rules, the makers' instructions and
licensed people come first, always. Brinkmark does not stop the machine: it is
connected to nothing. Never put air into a plugged duct.`
)

// manPage is the manual's page: the help of every command. It has no date, so that the
// same program gives the same page. Macros: groff_man(7).
func manPage(root *cobra.Command, version string) string {
	var page strings.Builder
	say := func(format string, values ...any) { fmt.Fprintf(&page, format+"\n", values...) }
	section := func(title, text string) { say(".SH %s\n%s", title, manText(text)) }
	say(".TH BRINKMARK 1 \"\" \"brinkmark %s\"", manEscaped(version))
	section("NAME", "brinkmark - a trial before cable is pushed into duct, and what it found")
	say(".SH SYNOPSIS")
	say(".B brinkmark\n[COMMAND] [FLAGS]")
	section("DESCRIPTION", root.Long+"\n\nTold nothing it opens "+root.Short+". On a terminal it draws screens; from a pipe, or with --plain, it goes line by line.")
	for _, flag := range flagRows(root) {
		say(".TP\n.B %s\n%s", manEscaped(flag.name), manText(flag.text))
	}
	for _, group := range root.Groups() {
		say(".SH %s", strings.ToUpper(manEscaped(group.Title)))
		for _, c := range root.Commands() {
			if c.GroupID == group.ID {
				page.WriteString(manCommandText(c))
			}
		}
	}
	section("EXIT STATUS", manExit)
	section("ENVIRONMENT", manEnvironment)
	section("FILES", manFiles)
	section("CAUTIONS", manCautions)
	return page.String()
}

// manCommandText is a command's part of the page. Flags that all commands have stand
// at the page's start.
func manCommandText(c *cobra.Command) string {
	var b strings.Builder
	fmt.Fprintf(&b, ".SS %s\n%s\n", manEscaped(strings.Join(strings.Fields(strings.Join(usageLines(c), " ")), " ")), manText(c.Long))
	for _, flag := range ownFlagRows(c) {
		fmt.Fprintf(&b, ".TP\n.B %s\n%s\n", manEscaped(flag.name), manText(flag.text))
	}
	fmt.Fprintf(&b, ".PP\n%s\n", manText("  "+strings.ReplaceAll(c.Example, "\n", "\n  ")))
	return b.String()
}

// manText is a text for the page: lines that are indented stay as they are, others are
// filled, and an empty line begins a paragraph.
func manText(text string) string {
	var lines []string
	kept := false
	for _, line := range strings.Split(text, "\n") {
		if keep := strings.HasPrefix(line, "  "); keep != kept {
			kept = keep
			lines = append(lines, map[bool]string{true: ".nf", false: ".fi"}[keep])
		}
		if line == "" {
			lines = append(lines, ".PP")
			continue
		}
		lines = append(lines, manEscaped(line))
	}
	if kept {
		lines = append(lines, ".fi")
	}
	return strings.Join(lines, "\n")
}

// manEscapes are the characters that mean something to the formatter or that it draws
// as others. Source: groff_char(7), "Basic Latin".
var manEscapes = map[rune]string{'\\': `\[rs]`, '-': `\-`, '\'': `\[aq]`, '"': `\[dq]`, '`': `\[ga]`, '^': `\[ha]`, '~': `\[ti]`}

func manEscaped(text string) string {
	var b strings.Builder
	for i, r := range text {
		switch escape, special := manEscapes[r]; {
		case special:
			b.WriteString(escape)
		case i == 0 && r == '.':
			b.WriteString(`\&.`)
		case r > '~':
			fmt.Fprintf(&b, `\[u%04X]`, r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
