//go:build race

package session

func init() { racing = true }
