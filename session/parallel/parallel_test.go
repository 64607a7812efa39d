package parallel

import (
	"math"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestEach(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000} {
		seen := make([]atomic.Int64, n)
		Each(n, func(i int) { seen[i].Add(1) })
		for i := range seen {
			require.EqualValues(t, 1, seen[i].Load())
		}
	}
}

// A fault in one of many reaches whoever asked for them, with where it was.
func TestEachPassesAFaultOn(t *testing.T) {
	const n = math.MaxInt32 // far more than are begun until the fault is told
	var done atomic.Int64
	caught := func() (caught any) {
		defer func() { caught = recover() }()
		Each(n, func(i int) {
			if done.Add(1); i == 3 {
				broken()
			}
		})
		return nil
	}()
	require.IsType(t, Fault{}, caught)
	require.Equal(t, "the fault", caught.(Fault).Caught)
	require.Contains(t, string(caught.(Fault).Stack), "parallel.broken")
	require.Less(t, done.Load(), int64(n))
}

func broken() { panic("the fault") }
