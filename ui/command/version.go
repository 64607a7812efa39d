package command

import (
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"brinkmark/ui/words"
)

// stamped is the version a release is built as, set by the linker.
var stamped string

// build says what this program was built from. What the build did not record is nil.
type build struct {
	Version    string  `json:"version"`
	Commit     *string `json:"commit"`
	CommitTime *string `json:"commit_time"`
	Changed    *bool   `json:"changed"` // the source differed from the commit
	Go         string  `json:"go"`
	Platform   string  `json:"platform"`
}

// builtAs reads what the build recorded in the program.
func builtAs() build {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		info = &debug.BuildInfo{}
	}
	return buildOf(info, stamped)
}

// buildOf takes the version from the release's stamp, or else from the module.
func buildOf(info *debug.BuildInfo, stamp string) build {
	b := build{Version: stamp, Go: info.GoVersion, Platform: runtime.GOOS + "/" + runtime.GOARCH}
	if b.Version == "" {
		b.Version = info.Main.Version
	}
	if b.Version == "" || b.Version == "(devel)" {
		b.Version = "development"
	}
	for _, s := range info.Settings {
		value := s.Value
		switch s.Key {
		case "vcs.revision":
			b.Commit = &value
		case "vcs.time":
			b.CommitTime = &value
		case "vcs.modified":
			changed := value == "true"
			b.Changed = &changed
		}
	}
	return b
}

// show writes the build, the version in the first line.
func (b build) show(out io.Writer) {
	lines := []string{"brinkmark " + b.Version}
	if b.Commit != nil {
		lines = append(lines, "commit "+*b.Commit+b.when()+b.changes())
	}
	lines = append(lines, b.Go+", "+b.Platform)
	fmt.Fprintln(words.Printable(out), strings.Join(lines, "\n"))
}

func (b build) when() string {
	if b.CommitTime == nil {
		return ""
	}
	at, err := time.Parse(time.RFC3339, *b.CommitTime)
	if err != nil {
		return ""
	}
	return at.UTC().Format(", 2006-01-02 15:04 UTC")
}

func (b build) changes() string {
	if b.Changed != nil && *b.Changed {
		return ", with changes that are in no commit"
	}
	return ""
}

func (a *app) versionCommand() *cobra.Command {
	return a.jsonFlag(&cobra.Command{
		Use:               "version",
		Short:             "version, and what it was built from",
		Long:              "Prints the version, and what the program was built from and for.",
		Example:           "brinkmark version --json",
		Args:              none,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(*cobra.Command, []string) error {
			b := builtAs()
			return a.give(b, b.show)
		},
	})
}
