package ui

import (
	"testing"

	"github.com/stretchr/testify/require"

	"brinkmark/session/parallel"
)

// A fault in work that is done side by side is told like any other, with where it was.
func TestFaultOfWorkSideBySide(t *testing.T) {
	defer func() {
		require.Regexp(t, `(?s)^brinkmark itself has failed: the fault\n  what it called written is on disk: .*goroutine .*ui\.broken`, Fault(recover()).Error())
	}()
	parallel.Each(10, broken)
}

func broken(int) { panic("the fault") }
