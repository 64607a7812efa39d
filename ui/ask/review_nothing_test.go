package ask

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/rehearsal"
)

// A note is shown as it was written, ids and all.
func TestNoteOnThePageAsWritten(t *testing.T) {
	for note, want := range map[string]string{"who watched?": "who watched?", "see it!": "see it!", "done.": "done.", "as " + rehearsal.ProfileID(3): "as " + rehearsal.ProfileID(3) + ".", "why...": "why..."} {
		p := &profiles.Listed{Exceptions: []profiles.Exception{{Kind: profiles.Question, Detail: "QS, 2026-05-14: " + note}}}
		require.Equal(t, []string{"! A supervisor has asked about it: QS, 2026-05-14: " + want}, againstLines(p))
	}
}

// What was written of a setting that nothing may be installed with is headed so, on its page and
// beside another.
func TestNothingIsHeadedSo(t *testing.T) {
	dir := t.TempDir()
	rehearsal.WriteProfile(t, "../../testdata/covers/profile.toml", dir, 1)
	rehearsal.WriteProfile(t, "../../testdata/covers/profile.toml", dir, 2, "\nspeed = \"95 ft/min\"", "\nspeed = \"195 ft/min\"", "[setting]", "[setting]\nlines = [\"Run at 6 psi, 195 ft/min.\"]")
	library, err := rehearsal.OpenLibrary(dir, func() time.Time { return rehearsal.Morning }, nil)
	require.NoError(t, err)
	v, err := library.Review(nil)
	require.NoError(t, err)
	d := newReviewDesk(library)
	open := func(n int) *openRecord {
		o, err := d.open(&v, rehearsal.ProfileID(n))
		require.NoError(t, err)
		return o
	}
	good, bad := open(1), open(2)
	page := func(o *openRecord) string {
		p := reviewPage{ReviewFlow: ReviewFlow{one: o, view: &v}, turn: d.turn}
		return strings.Join(p.record().Body, "\n")
	}
	require.Contains(t, page(bad), "! Hands out nothing. What was written:\nRun at 6 psi, 195 ft/min.")
	require.NotContains(t, page(good), "Hands out nothing")
	table := compared(good, bad)
	var cells []string
	for _, row := range table.Rows {
		cells = append(cells, row.Cells...)
	}
	require.Contains(t, cells, "Hands out nothing. What was written: 6 psi, 195 ft/min")
}
