package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/term"
)

// terminal reports whether a stream is a screen that a person watches, or the keyboard before it.
func terminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// progress shows work on a terminal once it has lasted a second; silent in a pipe.
type progress struct {
	w     io.Writer // nil: silent
	what  string
	start time.Time
	last  time.Time
	shown bool
}

func (e *env) progress(what string) *progress {
	return &progress{w: e.screen, what: what, start: time.Now()}
}

// step tells how far the work is; it may be called from one goroutine at a time.
func (p *progress) step(done, of int) {
	now := time.Now()
	if p.w == nil || of <= 0 || now.Sub(p.start) < time.Second || now.Sub(p.last) < 200*time.Millisecond {
		return
	}
	p.last, p.shown = now, true
	share := float64(done) / float64(of)
	left := ""
	if share > 0.02 {
		d := time.Duration(float64(now.Sub(p.start)) * (1 - share) / share)
		left = fmt.Sprintf(", at most %s left", d.Round(time.Second))
	}
	fmt.Fprintf(p.w, "\r%s: %3.0f %%%s (Ctrl-C stops)\033[K", p.what, share*100, left)
}

func (p *progress) end() {
	if p.shown {
		fmt.Fprint(p.w, "\r\033[K")
	}
}

// say prints lines above the progress, on a terminal only.
func (p *progress) say(lines string) {
	if p.w == nil {
		return
	}
	fmt.Fprintf(p.w, "\r\033[K%s\n", lines)
}
