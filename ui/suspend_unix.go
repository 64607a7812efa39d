//go:build unix

package ui

import (
	"os"
	"os/signal"
	"syscall"

	"golang.org/x/sys/unix"
)

// stopSignals are what a job is stopped with.
var stopSignals = []os.Signal{syscall.SIGTSTP}

// stop stops the program, and what was begun with it, until it is told to go on. The signal
// is the one that cannot be caught: a Go program that has listened for the other one is never
// again stopped by it.
func stop() {
	goOn := make(chan os.Signal, 1)
	signal.Notify(goOn, syscall.SIGCONT)
	defer signal.Stop(goOn)
	if syscall.Kill(0, syscall.SIGSTOP) == nil {
		<-goOn // the signal takes a moment
	}
}

// canStop reports whether whoever began the program would let it go on after a stop: a
// shell with jobs of its own. Without one the system stops nothing, and to wait for the word
// to go on would be to wait for ever.
func canStop() bool {
	parent := os.Getppid()
	group, err := unix.Getpgid(parent)
	if err != nil || group == unix.Getpgrp() {
		return false
	}
	session, err := unix.Getsid(parent)
	own, ownErr := unix.Getsid(0)
	return err == nil && ownErr == nil && session == own
}
