package command

import (
	"bytes"
	"io"
	"os/exec"
	"regexp"
	"runtime/debug"
	"strings"
	"syscall"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"
)

// run runs the program in a library that does not exist and returns what it printed.
func run(t *testing.T, args ...string) (code int, out, err string) {
	t.Helper()
	t.Setenv(libraryVariable, t.TempDir()+"/library")
	var o, e bytes.Buffer
	code = Program{In: strings.NewReader(""), Out: &o, Err: &e}.Run(args)
	return code, o.String(), e.String()
}

// full is an output that takes nothing any more.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, syscall.ENOSPC }

// What could not be said was not said: whoever asked is told, and it is no success.
func TestAnswersThatAreNotWritten(t *testing.T) {
	t.Setenv(libraryVariable, t.TempDir()+"/library")
	for _, args := range [][]string{
		{"version"}, {"help"}, {"man"}, {"completion", "bash"}, {"doctor"}, {"doctor", "--json"}, {"review"}, {"resume"}, {"practice"},
		{"covers", "../../testdata/jobs/example.toml"}, {"advise", "../../testdata/jobs/example.toml", "--json"},
	} {
		var told bytes.Buffer
		require.EqualValues(t, exitBad, Program{In: strings.NewReader(""), Out: full{}, Err: &told}.Run(args), args)
		require.Contains(t, told.String(), syscall.ENOSPC.Error(), args)
	}
}

// faulty is an input that is wrong in itself.
type faulty struct{}

func (faulty) Read([]byte) (int, error) { panic("the input") }

// What is wrong in the program itself is told like any other error, with what to do.
func TestFaultIsToldInWords(t *testing.T) {
	t.Setenv(libraryVariable, t.TempDir()+"/library")
	var told bytes.Buffer
	code := Program{In: faulty{}, Out: io.Discard, Err: &told}.Run([]string{"trial", "../../testdata/jobs/example.toml", "--plain"})
	require.EqualValues(t, exitBad, code)
	require.Regexp(t, `(?sm)^brinkmark: brinkmark itself has failed: the input\n  what it called written is on disk: .*goroutine .*faulty`, told.String())
}

func commandsOf(t *testing.T) (root *cobra.Command, all []*cobra.Command) {
	t.Helper()
	root = (&app{}).tree()
	root.InitDefaultHelpCmd()
	require.Greater(t, len(root.Commands()), 12)
	return root, root.Commands()
}

// Every command says what it is for, shows how with an example that it would take, and
// checks its own arguments: else the library would do so in another voice.
func TestEveryCommandTeaches(t *testing.T) {
	_, all := commandsOf(t)
	for _, c := range all {
		t.Run(c.Name(), func(t *testing.T) {
			require.NotEmpty(t, c.GroupID)
			require.NotNil(t, c.Args)
			require.NotNil(t, c.ValidArgsFunction)
			require.NotEmpty(t, c.Short)
			require.NotEmpty(t, c.Long)
			for _, line := range strings.Split(c.Example, "\n") {
				fresh, _ := commandsOf(t) // flags are read once
				requireTaken(t, fresh, line)
			}
			c.Flags().VisitAll(func(f *pflag.Flag) {
				value, does := pflag.UnquoteUsage(f)
				require.NotEmpty(t, does, f.Name)
				require.False(t, value != "" && !strings.HasPrefix(does, value+": "), "%s: its usage begins with the name of its value", f.Name)
			})
		})
	}
}

// requireTaken holds that the program would take an example of its help.
func requireTaken(t *testing.T, root *cobra.Command, example string) {
	t.Helper()
	line, _, _ := strings.Cut(example, " | ")
	line, _, _ = strings.Cut(line, " > ")
	var words []string
	for _, word := range regexp.MustCompile(`"[^"]*"|\S+`).FindAllString(line, -1) {
		words = append(words, strings.Trim(word, `"`))
	}
	require.Equal(t, "brinkmark", words[0], example)
	c, args, err := root.Find(words[1:])
	require.NoError(t, err, example)
	require.NoError(t, c.ParseFlags(args), example)
	require.NoError(t, c.ValidateArgs(c.Flags().Args()), example)
}

func TestHelpFitsTheWindow(t *testing.T) {
	_, all := commandsOf(t)
	for _, c := range all {
		for _, args := range [][]string{{c.Name(), "--help"}, {"help", c.Name()}, {"--help"}} {
			code, out, err := run(t, args...)
			require.Zero(t, code)
			require.Empty(t, err)
			for _, line := range strings.Split(out, "\n") {
				require.LessOrEqual(t, utf8.RuneCountInString(line), usageWidth, line)
				require.Equal(t, strings.TrimRight(line, " "), line)
			}
		}
		_, asked, _ := run(t, "help", c.Name())
		_, flagged, _ := run(t, c.Name(), "--help")
		require.Equal(t, asked, flagged)
		require.Contains(t, asked, c.Example[:strings.IndexAny(c.Example+"\n", "\n")])
	}
}

// The voice of the command library is nowhere to be heard.
func TestWrongUseInOurVoice(t *testing.T) {
	for _, args := range [][]string{
		{"polish"}, {"polish", "--json"}, {"--colour"}, {"-c"}, {"advise"}, {"advise", "a", "b"}, {"advise", "-json", "a"}, {"advise", "--json=x", "a"},
		{"advise", "---"}, {"advise", "--="}, {"--library"}, {"help", "polish"}, {"help", "a", "b"}, {"completion"}, {"completion", "tcsh"}, {"man", "x"},
		{"doctor", "--plain"}, {"version", "x"}, {"droop"}, {"advise", "--\x1b[2J"}, {"\x1b]0;x\a\nforged"},
	} {
		code, out, err := run(t, args...)
		require.Equal(t, int(exitUsage), code, "%q", args)
		require.Empty(t, out, "%q", args)
		require.Regexp(t, `^brinkmark: [^\n]+\n  "brinkmark( [a-z]+)? --help" (lists the commands|says how it is used)\n$`, err, "%q", args)
		require.NotRegexp(t, `(?i)unknown|usage:|arg\(s\)|accepts|Error:|shorthand`, err, "%q", args)
		require.NotContains(t, err, "\x1b")
	}
}

func TestManPage(t *testing.T) {
	root, all := commandsOf(t)
	page := manPage(root, "v1")
	require.Equal(t, page, manPage((&app{}).withHelp(), "v1"), "the same program gives the same page")
	require.Regexp(t, `^[\n -~]*$`, page, "ASCII alone, so that no locale matters")
	require.NotRegexp(t, `\b20\d\d-\d\d-\d\d\b`, page)
	for _, c := range all {
		require.Contains(t, page, "\n.SS brinkmark "+strings.ReplaceAll(c.Name(), "-", `\-`))
		for _, r := range ownFlagRows(c) {
			require.Contains(t, page, "\n.B "+manEscaped(r.name)+"\n")
		}
	}
	groff, err := exec.LookPath("groff")
	if err != nil {
		t.Skip("groff is not on this machine")
	}
	format := exec.Command(groff, "-man", "-Tutf8", "-ww", "-P-c")
	format.Stdin = strings.NewReader(page)
	var warnings bytes.Buffer
	format.Stderr = &warnings
	shown, err := format.Output()
	require.NoError(t, err)
	require.Empty(t, warnings.String())
	plain := regexp.MustCompile(`.\x08`).ReplaceAllString(string(shown), "")
	for _, want := range []string{"brinkmark reach FILE [--json]", `--overhang "1 m" --drop "250 mm"`, "~/.config/fish/completions/brinkmark.fish", "EXIT STATUS"} {
		require.Contains(t, plain, want)
	}
}

func (a *app) withHelp() *cobra.Command {
	root := a.tree()
	root.InitDefaultHelpCmd()
	return root
}

func TestManEscaped(t *testing.T) {
	for text, want := range map[string]string{
		`a\b`: `a\[rs]b`, ".nf": `\&.nf`, "'br": `\[aq]br`, "10 °F": `10 \[u00B0]F`, "--json": `\-\-json`, "~/x^`\"": `\[ti]/x\[ha]\[ga]\[dq]`,
	} {
		require.Equal(t, want, manEscaped(text), text)
	}
}

func TestBuild(t *testing.T) {
	clean := &debug.BuildInfo{GoVersion: "go1.26.8", Main: debug.Module{Version: "v1.2.3"}, Settings: []debug.BuildSetting{
		{Key: "vcs.revision", Value: "bcac0044"}, {Key: "vcs.time", Value: "2026-11-25T18:36:00+02:00"}, {Key: "vcs.modified", Value: "true"}}}
	var out bytes.Buffer
	buildOf(clean, "").show(&out)
	require.Regexp(t, `^brinkmark v1\.2\.3\ncommit bcac0044, 2026-11-25 16:36 UTC, with changes that are in no commit\ngo1\.26\.8, \S+\n$`, out.String())
	require.Equal(t, "v2", buildOf(clean, "v2").Version, "a release's stamp counts")

	bare := buildOf(&debug.BuildInfo{Main: debug.Module{Version: "(devel)"}}, "")
	require.Equal(t, "development", bare.Version)
	require.Nil(t, bare.Commit)
	require.Nil(t, bare.Changed, "not known is not the same as unchanged")
}
