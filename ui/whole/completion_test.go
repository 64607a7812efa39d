package whole

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"brinkmark/ui/rehearsal"

	"github.com/stretchr/testify/require"
)

// The shells themselves are asked what they would offer, with the script the program
// gives them. A shell that is not on the machine is passed over.

const (
	newerID = "01M8938VPMQK1QTD27230G35TA"
	olderID = "01K8938VPMQK1QTD27230G35TA"
)

// shelf is a folder to complete in: a library with two profiles, a job and a note, and
// the program's folder to search for it.
func shelf(t *testing.T, shell string) (dir, binaries string) {
	t.Helper()
	if _, err := exec.LookPath(shell); err != nil {
		t.Skip(shell + " is not on this machine")
	}
	dir = t.TempDir()
	write := func(name, text string) {
		full := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(full), 0o755))
		require.NoError(t, os.WriteFile(full, []byte(text), 0o644))
	}
	profile := "format = 1\n[cable]\nmake = \"North\u001bmoor\"\ntype = \"LT-96\"\n[duct]\nsize = \"40/33\"\n[conditions]\ncable_temperature = \"5 C\"\n"
	write("library/profiles/2026-11/"+newerID+".toml", strings.ReplaceAll(profile, "\u001b", `\u001b[31m`))
	write("library/profiles/2025-10/"+olderID+".toml", "not a record")
	write("job.toml", "format = 1\n")
	write("notes.txt", "no job\n")
	require.NoError(t, os.Mkdir(filepath.Join(dir, "stick"), 0o755))
	return dir, filepath.Dir(program(t))
}

// shell runs a shell in a folder, with the program in its path.
func shell(dir, binaries, name string, args ...string) *exec.Cmd {
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	for _, v := range environment(filepath.Join(dir, "library")) {
		if name, _, _ := strings.Cut(v, "="); name != "HOME" && name != "PATH" {
			cmd.Env = append(cmd.Env, v)
		}
	}
	cmd.Env = append(cmd.Env, "HOME="+dir, "PATH="+binaries+string(os.PathListSeparator)+os.Getenv("PATH"))
	return cmd
}

// offers are lines typed and what must and must not be offered for them.
var offers = []struct {
	typed    string
	want     []string
	unwanted string
}{
	{"adv", []string{"advise"}, "trial"},
	{"completion ", []string{"bash", "zsh", "fish", "powershell"}, "job.toml"},
	{"help re", []string{"resume", "reach"}, "trial"},
	{"advise --", []string{"--json", "--earlier", "--library"}, "--plain"},
	{"trial --", []string{"--plain"}, "--json"},
	{"advise ", []string{"job.toml"}, "notes.txt"},
	{"advise job.toml ", nil, "notes.txt"},
	{"advise job.toml --earlier ", []string{newerID, olderID}, "notes.txt"},
	{"trial --library ", []string{"stick"}, "notes.txt"},
	{"resume ", nil, "job.toml"},
	{"sheet ", []string{newerID, olderID}, "job.toml"},
	{"run ", []string{newerID, olderID}, "job.toml"},
	{"exchange ", []string{"stick"}, "job.toml"},
}

func TestCompletionBash(t *testing.T) {
	rehearsal.Long(t)
	const library = "/usr/share/bash-completion/bash_completion"
	if _, err := os.Stat(library); err != nil {
		t.Skip("the package bash-completion is not on this machine")
	}
	dir, binaries := shelf(t, "bash")
	// What bash does when the tab key is pressed. Source: Bash Reference Manual, 8.6,
	// Programmable Completion. COMP_TYPE 37 is completion without a list of descriptions.
	const ask = `source ` + library + `; source <(brinkmark completion bash); COLUMNS=100
COMP_LINE="brinkmark $1"; COMP_POINT=${#COMP_LINE}; COMP_TYPE=$2; COMP_KEY=9
read -ra COMP_WORDS <<<"$COMP_LINE"; [[ $COMP_LINE == *" " ]] && COMP_WORDS+=("")
COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); __start_brinkmark; printf '%s\n' "${COMPREPLY[@]}"`
	offered := func(typed, kind string) string {
		out, err := shell(dir, binaries, "bash", "--norc", "-c", ask, "bash", typed, kind).Output()
		require.NoError(t, err)
		return string(out)
	}
	for _, row := range offers {
		got := strings.Fields(offered(row.typed, "37"))
		for _, want := range row.want {
			require.Contains(t, got, want, row.typed)
		}
		require.NotContains(t, got, row.unwanted, row.typed)
	}
	// The newest first, with its key, and nothing in it steers the terminal.
	listed := offered("advise job.toml --earlier ", "63")
	require.Regexp(t, `(?s)^`+newerID+` +\(\d{4}-\d\d-\d\d North\[31mmoor, LT-96, 40/33, 5 C\)\n`+olderID, listed)
	require.NotContains(t, listed, "\x1b")
	requireUnwritten(t, dir)
}

func TestCompletionFish(t *testing.T) {
	dir, binaries := shelf(t, "fish")
	for _, row := range offers {
		out, err := shell(dir, binaries, "fish", "--no-config", "-c", "brinkmark completion fish | source; complete -C \"brinkmark $argv[1]\"", row.typed).Output()
		require.NoError(t, err)
		var got []string
		for _, line := range strings.Split(string(out), "\n") {
			word, _, _ := strings.Cut(line, "\t")
			got = append(got, strings.TrimSuffix(word, "/"))
		}
		for _, want := range row.want {
			require.Contains(t, got, want, row.typed)
		}
		if !strings.Contains(row.unwanted, ".") { // fish offers all files where it offers any
			require.NotContains(t, got, row.unwanted, row.typed)
		}
	}
	requireUnwritten(t, dir)
}

func TestCompletionZsh(t *testing.T) {
	dir, binaries := shelf(t, "zsh")
	cmd := shell(dir, binaries, "zsh", "-f", "-i")
	cmd.Env = append(cmd.Env, "PS1=ready> ")
	term := onTerminal(t, cmd)
	term.until("ready> ")
	term.press("autoload -U compinit; compinit -u -D; source <(brinkmark completion zsh); print set-\"\"up")
	term.until("set-up")
	for _, row := range []struct{ typed, becomes string }{
		{"brinkmark adv\t", "advise"},
		{"brinkmark advise j\t", "job.toml"},
		{"brinkmark advise job.toml --earlier 01M\t", newerID},
		{"brinkmark completion po\t", "powershell"},
	} {
		_, err := io.WriteString(term.keys, row.typed)
		require.NoError(t, err)
		term.until(row.becomes[len(row.becomes)/2:])
		term.press("\x15") // the line is taken back
	}
	term.press("exit")
	requireUnwritten(t, dir)
}

func TestCompletionPowerShell(t *testing.T) {
	dir, binaries := shelf(t, "pwsh")
	out, err := shell(dir, binaries, "pwsh", "-NoProfile", "-Command",
		"brinkmark completion powershell | Out-String | Invoke-Expression; (TabExpansion2 'brinkmark adv' 13).CompletionMatches.CompletionText").Output()
	require.NoError(t, err)
	require.Equal(t, "advise", strings.TrimSpace(string(out)))
	requireUnwritten(t, dir)
}

// requireUnwritten holds that nothing was made in the library meanwhile.
func requireUnwritten(t *testing.T, dir string) {
	t.Helper()
	var found []string
	require.NoError(t, filepath.WalkDir(filepath.Join(dir, "library"), func(name string, _ os.DirEntry, err error) error {
		found = append(found, strings.TrimPrefix(name, dir))
		return err
	}))
	require.Len(t, found, 6, found)
}
