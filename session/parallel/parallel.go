// Package parallel does the same with many things, side by side.
package parallel

import (
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
)

// Fault is what Each panics with: what one of the calls did, and where.
type Fault struct {
	Caught any
	Stack  []byte
}

// Each calls do with 0 to n-1, on every core. Should one of them panic, no more are begun,
// and Each panics when those that were have ended, with a [Fault]: whoever called it can
// recover, as from a loop. In a goroutine of its own a panic would end the program.
func Each(n int, do func(i int)) {
	var next atomic.Int64
	var wait sync.WaitGroup
	var fault atomic.Pointer[Fault]
	work := func() {
		defer func() {
			if caught := recover(); caught != nil {
				next.Store(int64(n))
				fault.CompareAndSwap(nil, &Fault{caught, debug.Stack()})
			}
		}()
		for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
			do(i)
		}
	}
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(work)
	}
	wait.Wait()
	if first := fault.Load(); first != nil {
		panic(*first)
	}
}
