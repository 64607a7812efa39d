package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// arrows are the imports a package may have besides the standard library's, by
// the longest path that fits. Nothing points back.
var arrows = map[string][]string{
	"brinkmark":                            {"brinkmark/ui/background", "brinkmark/ui/command"},
	"brinkmark/ui":                         {"brinkmark/ui/ask", "brinkmark/ui/draw", "brinkmark/ui/show", "brinkmark/ui/words", "brinkmark/profiles", "brinkmark/session", "brinkmark/session/parallel", "brinkmark/session/quantity", "github.com/charmbracelet/", "github.com/muesli/termenv", "golang.org/x/sys/unix"},
	"brinkmark/ui/ask":                     {"brinkmark/ui/draw", "brinkmark/ui/show", "brinkmark/ui/words", "brinkmark/profiles", "brinkmark/profiles/lessons", "brinkmark/profiles/problem", "brinkmark/profiles/report", "brinkmark/session", "brinkmark/session/", "github.com/charmbracelet/bubbles/key"},
	"brinkmark/ui/show":                    {"brinkmark/ui/draw", "brinkmark/ui/words", "brinkmark/profiles", "brinkmark/profiles/report", "brinkmark/profiles/store", "brinkmark/session", "brinkmark/session/", "github.com/charmbracelet/"},
	"brinkmark/ui/draw":                    {"brinkmark/ui/words", "brinkmark/session", "brinkmark/session/", "github.com/charmbracelet/lipgloss"},
	"brinkmark/ui/words":                   {"github.com/charmbracelet/lipgloss"},
	"brinkmark/ui/command":                 {"brinkmark/ui", "brinkmark/ui/ask", "brinkmark/ui/show", "brinkmark/ui/words", "brinkmark/profiles", "brinkmark/profiles/report", "brinkmark/profiles/store/folder", "github.com/mattn/go-isatty", "github.com/spf13/cobra", "github.com/spf13/pflag"},
	"brinkmark/ui/golden":                  {"github.com/stretchr/testify/"},
	"brinkmark/ui/rehearsal":               {"brinkmark/profiles", "brinkmark/profiles/lessons", "brinkmark/profiles/store/folder", "brinkmark/profiles/store/folder/disk", "brinkmark/session", "github.com/stretchr/testify/"},
	"brinkmark/ui/whole":                   {"brinkmark/ui/background", "brinkmark/ui/command", "brinkmark/session/practice"},
	"brinkmark/ui/background":              {"github.com/charmbracelet/lipgloss"},
	"brinkmark/profiles":                   {"brinkmark/profiles/journal", "brinkmark/profiles/problem", "brinkmark/profiles/store", "brinkmark/session", "brinkmark/session/", "github.com/BurntSushi/toml", "github.com/oklog/ulid/v2"},
	"brinkmark/profiles/problem":           {"github.com/BurntSushi/toml"},
	"brinkmark/profiles/journal":           {"brinkmark/profiles/problem", "brinkmark/profiles/store"},
	"brinkmark/profiles/store":             {"brinkmark/profiles/problem", "brinkmark/session/quantity"},
	"brinkmark/profiles/store/folder":      {"brinkmark/profiles/problem", "brinkmark/profiles/store", "brinkmark/profiles/store/folder/disk", "github.com/gofrs/flock"},
	"brinkmark/profiles/store/folder/disk": {"brinkmark/session/quantity", "github.com/gofrs/flock", "golang.org/x/sys/"},
	"brinkmark/profiles/store/memory":      {"brinkmark/profiles/store", "brinkmark/session/quantity"},
	"brinkmark/profiles/store/storetest":   {"brinkmark/profiles/store", "brinkmark/profiles/store/folder/disk", "github.com/stretchr/testify/"},
	"brinkmark/profiles/lessons":           {"brinkmark/profiles", "brinkmark/profiles/problem", "brinkmark/profiles/store", "brinkmark/session", "brinkmark/session/", "github.com/BurntSushi/toml"},
	"brinkmark/profiles/report":            {"brinkmark/profiles", "brinkmark/session", "brinkmark/session/", "github.com/mattn/go-isatty"},
	"brinkmark/session":                    {"brinkmark/session/cable", "brinkmark/session/push", "brinkmark/session/quantity", "gonum.org/v1/gonum/"},
	"brinkmark/session/practice":           {"brinkmark/session", "brinkmark/session/cable", "brinkmark/session/push", "brinkmark/session/quantity", "gonum.org/v1/gonum/"},
	"brinkmark/session/run":                {"brinkmark/session", "brinkmark/session/cable", "brinkmark/session/quantity", "brinkmark/session/reach", "gonum.org/v1/gonum/"},
	"brinkmark/session/reach":              {"brinkmark/session/cable", "brinkmark/session/parallel", "brinkmark/session/quantity", "gonum.org/v1/gonum/"},
	"brinkmark/session/push":               {"brinkmark/session/cable", "brinkmark/session/quantity", "gonum.org/v1/gonum/"},
	"brinkmark/session/cable":              {"brinkmark/session/quantity", "gonum.org/v1/gonum/"},
	"brinkmark/session/quantity":           {},
	"brinkmark/session/parallel":           {},
}

// handedIn is what session may only be handed: disk, network, randomness.
var handedIn = []string{"os", "os/exec", "net", "net/http", "syscall", "crypto/rand", "io/fs"}

// pathless are the packages that know no path and open no file: records have names, and only a
// store, and who reads what somebody names, knows where they are.
var pathless = regexp.MustCompile(`^brinkmark/(profiles(/(journal|lessons|problem|report|store|store/memory))?|ui/(ask|draw|show|words))$`)

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
		case pathless.MatchString(pkg) && slices.Contains([]string{"os", "path/filepath", "syscall"}, path):
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
	require.Equal(t, []string{"path/filepath"}, against("brinkmark/profiles", []string{"path", "path/filepath"}))

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
	may := regexp.MustCompile(`^(\.[a-z]+|(main|source)_test\.go|brinkmark(\.exe)?|.*\.(test|out))$`) // the rest is what .gitignore names
	entries, err := os.ReadDir(".")
	require.NoError(t, err)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
		require.True(t, slices.Contains(must, e.Name()) || may.MatchString(e.Name()), "%s does not belong at the top level", e.Name())
	}
	require.Subset(t, names, must)
}

// The sizes a file, a function and its parameters may have; table literals are exempt.
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
		if d.IsDir() || path.Ext(name) != ".go" {
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
