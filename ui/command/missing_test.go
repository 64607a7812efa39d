package command

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A library that is not there answers like an empty one, so everything that looks something up
// says that it is not there; the answer and the exit code are those of an empty one.
func TestMissingLibraryIsSaid(t *testing.T) {
	none := filepath.Join(t.TempDir(), "lost")
	const says = "there is no library at "
	for code, args := range map[int][][]string{
		int(exitNothing): {{"covers", exampleJob}, {"resume"}, {"run"}},
		0:                {{"review", "--csv"}, {"review", "--weeks"}, {"review", "--json"}, {"review", "--plain"}},
		int(exitBad): {{"sheet", "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"}, {"review", "withdraw", "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D", "--by", "QS"},
			{"advise", exampleJob, "--earlier", "01K7ZQ4C5V8W9X0Y1Z2A3B4C5D"}},
	} {
		for _, args := range args {
			is, _, told := in(t, none, "", args...)
			require.Equal(t, code, is, args)
			require.Contains(t, told, says+none, args)
			require.Contains(t, told, "names the right folder", args)
		}
	}
	for _, args := range [][]string{{"covers", exampleJob, "--json"}, {"review", "--json"}} {
		_, out, _ := in(t, none, "", args...)
		require.Contains(t, out, `"warnings": [`+"\n"+`    "`+says, args)
	}
	// Who begins something in a library that was named is told too, the name may be wrong.
	_, _, told := in(t, none, "", "--plain")
	require.Contains(t, told, says+none)
	require.NoDirExists(t, none)

	// The first start in the usual place is silent, as is what an empty library is asked.
	home := t.TempDir()
	t.Setenv("XDG_DATA_HOME", home)
	_, _, told = in(t, "", "", "--plain")
	require.Empty(t, told)
	_, _, told = in(t, "", "", "trial", exampleJob, "--plain")
	require.Empty(t, told)
	_, _, told = in(t, "", "", "covers", exampleJob)
	require.Contains(t, told, says+filepath.Join(home, "brinkmark"))
	require.NoError(t, os.MkdirAll(none, 0o755))
	_, _, told = in(t, none, "", "covers", exampleJob)
	require.Empty(t, told)
}

// An exchange with a library that is not there would fill a mistyped one: it is refused, and
// nothing is made. The usual place may be new: a second tablet begins with its first stick.
func TestExchangeNeedsTheLibraryNamed(t *testing.T) {
	none, stick := filepath.Join(t.TempDir(), "lost"), t.TempDir()
	code, out, told := in(t, none, "", "exchange", stick)
	require.Equal(t, int(exitBad), code)
	require.Empty(t, out)
	require.Contains(t, told, "there is no library at "+none)
	require.Contains(t, told, "\n  ")
	require.NoDirExists(t, none)

	home := t.TempDir()
	t.Setenv("XDG_DATA_HOME", home)
	code, _, told = in(t, "", "", "exchange", stick)
	require.Equal(t, 0, code, told)
	require.DirExists(t, filepath.Join(home, "brinkmark"))
	require.NoError(t, os.MkdirAll(none, 0o755))
	code, _, told = in(t, none, "", "exchange", stick)
	require.Equal(t, 0, code, told)
}
