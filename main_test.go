package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"

	"brinkmark/ui/command"
)

func TestMain(m *testing.M) {
	testscript.Main(cleaning{m}, map[string]func(){"brinkmark": scripted})
}

// scripted is the program of the scripts: the product, but its clock goes on by steps at
// each look, from one run of the program to the next, in the file that scriptClock names.
// Scripts answer in milliseconds what a crew needs seconds for, and nobody believes pushes
// so close together.
func scripted() {
	name := os.Getenv(scriptClock)
	if name == "" {
		main()
	}
	time.Local = time.FixedZone("", -5*60*60)
	clock := &steppedClock{file: name}
	os.Exit(command.Program{In: os.Stdin, Out: os.Stdout, Err: os.Stderr, ExampleJob: exampleJob, Clock: clock.now}.Run(os.Args[1:]))
}

// scriptClock is the variable that names the file of the scripts' clock.
const scriptClock = "BRINKMARK_SCRIPT_CLOCK"

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
			env.Setenv(scriptClock, filepath.Join(env.WorkDir, "clock"))
			env.Setenv("CLEAR", "\x1b[2J\x1b]0;title\a\u202e")
			for _, name := range []string{"example.toml", "said.toml"} {
				job, err := os.ReadFile(filepath.Join("testdata/jobs", name))
				if err != nil {
					return err
				}
				if err := os.WriteFile(filepath.Join(env.WorkDir, name), job, 0o444); err != nil {
					return err
				}
			}
			return nil
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
// further push stalls: lead STALL,SLIP,leave brinkmark resume --plain. What begins with =
// answers the next question, whatever it is. Of a lesson see [learner]; it ends with its
// review.
func lead(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: lead OUTCOME,OUTCOME program [args...]")
	}
	outcomes := strings.Split(args[0], ",")
	cmd := exec.Command(inPath(ts, args[1]), args[2:]...)
	cmd.Dir = ts.MkAbs(".")
	cmd.Stderr = ts.Stderr()
	for _, name := range []string{"HOME", "BRINKMARK_LIBRARY", "PATH", "TMPDIR", scriptClock} {
		cmd.Env = append(cmd.Env, name+"="+ts.Getenv(name))
	}
	in, err := cmd.StdinPipe()
	ts.Check(err)
	out, err := cmd.StdoutPipe()
	ts.Check(err)
	ts.Check(cmd.Start())
	asked, practises := "", learner{}
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
		question := asked[strings.LastIndex(asked, "\n[")+1:]
		answer := firstKey(question)
		said, first := strings.CutPrefix(outcomes[0], "=")
		if first {
			answer, outcomes = said, append(outcomes[1:], "STALL")
		} else if strings.Contains(question, "What happened?") {
			answer, outcomes = pressFor(question, outcomes[0]), append(outcomes[1:], "STALL")
		} else if seen, used := practises.answer(question, outcomes[0]); seen != "" {
			if answer = seen; used {
				outcomes = append(outcomes[1:], "STALL")
			}
		} else if strings.Contains(question, "How it went") {
			break
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

// firstKey is what stands before the first choice of the last question.
func firstKey(question string) string {
	question = question[strings.LastIndex(question, "\n[")+1:]
	if m := regexp.MustCompile(`(?m)^  ([0-9]|[a-pr-z])  \S`).FindStringSubmatch(question); m != nil {
		return m[1]
	}
	return "1"
}

// pressFor is the number of the choice that begins with a text, or q to leave.
func pressFor(question, label string) string {
	if m := regexp.MustCompile(`(?m)^  (\S+)  ` + regexp.QuoteMeta(label)).FindStringSubmatch(question); m != nil {
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
