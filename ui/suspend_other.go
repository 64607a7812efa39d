//go:build !unix

package ui

import "os"

// stopSignals are what a job is stopped with: there are no such here.
var stopSignals []os.Signal

func stop() {}

func canStop() bool { return false }
