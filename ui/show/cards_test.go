package show

import (
	"crypto/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"brinkmark/profiles"
	"brinkmark/ui/rehearsal"

	"github.com/stretchr/testify/require"
)

// TestImportCards compares what the command prints with what a foreman should read.
func TestImportCards(t *testing.T) {
	dir := t.TempDir()
	library, err := rehearsal.OpenLibrary(filepath.Join(dir, "library"), time.Now, rand.Reader)
	require.NoError(t, err)
	for _, row := range []struct{ csv, want string }{
		{"duct.size,duct.inner_diameter\n40/33,33 mm\nperson.name\nAB\n",
			"added      duct: 40/33\nadded      person: AB\nCards added: 2, completed: 0, the same: 0, different and left: 0.\n"},
		{"duct.size,duct.inner_diameter\n40/33 mm,34 mm\nperson.name,person.roles\nab,watcher\n50/40,\n",
			"! DIFFERS  duct: 40/33 mm, line 2. Its card is left as it is:\n" +
				"             duct.inner_diameter: the card says \"33 mm\", the file \"34 mm\"\n" +
				"           If the file is right, mend the card: DIR/library/ducts/40-33.toml\n" +
				"completed  person: ab\n             person.roles: watcher\n" +
				"added      person: 50/40\nCards added: 1, completed: 1, the same: 0, different and left: 1.\n"},
		{"person.name\nAB\n", "the same   person: AB\nCards added: 0, completed: 0, the same: 1, different and left: 0.\n"},
	} {
		path := filepath.Join(dir, "cards.csv")
		require.NoError(t, os.WriteFile(path, []byte(row.csv), 0o644))
		var out strings.Builder
		require.NoError(t, ImportCards(library, profiles.Source{Path: path, Text: []byte(row.csv)}, &out))
		require.Equal(t, row.want, strings.ReplaceAll(filepath.ToSlash(out.String()), filepath.ToSlash(dir), "DIR"))
	}
	var out strings.Builder
	bad, err := rehearsal.Source("../../testdata/cards/bad.csv")
	require.NoError(t, err)
	err = ImportCards(library, bad, &out)
	require.ErrorContains(t, err, "no card was written:\n")
	require.Empty(t, out.String())
}
