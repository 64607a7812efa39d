package journal

import "testing"

// long passes a test over that takes more than a second, where only the short ones are wanted.
func long(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("long: run without -short")
	}
}
