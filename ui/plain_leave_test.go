package ui

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Whoever leaves a trial line by line, or whose line is cut, is told what is still live. At
// the end of a trial that was made safe there is nothing to tell.
func TestPlainLeavingSaysWhatIsLive(t *testing.T) {
	const supply, fitted = "! The drive may still have supply: stop, isolate.", "! Stub and plug are still fitted: no air."
	for name, last := range map[string]string{"q": "q", "end of the input": ""} {
		right := scripted()
		o, _ := plainTrial(t, func(asked string) string {
			if strings.Contains(asked, "] Push 2: dial") {
				return last
			}
			return right(asked)
		})
		_, said, ok := strings.Cut(o.printed.String(), "\nLeft. ")
		require.True(t, ok, name)
		require.Contains(t, said, supply, name)
		require.Contains(t, said, fitted, name)
	}
	o, _ := plainTrial(t, scripted())
	require.NotContains(t, o.printed.String(), supply)
	o, _ = plainTrial(t, func(asked string) string {
		if strings.Contains(asked, "[job]") {
			return "q"
		}
		return scripted()(asked)
	})
	require.NotContains(t, o.printed.String(), supply, "nobody has touched the rig")
}

// Stopping line by line leads through drive, air, stub and plug before anything is closed.
func TestPlainStopIsMadeSafe(t *testing.T) {
	right := scripted()
	o, kept := plainTrial(t, func(asked string) string {
		question := asked[strings.LastIndex(asked, "\n[")+1:]
		switch {
		case strings.Contains(question, "] Push 2: dial"):
			return pressFor(question, "Stop, no setting")
		case strings.Contains(question, "Stop without a setting?"):
			return pressFor(question, "Yes, stop")
		}
		return right(asked)
	})
	said := o.printed.String()
	for _, title := range []string{"Make safe: the drive?", "Make safe: the air?", "Make safe: stub and plug?", "This trial is closed", "! Stub and plug are still fitted: no air."} {
		_, after, ok := strings.Cut(said, title)
		require.True(t, ok, title)
		said = after
	}
	require.True(t, kept.Session().Closed())
}
