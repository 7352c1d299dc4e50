package server

import (
	"fmt"
	"io"
	"strings"
	"sync"
)

// hub tells events to every page that listens.
type hub struct {
	mu   sync.Mutex
	subs map[chan Event]bool
	errs io.Writer
}

func newHub(errs io.Writer) *hub { return &hub{subs: map[chan Event]bool{}, errs: errs} }

func (h *hub) log(format string, args ...any) {
	if h.errs != nil {
		h.mu.Lock()
		defer h.mu.Unlock()
		fmt.Fprintf(h.errs, "halfstop: "+format+"\n", args...)
	}
}

// send never waits: a page that does not read is cut off; it comes back and asks for the state.
func (h *hub) send(e Event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for c := range h.subs {
		select {
		case c <- e:
		default:
			delete(h.subs, c)
			close(c)
		}
	}
}

func (h *hub) join() chan Event {
	c := make(chan Event, 256)
	h.mu.Lock()
	defer h.mu.Unlock()
	h.subs[c] = true
	return c
}

func (h *hub) leave(c chan Event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.subs[c] {
		delete(h.subs, c)
		close(c)
	}
}

// pages counts who listens.
func (h *hub) pages() int {
	h.mu.Lock()
	defer h.mu.Unlock()
	return len(h.subs)
}

// fault tells of a fault in a helper of the program, which lives on.
func (h *hub) fault(what string, v any, stack []byte) {
	said, _, _ := strings.Cut(fmt.Sprint(v), "\n")
	h.send(Event{Kind: "message", What: "fault", Index: -1, Text: "internal fault while " + what + ": " + said +
		". This is a mistake in halfstop; the terminal has the details"})
	h.log("internal fault while %s: %v\n%s", what, v, stack)
}
