//go:build race

package profiles

func init() { racing = true }
