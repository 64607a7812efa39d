package words

import (
	"strings"
	"testing"
	"unicode"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"
)

// FuzzText: whatever a text holds, cleaned it is printable, on one line it is one, wrapped
// no line is wider than it may be and no word is lost, and clipped it is its own beginning.
func FuzzText(f *testing.F) {
	for _, text := range []string{"", "\x1b[2J\x1b]0;x\a\u009b31m", "a\nb\r\nc\u2028d\u2029e\u0085f", "\u202e\u200b\u2066\ufeff", "\xff\xfe", "光ケーブル 1.25 in", "e\u0301\u0301 \U0001f468\u200d\U0001f469", strings.Repeat("w", 300), " a  b ", "a\tb\u00a0c"} {
		f.Add(text, 12)
	}
	f.Fuzz(func(t *testing.T, text string, width int) {
		clean := Clean(text)
		require.False(t, strings.ContainsFunc(clean, func(r rune) bool { return r != '\n' && !unicode.IsPrint(r) }), "%q", clean)
		require.Equal(t, clean, Clean(clean))
		require.NotContains(t, OneLine(text), "\n")
		require.True(t, strings.HasPrefix(text, ClipTo(text, width)))
		if width = width % 200; width < 2 { // a wide letter takes two cells
			require.LessOrEqual(t, len(Wrap(text, width)), len(text)+1)
			return
		}
		lines := Wrap(text, width)
		for _, line := range lines {
			require.LessOrEqual(t, lipgloss.Width(line), width, "%q", line)
			require.NotContains(t, line, "\n")
		}
		require.Equal(t, strings.Join(strings.Fields(clean), ""), strings.Join(strings.Fields(strings.Join(lines, " ")), ""))
		require.False(t, strings.ContainsFunc(ASCII(clean), func(r rune) bool { return r > '~' }))
	})
}
