// Package golden compares what a test has drawn or written with what was looked at before.
package golden

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Same requires that got is the text of testdata/<name>.golden beside the test.
// BRINKMARK_UPDATE=1 writes it anew.
func Same(t testing.TB, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name+".golden")
	if os.Getenv("BRINKMARK_UPDATE") != "" {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o666))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, strings.ReplaceAll(string(want), "\r\n", "\n"), got)
}
