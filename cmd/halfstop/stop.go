package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"sync/atomic"
	"syscall"
	"time"

	"halfstop/internal/store"
)

// grace is how long a command that was stopped may take to end by itself.
const grace = 300 * time.Millisecond

// holds is what is so when the running command is stopped; nil: nothing was written but files that
// were done by then.
var holds atomic.Pointer[string]

// holding says what is so from now on when the running command is stopped; empty: as ever.
func holding(words string) {
	if words == "" {
		holds.Store(nil)
		return
	}
	holds.Store(&words)
}

// whatHolds says what is so now that a command was stopped.
func whatHolds() string {
	if words := holds.Load(); words != nil {
		return *words
	}
	switch n := store.Written(); n {
	case 0:
		return "nothing was written"
	case 1:
		return "one file was done by then and stays, nothing else was written"
	default:
		return fmt.Sprintf("%d files were done by then and stay, nothing else was written", n)
	}
}

// run executes the command line of this process. The first Ctrl-C, SIGTERM or SIGHUP asks the
// command to end; a second one, or the end of grace, ends the process. Files are written whole or
// not at all, so there is nothing to lose by that. The workbench has all the time it needs to save
// what is open.
func run() int {
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	ended := make(chan int, 1)
	go func() { ended <- execute(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr) }()
	select {
	case code := <-ended:
		return code
	case <-signals:
		stop()
	}
	var late <-chan time.Time
	if !patient.Load() {
		late = time.After(grace)
	}
	select {
	case code := <-ended:
		return code
	case <-late:
	case <-signals:
	}
	store.Abandon()
	fmt.Fprintf(os.Stderr, "halfstop: stopped; %s\n", whatHolds())
	return exitStopped
}
