package main

import (
	"bytes"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"os/signal"
	"path"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"
)

func TestMain(m *testing.M) {
	testscript.Main(cleaning{m}, map[string]func(){"brinkmark": main})
}

// TestScripts runs the commands as a crew would. BRINKMARK_UPDATE=1 writes what
// was printed into the scripts that compare it.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       os.Getenv("BRINKMARK_UPDATE") != "",
		Setup: func(env *testscript.Env) error {
			env.Setenv("BRINKMARK_LIBRARY", filepath.Join(env.WorkDir, "library"))
			env.Setenv("XDG_DATA_HOME", "")
			env.Setenv("CLEAR", "\x1b[2J\x1b]0;title\a\u202e")
			job, err := os.ReadFile("testdata/jobs/example.toml")
			if err != nil {
				return err
			}
			return os.WriteFile(filepath.Join(env.WorkDir, "example.toml"), job, 0o444)
		},
		Condition: func(cond string) (bool, error) {
			if cond == "root" { // root may write anywhere, so a folder's rights prove nothing
				return os.Geteuid() == 0, nil
			}
			return false, fmt.Errorf("unknown condition %q", cond)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "plain": plainText, "round": roundNumbers, "only": only, "lead": lead},
	})
}

// exits runs a program and requires its exit code: exits 10 brinkmark advise x.toml
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE program [args...]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// plainText requires that what was printed has no control character but line ends.
func plainText(ts *testscript.TestScript, neg bool, args []string) {
	for _, name := range args {
		if bad := regexp.MustCompile(`[^\P{C}\n]`).FindString(ts.ReadFile(name)); bad != "" {
			ts.Fatalf("%s holds %q", name, bad)
		}
	}
}

// only copies the one record in a folder and those inside it: only library/trials trial.toml
func only(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: only FOLDER FILE")
	}
	var found []string
	ts.Check(filepath.WalkDir(ts.MkAbs(args[0]), func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && filepath.Ext(name) == ".toml" {
			found = append(found, name)
		}
		return err
	}))
	if len(found) != 1 {
		ts.Fatalf("%d records in %s, want one: %q", len(found), args[0], found)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(ts.ReadFile(found[0])), 0o666))
}

// lead runs the program in plain mode and answers what it asks: rightly, and what
// happened at each push by the list, which may end in "leave". Without that every
// further push stalls: lead STALL,SLIP,leave brinkmark resume --plain
func lead(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: lead OUTCOME,OUTCOME program [args...]")
	}
	outcomes := strings.Split(args[0], ",")
	cmd := exec.Command(inPath(ts, args[1]), args[2:]...)
	cmd.Dir = ts.MkAbs(".")
	cmd.Stderr = ts.Stderr()
	for _, name := range []string{"HOME", "BRINKMARK_LIBRARY", "PATH", "TMPDIR"} {
		cmd.Env = append(cmd.Env, name+"="+ts.Getenv(name))
	}
	in, err := cmd.StdinPipe()
	ts.Check(err)
	out, err := cmd.StdoutPipe()
	ts.Check(err)
	ts.Check(cmd.Start())
	asked := ""
	for answers := 0; answers < 300; {
		b := make([]byte, 4096)
		n, err := out.Read(b)
		asked += string(b[:n])
		_, _ = ts.Stdout().Write(b[:n])
		if err != nil {
			break
		}
		if !strings.HasSuffix(asked, "\n> ") {
			continue
		}
		answer := "1"
		if question := asked[strings.LastIndex(asked, "\n[")+1:]; strings.Contains(question, "What happened?") && len(outcomes) > 0 {
			answer, outcomes = pressFor(question, outcomes[0]), outcomes[1:]
		}
		answers++
		asked = ""
		if _, err := io.WriteString(in, answer+"\n"); err != nil {
			break
		}
	}
	_ = in.Close()
	ts.Check(cmd.Wait())
}

// pressFor is the number of the choice that begins with a text, or q to leave.
func pressFor(question, label string) string {
	if m := regexp.MustCompile(`(?m)^  (\d+)  ` + regexp.QuoteMeta(label)).FindStringSubmatch(question); m != nil {
		return m[1]
	}
	return "q"
}

func inPath(ts *testscript.TestScript, name string) string {
	for _, dir := range filepath.SplitList(ts.Getenv("PATH")) {
		for _, full := range []string{filepath.Join(dir, name), filepath.Join(dir, name+".exe")} {
			if _, err := os.Stat(full); err == nil {
				return full
			}
		}
	}
	ts.Fatalf("no program %s", name)
	return ""
}

// roundNumbers copies JSON with every number to four digits, so that the last bits
// of another processor's arithmetic do not show: round stdout got.json
func roundNumbers(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: round FROM TO")
	}
	rounded := regexp.MustCompile(`-?\d+\.\d{4,}(e-?\d+)?`).ReplaceAllStringFunc(ts.ReadFile(args[0]), func(text string) string {
		v, err := strconv.ParseFloat(text, 64)
		ts.Check(err)
		return strconv.FormatFloat(v, 'g', 4, 64)
	})
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(rounded), 0o666))
}

// arrows are the imports a package may have besides the standard library's, by
// the longest path that fits. Nothing points back.
var arrows = map[string][]string{
	"brinkmark":                  {"brinkmark/ui/background", "brinkmark/ui/command"},
	"brinkmark/ui":               {"brinkmark/ui/ask", "brinkmark/ui/draw", "brinkmark/ui/show", "brinkmark/ui/words", "brinkmark/profiles", "brinkmark/session", "brinkmark/session/quantity", "github.com/charmbracelet/", "golang.org/x/sys/unix"},
	"brinkmark/ui/ask":           {"brinkmark/ui/draw", "brinkmark/ui/show", "brinkmark/ui/words", "brinkmark/profiles", "brinkmark/profiles/lessons", "brinkmark/profiles/report", "brinkmark/session", "brinkmark/session/", "github.com/charmbracelet/bubbles/key"},
	"brinkmark/ui/show":          {"brinkmark/ui/draw", "brinkmark/ui/words", "brinkmark/profiles", "brinkmark/profiles/report", "brinkmark/session", "brinkmark/session/", "github.com/charmbracelet/"},
	"brinkmark/ui/draw":          {"brinkmark/ui/words", "brinkmark/session", "brinkmark/session/", "github.com/charmbracelet/lipgloss"},
	"brinkmark/ui/words":         {"github.com/charmbracelet/lipgloss"},
	"brinkmark/ui/command":       {"brinkmark/ui", "brinkmark/ui/ask", "brinkmark/ui/show", "brinkmark/ui/words", "brinkmark/profiles", "brinkmark/profiles/report", "github.com/mattn/go-isatty", "github.com/spf13/cobra", "github.com/spf13/pflag"},
	"brinkmark/ui/golden":        {"github.com/stretchr/testify/"},
	"brinkmark/ui/rehearsal":     {"brinkmark/profiles", "brinkmark/session", "github.com/stretchr/testify/"},
	"brinkmark/ui/background":    {"github.com/charmbracelet/lipgloss"},
	"brinkmark/profiles":         {"brinkmark/session", "brinkmark/session/", "github.com/BurntSushi/toml", "github.com/gofrs/flock", "github.com/oklog/ulid/v2", "golang.org/x/sys/"},
	"brinkmark/profiles/lessons": {"brinkmark/profiles", "brinkmark/session", "brinkmark/session/", "github.com/BurntSushi/toml"},
	"brinkmark/profiles/report":  {"brinkmark/profiles", "brinkmark/session", "brinkmark/session/", "github.com/mattn/go-isatty"},
	"brinkmark/session":          {"brinkmark/session/cable", "brinkmark/session/push", "brinkmark/session/quantity", "gonum.org/v1/gonum/"},
	"brinkmark/session/practice": {"brinkmark/session", "brinkmark/session/cable", "brinkmark/session/push", "brinkmark/session/quantity", "gonum.org/v1/gonum/"},
	"brinkmark/session/run":      {"brinkmark/session", "brinkmark/session/cable", "brinkmark/session/quantity", "brinkmark/session/reach", "gonum.org/v1/gonum/"},
	"brinkmark/session/reach":    {"brinkmark/session/cable", "brinkmark/session/quantity", "gonum.org/v1/gonum/"},
	"brinkmark/session/push":     {"brinkmark/session/cable", "brinkmark/session/quantity", "gonum.org/v1/gonum/"},
	"brinkmark/session/cable":    {"brinkmark/session/quantity", "gonum.org/v1/gonum/"},
	"brinkmark/session/quantity": {},
}

// handedIn is what session may only be handed: disk, network, randomness.
var handedIn = []string{"os", "os/exec", "net", "net/http", "syscall", "crypto/rand", "io/fs"}

// against returns the imports of a package that break the arrows.
func against(pkg string, imports []string) []string {
	allowed, known := arrows[pkg]
	if !known {
		return []string{"a package that has no row in the table of arrows"}
	}
	var bad []string
	for _, path := range imports {
		ours := path == "brinkmark" || strings.HasPrefix(path, "brinkmark/")
		inside := func(a string) bool { return path == a || strings.HasSuffix(a, "/") && strings.HasPrefix(path, a) }
		switch {
		case slices.ContainsFunc(allowed, inside):
		case ours, strings.Contains(strings.Split(path, "/")[0], "."):
			bad = append(bad, path)
		case strings.HasPrefix(pkg, "brinkmark/session") && slices.Contains(handedIn, path):
			bad = append(bad, path)
		}
	}
	return bad
}

func TestArrows(t *testing.T) {
	require.Equal(t, []string{"github.com/charmbracelet/lipgloss", "os"},
		against("brinkmark/session", []string{"fmt", "github.com/charmbracelet/lipgloss", "os", "brinkmark/session/cable"}))
	require.NotEmpty(t, against("brinkmark/session/quantity", []string{"brinkmark/session/cable"}))
	require.NotEmpty(t, against("brinkmark/utils", nil))

	seen := 0
	for _, line := range goList(t, `{{.ImportPath}} {{join .Imports " "}}`, "./...") {
		words := strings.Fields(line)
		require.Empty(t, against(words[0], words[1:]), words[0])
		seen++
	}
	require.GreaterOrEqual(t, seen, 8)

	for _, dep := range goList(t, `{{if not .Standard}}{{.ImportPath}}{{end}}`, "-deps", "./session/...") {
		if dep != "" {
			require.Regexp(t, `^(brinkmark/session(/.*)?|gonum\.org/v1/gonum/.*)$`, dep)
		}
	}
	for _, dep := range goList(t, `{{.ImportPath}}`, "-deps", "./profiles/...") {
		require.NotRegexp(t, `^(brinkmark/ui|github\.com/charmbracelet/)`, dep)
	}
}

func goList(t *testing.T, format string, args ...string) []string {
	t.Helper()
	cmd := exec.Command("go", append([]string{"list", "-f", format}, args...)...)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	require.NoError(t, err, stderr.String())
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}

func TestTopLevel(t *testing.T) {
	must := []string{"main.go", "ui", "session", "profiles", "testdata", "go.mod", "go.sum", "README.md", "DEVELOPERS.md", "LICENSE", ".ci"}
	may := regexp.MustCompile(`^(\.[a-z]+|[a-z_]+_test\.go|brinkmark(\.exe)?|.*\.(test|out))$`) // the rest is what .gitignore names
	entries, err := os.ReadDir(".")
	require.NoError(t, err)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
		require.True(t, slices.Contains(must, e.Name()) || may.MatchString(e.Name()), "%s does not belong at the top level", e.Name())
	}
	require.Subset(t, names, must)
}

// The sizes a file, a function and its parameters may have; table literals and
// tests are exempt.
const (
	mostFileLines, mostFunctionLines, mostParameters = 400, 60, 5
)

func TestSourceRules(t *testing.T) {
	empty := regexp.MustCompile(`^(utils?|common|helpers?|types|constants|models|misc)$`)
	files := 0
	require.NoError(t, filepath.WalkDir(".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || strings.HasPrefix(name, ".git"+string(filepath.Separator)) {
			return err
		}
		require.NotRegexp(t, empty, strings.TrimSuffix(d.Name(), ".go"), name)
		if d.IsDir() || path.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		files++
		source, err := os.ReadFile(name)
		require.NoError(t, err)
		for _, broken := range sourceRules(name, source) {
			t.Error(broken)
		}
		return nil
	}))
	require.Greater(t, files, 20)

	long := "package p\n\nfunc long(a, b, c, d, e, f int) {\n" + strings.Repeat("\tprintln(1)\n", 60) + "}\n"
	require.Len(t, sourceRules("long.go", []byte(long)), 2)
	table := "package p\n\nfunc table() []int {\n\treturn []int{\n" + strings.Repeat("\t\t1,\n", 500) + "\t}\n}\n"
	require.Empty(t, sourceRules("table.go", []byte(table)))
}

func sourceRules(name string, source []byte) []string {
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, name, source, parser.SkipObjectResolution)
	if err != nil {
		return []string{err.Error()}
	}
	lines := func(n ast.Node) int {
		return set.Position(n.End()).Line - set.Position(n.Pos()).Line + 1 - tableLines(set, n)
	}
	var broken []string
	if n := set.File(file.Pos()).LineCount() - tableLines(set, file); n > mostFileLines {
		broken = append(broken, fmt.Sprintf("%s has %d lines, the most is %d", name, n, mostFileLines))
	}
	for _, decl := range file.Decls {
		f, ok := decl.(*ast.FuncDecl)
		if !ok {
			continue
		}
		where := fmt.Sprintf("%s: %s", set.Position(f.Pos()), f.Name.Name)
		if n := lines(f); n > mostFunctionLines {
			broken = append(broken, fmt.Sprintf("%s has %d lines, the most is %d", where, n, mostFunctionLines))
		}
		if n := f.Type.Params.NumFields(); n > mostParameters {
			broken = append(broken, fmt.Sprintf("%s has %d parameters, the most is %d", where, n, mostParameters))
		}
	}
	return broken
}

// tableLines counts the lines of the slice, array and map literals in a node.
func tableLines(set *token.FileSet, n ast.Node) int {
	lines := 0
	ast.Inspect(n, func(n ast.Node) bool {
		table, ok := n.(*ast.CompositeLit)
		if !ok {
			return true
		}
		switch table.Type.(type) {
		case *ast.ArrayType, *ast.MapType:
			lines += set.Position(table.End()).Line - set.Position(table.Pos()).Line
			return false
		}
		return true
	})
	return lines
}

// terminal stands before the program and answers no query, for which bubbletea
// would wait five seconds. It reads only while a test waits for something, because
// a pty that is being read cannot be closed.
type terminal struct {
	t       *testing.T
	cmd     *exec.Cmd
	keys    io.WriteCloser
	screen  io.Reader
	printed strings.Builder
	read    int // how much of it was waited for
}

// patience is how long a test waits for what comes in milliseconds.
const patience = 20 * time.Second

func program(t *testing.T) string {
	if runtime.GOOS == "windows" {
		t.Skip("windows has neither these signals nor this kind of terminal")
	}
	binary, err := built()
	require.NoError(t, err)
	return binary
}

// builtIn is the folder of the program that the tests share.
var builtIn string

// built builds the program, once for all tests.
var built = sync.OnceValues(func() (string, error) {
	var err error
	if builtIn, err = os.MkdirTemp("", "brinkmark-test"); err != nil {
		return "", err
	}
	binary := filepath.Join(builtIn, "brinkmark")
	if out, err := exec.Command("go", "build", "-o", binary, ".").CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return binary, nil
})

// cleaning runs the tests and removes what they shared.
type cleaning struct{ tests *testing.M }

func (c cleaning) Run() int {
	code := c.tests.Run()
	_ = os.RemoveAll(builtIn)
	return code
}

// environment is one in which nothing tells the program that it is under test.
func environment(library string) []string {
	env := []string{"BRINKMARK_LIBRARY=" + library, "TERM=xterm-256color"}
	for _, v := range os.Environ() {
		if name, _, _ := strings.Cut(v, "="); !slices.Contains([]string{"BRINKMARK_LIBRARY", "TERM", "CI", "NO_COLOR", "TMUX", "STY"}, name) {
			env = append(env, v)
		}
	}
	return env
}

func onTerminal(t *testing.T, cmd *exec.Cmd) *terminal {
	file, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
	require.NoError(t, err)
	return newTerminal(t, cmd, file, file)
}

func onPipes(t *testing.T, cmd *exec.Cmd) (*terminal, io.Closer) {
	keys, err := cmd.StdinPipe()
	require.NoError(t, err)
	screen, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	return newTerminal(t, cmd, keys, screen), screen
}

func newTerminal(t *testing.T, cmd *exec.Cmd, keys io.WriteCloser, screen io.Reader) *terminal {
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = keys.Close()
	})
	return &terminal{t: t, cmd: cmd, keys: keys, screen: screen}
}

// within runs what may block and fails the test when it does.
func (term *terminal) within(what string, run func()) {
	term.t.Helper()
	done := make(chan struct{})
	go func() {
		defer close(done)
		run()
	}()
	select {
	case <-done:
	case <-time.After(patience):
		term.t.Fatalf("not within %v: %s; printed:\n%s", patience, what, term.printed.String())
	}
}

// more reads what the program prints next.
func (term *terminal) more(what string) error {
	term.t.Helper()
	var err error
	term.within(what, func() {
		var n int
		b := make([]byte, 4096)
		n, err = term.screen.Read(b)
		term.printed.Write(b[:n])
	})
	return err
}

// until waits for a text in what is printed after the text waited for before.
func (term *terminal) until(text string) {
	term.t.Helper()
	for {
		if i := strings.Index(term.printed.String()[term.read:], text); i >= 0 {
			term.read += i + len(text)
			return
		}
		if err := term.more(text); err != nil {
			term.t.Fatalf("%v before %q; printed:\n%s", err, text, term.printed.String())
		}
	}
}

func (term *terminal) press(line string) {
	term.t.Helper()
	_, err := io.WriteString(term.keys, line+"\n")
	require.NoError(term.t, err)
}

// ended waits for the end of the program. Its status says nothing: it was ended
// from outside.
func (term *terminal) ended() {
	term.t.Helper()
	term.within("the end of the program", func() { _ = term.cmd.Wait() })
}

// Source for the two queries: ECMA-48 (device status report, CSI 6n) and, for the
// background colour, the control sequences of xterm (OSC 11).
var queries = []string{"\x1b]11;?", "\x1b[6n"}

func TestMuteTerminal(t *testing.T) {
	binary := program(t)
	for _, args := range [][]string{{"version"}, {"advise", "--help"}, {"doctor"}, {"trial", "testdata/jobs/example.toml", "--plain"}} {
		t.Run(args[0], func(t *testing.T) {
			cmd := exec.Command(binary, args...)
			cmd.Env = environment(t.TempDir())
			started := time.Now()
			term := onTerminal(t, cmd)
			term.until("\n")
			require.Less(t, time.Since(started), 2*time.Second)
			if args[0] == "trial" {
				term.until("> ")
				term.press("q")
				term.until("Left.")
			}
			for term.more("the end of what is printed") == nil {
			}
			term.ended()
			for _, query := range queries {
				require.NotContains(t, term.printed.String(), query)
			}
		})
	}
}

// TestEndedFromOutside ends the program in the middle of a trial and requires that
// every answer it had acknowledged is there when the trial is resumed.
func TestEndedFromOutside(t *testing.T) {
	binary := program(t)
	sent := func(s os.Signal) func(*terminal, io.Closer) {
		return func(term *terminal, _ io.Closer) { require.NoError(term.t, term.cmd.Process.Signal(s)) }
	}
	ends := []struct {
		name  string
		pipes bool
		end   func(*terminal, io.Closer)
		next  string // the question the resumed trial begins with
	}{
		{"hang-up", false, sent(syscall.SIGHUP), "Guards, hands, sleeves, hair?"},
		{"terminated", false, sent(syscall.SIGTERM), "Guards, hands, sleeves, hair?"},
		{"interrupt", false, sent(syscall.SIGINT), "Guards, hands, sleeves, hair?"},
		{"killed", false, sent(syscall.SIGKILL), "Guards, hands, sleeves, hair?"},
		{"terminal gone", false, func(term *terminal, _ io.Closer) { require.NoError(term.t, term.keys.Close()) }, "Guards, hands, sleeves, hair?"},
		{"input closed", true, func(term *terminal, _ io.Closer) { require.NoError(term.t, term.keys.Close()) }, "Guards, hands, sleeves, hair?"},
		{"output closed", true, func(term *terminal, screen io.Closer) {
			require.NoError(term.t, screen.Close())
			term.press("1") // on disk before the program finds that nobody listens
		}, "Before a hand goes near the belts?"},
	}
	for _, row := range ends {
		t.Run(row.name, func(t *testing.T) {
			if row.name == "hang-up" && signal.Ignored(syscall.SIGHUP) {
				t.Skip("whoever began these tests ignores it, and so does what they begin")
			}
			library := t.TempDir()
			cmd := exec.Command(binary, "trial", "testdata/jobs/example.toml", "--plain")
			cmd.Env = environment(library)
			var term *terminal
			var screen io.Closer
			if row.pipes {
				term, screen = onPipes(t, cmd)
			} else {
				term = onTerminal(t, cmd)
			}
			for _, question := range []string{"[job]", "[cautions]", "[checks] Air", "[checks] Stop"} {
				term.until(question)
				term.until("> ")
				term.press("1")
			}
			term.until("[checks] Guards")
			term.until("> ")
			row.end(term, screen)
			term.ended()

			resume := exec.Command(binary, "resume", "--plain")
			resume.Env = environment(library)
			resume.Stdin = strings.NewReader("q\n")
			out, err := resume.CombinedOutput()
			require.NoError(t, err, string(out))
			require.Contains(t, string(out), "] "+row.next)
		})
	}
}
