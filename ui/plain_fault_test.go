package ui

import (
	"bytes"
	"io"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/profiles"
	"brinkmark/ui/ask"
	"brinkmark/ui/rehearsal"
)

// failing is a disk that fails once an attempt is written.
type failing struct{ *rehearsal.Trial }

func (f failing) Append(entries ...profiles.Entry) error {
	for _, e := range entries {
		if _, push := e.(profiles.Attempt); push {
			return io.ErrShortWrite
		}
	}
	return f.Trial.Append(entries...)
}

// What could not be written is said and asked again, and never called written.
func TestPlainDiskFails(t *testing.T) {
	kept := begun(t)
	asks := 0
	o := &operator{}
	o.answer = func(asked string) string {
		if strings.Contains(asked, io.ErrShortWrite.Error()) {
			require.NotContains(t, asked, "written\n\n")
			if asks++; asks == 2 {
				return ""
			}
		}
		return scripted()(asked)
	}
	p := Plain{In: o, Out: o, Now: kept.Now, Keeper: ask.Keeper{Trial: failing{kept}}}
	require.NoError(t, p.Run())
	require.Equal(t, 2, asks)
	require.Empty(t, kept.Session().Attempts())
}

// The question after a failed write is the one before it, so that the reading is
// not lost.
func TestPlainDiskFailsAsksAgain(t *testing.T) {
	kept := begun(t)
	o := &operator{}
	o.answer = func(asked string) string {
		if strings.Contains(asked, io.ErrShortWrite.Error()) {
			require.Contains(t, asked, "What happened?")
			return ""
		}
		return scripted()(asked)
	}
	p := Plain{In: o, Out: o, Now: kept.Now, Keeper: ask.Keeper{Trial: failing{kept}}}
	require.NoError(t, p.Run())
}

// refusing is a trial on a disk that takes nothing.
type refusing struct{ *rehearsal.Trial }

func (refusing) Append(...profiles.Entry) error { return io.ErrShortWrite }

// Who leaves after the disk refused an answer is not told that it is on disk.
func TestPlainLeftUnwritten(t *testing.T) {
	kept := begun(t)
	var out bytes.Buffer
	p := Plain{In: strings.NewReader("1\nq\n"), Out: &out, Now: kept.Now, Keeper: ask.Keeper{Trial: refusing{kept}}}
	require.NoError(t, p.Run())
	require.Contains(t, out.String(), "The last answer is not on disk")
	require.NotContains(t, out.String(), "Everything answered is on disk")
}

// full is an output that takes so many bytes.
type full struct{ room int }

func (f *full) Write(b []byte) (int, error) {
	if f.room -= len(b); f.room < 0 {
		return 0, syscall.ENOSPC
	}
	return len(b), nil
}

// heardOnly answers everything with 1, as long as all that was asked could be shown.
type heardOnly struct {
	out     *full
	tooMuch bool
}

func (h *heardOnly) Read(b []byte) (int, error) {
	h.tooMuch = h.tooMuch || h.out.room < 0
	return copy(b, "1\n"), nil
}

// Where the questions can be shown no more, down to the mark that asks for an answer, no
// answer is taken.
func TestPlainStopsWhenNothingIsShown(t *testing.T) {
	rehearsal.Long(t)
	for room := range 1500 {
		kept := begun(t)
		out := &full{room: room}
		in := &heardOnly{out: out}
		p := Plain{In: in, Out: out, Now: kept.Now, Keeper: ask.Keeper{Trial: kept}}
		err := p.Run()
		require.ErrorIs(t, err, syscall.ENOSPC)
		require.ErrorContains(t, err, "is on disk")
		require.False(t, in.tooMuch, "room for %d", room)
	}
}
