package memory

import (
	"testing"

	"brinkmark/profiles/store"
	"brinkmark/profiles/store/storetest"
)

func TestStore(t *testing.T) {
	storetest.Suite(t, func(*testing.T) store.Store { return New() })
}
