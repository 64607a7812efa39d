package disk

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"
)

// What another program is in the way of is done when it has gone; what it stays in the way
// of, and what is wrong otherwise, is told.
func TestPatiently(t *testing.T) {
	busy, other := errors.New("busy"), errors.New("other")
	for _, row := range []struct {
		answers []error // of one try after the other; the last of them stays
		want    error
		tries   int
	}{
		{[]error{nil}, nil, 1},
		{[]error{busy, busy, nil}, nil, 3},
		{[]error{busy, other, nil}, other, 2},
		{[]error{other, nil}, other, 1},
		{[]error{busy}, busy, 9}, // waits of 1, 2, 4 … 128 ms between them
	} {
		tries := 0
		err := Patiently(func(err error) bool { return err == busy }, func() error {
			tries++
			return row.answers[min(tries, len(row.answers))-1]
		})
		require.Equal(t, row.want, err)
		require.Equal(t, row.tries, tries)
	}
}
