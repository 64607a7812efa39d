package rehearsal

import (
	"cmp"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Walks does what nobody means to do, from one seed after another: so often as
// BRINKMARK_WALKS says, or a few times, and from BRINKMARK_FIRST_WALK on.
func Walks(t *testing.T, few int, walk func(t *testing.T, seed int)) {
	walks, _ := strconv.Atoi(cmp.Or(os.Getenv("BRINKMARK_WALKS"), strconv.Itoa(few)))
	first, _ := strconv.Atoi(os.Getenv("BRINKMARK_FIRST_WALK"))
	for seed := first; seed < first+walks; seed++ {
		t.Run(strconv.Itoa(seed), func(t *testing.T) { walk(t, seed) })
	}
}

// RequireSound requires that every record of a library can be read and is whole.
func RequireSound(t *testing.T, dir string, now func() time.Time) {
	t.Helper()
	library, err := OpenLibrary(dir, now, nil)
	require.NoError(t, err)
	health := library.Health(nil)
	require.NoError(t, health.Problem)
	require.Empty(t, health.Unreadable)
	require.Empty(t, health.Torn)
}

// Long passes a test over that takes more than a second, where only the short ones are wanted.
func Long(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("long: run without -short")
	}
}
