package ui

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/ui/ask"
)

// The README's key table is the program's, and its captures are screens that a test
// reaches by keys. BRINKMARK_UPDATE=1 writes both anew between their marks.
func TestReadme(t *testing.T) {
	const path = "../README.md"
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var table strings.Builder
	table.WriteString("| key | does |\n|---|---|\n")
	for _, row := range ask.KeyTable() {
		fmt.Fprintf(&table, "| %s | %s |\n", row[0], row[1])
	}
	want := replaceBetween(t, string(text), "keys", table.String())
	for _, screen := range []string{"block", "dial_next", "read", "end_setting"} {
		capture, err := os.ReadFile(filepath.Join("testdata", "screens", screen, "80x24.golden"))
		require.NoError(t, err)
		want = replaceBetween(t, want, screen, "```\n"+string(capture)+"```\n")
	}
	if os.Getenv("BRINKMARK_UPDATE") != "" {
		require.NoError(t, os.WriteFile(path, []byte(want), 0o644))
		return
	}
	require.Equal(t, want, string(text))
}

// What the README shows of a session line by line is what that session says, in its order.
func TestReadmeSession(t *testing.T) {
	readme, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	whole, err := os.ReadFile(filepath.Join("testdata", "plain_whole.golden"))
	require.NoError(t, err)
	_, session, ok := strings.Cut(string(readme), "\n[job] Is this the job?\n")
	require.True(t, ok)
	session, _, _ = strings.Cut(session, "```")
	said, shown := strings.Split(string(whole), "\n"), 0
	for _, line := range strings.Split(session, "\n") {
		if trimmed := strings.TrimSpace(line); trimmed == "" || trimmed == "…" || trimmed == "written" || strings.HasPrefix(line, ">") {
			continue
		}
		line, _, _ = strings.Cut(line, "…") // a path
		at := slices.IndexFunc(said, func(s string) bool { return strings.HasPrefix(strings.TrimPrefix(s, "> "), line) })
		require.GreaterOrEqual(t, at, 0, "it does not say, or not here: %q", line)
		said, shown = said[at+1:], shown+1
	}
	require.Greater(t, shown, 30)
}

// replaceBetween puts text between two marks of the README.
func replaceBetween(t *testing.T, readme, mark, text string) string {
	from, to := "<!-- "+mark+" -->\n", "<!-- end of "+mark+" -->"
	before, rest, ok := strings.Cut(readme, from)
	require.True(t, ok, "the README has no mark %q", from)
	_, after, ok := strings.Cut(rest, to)
	require.True(t, ok, "the README has no mark %q", to)
	return before + from + text + to + after
}
