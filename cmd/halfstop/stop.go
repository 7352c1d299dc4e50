package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"
	"time"

	"halfstop/internal/store"
)

// grace is how long a command that was stopped may take to end by itself.
const grace = 300 * time.Millisecond

const stoppedWords = "halfstop: stopped; nothing was written"

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
	fmt.Fprintln(os.Stderr, stoppedWords)
	return exitStopped
}
