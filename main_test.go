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
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"brinkmark/ui/whole"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"brinkmark": func() { whole.Scripted(exampleJob) }})
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
			env.Setenv(whole.ScriptClock, filepath.Join(env.WorkDir, "clock"))
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
// answers the next question, whatever it is. Of a lesson see [whole.Learner]; it ends with its
// review.
func lead(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: lead OUTCOME,OUTCOME program [args...]")
	}
	outcomes := strings.Split(args[0], ",")
	cmd := exec.Command(inPath(ts, args[1]), args[2:]...)
	cmd.Dir = ts.MkAbs(".")
	cmd.Stderr = ts.Stderr()
	for _, name := range []string{"HOME", "BRINKMARK_LIBRARY", "PATH", "TMPDIR", whole.ScriptClock} {
		cmd.Env = append(cmd.Env, name+"="+ts.Getenv(name))
	}
	in, err := cmd.StdinPipe()
	ts.Check(err)
	out, err := cmd.StdoutPipe()
	ts.Check(err)
	ts.Check(cmd.Start())
	asked, practises := "", whole.Learner{}
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
		answer := whole.FirstKey(question)
		said, first := strings.CutPrefix(outcomes[0], "=")
		if first {
			answer, outcomes = said, append(outcomes[1:], "STALL")
		} else if strings.Contains(question, "What happened?") {
			answer, outcomes = whole.PressFor(question, outcomes[0]), append(outcomes[1:], "STALL")
		} else if seen, used := practises.Answer(question, outcomes[0]); seen != "" {
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
