package whole

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestMain runs the tests at the top level, where the program is built and its examples lie.
func TestMain(m *testing.M) {
	if filepath.Base(os.Args[0]) == "brinkmark" { // see newClockedTablet
		exampleJob, err := os.ReadFile("testdata/jobs/example.toml")
		if err != nil {
			panic(err)
		}
		Scripted(exampleJob)
	}
	if err := os.Chdir("../.."); err != nil {
		panic(err)
	}
	code := m.Run()
	_ = os.RemoveAll(builtIn)
	os.Exit(code)
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
