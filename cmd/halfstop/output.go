package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"syscall"
	"unicode"
	"unicode/utf8"
)

// sink is an output that remembers its first error and writes nothing after it.
type sink struct {
	w   io.Writer
	err error
}

func (s *sink) Write(b []byte) (int, error) {
	if s.err != nil {
		return 0, s.err
	}
	n, err := s.w.Write(b)
	s.err = err
	return n, err
}

// brokenPipe reports that the reader of a pipe has gone, as 'head' does when it has seen enough.
func brokenPipe(err error) bool { return errors.Is(err, syscall.EPIPE) }

// reason is a system error without the name of the call.
func reason(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// plainText passes text on with control characters written as \u001b, so that a name in a file
// cannot command the terminal. In JSON, too, that is the same character. Line ends and tabs pass.
type plainText struct{ w io.Writer }

func (p plainText) Write(b []byte) (int, error) {
	if bytes.IndexFunc(b, commands) < 0 {
		return p.w.Write(b)
	}
	var out []byte
	for _, r := range string(b) {
		if commands(r) {
			out = fmt.Appendf(out, `\u%04x`, r)
		} else {
			out = utf8.AppendRune(out, r)
		}
	}
	if _, err := p.w.Write(out); err != nil {
		return 0, err
	}
	return len(b), nil
}

// commands reports a character that a terminal may take as a command, or that turns the direction
// of writing.
func commands(r rune) bool {
	return unicode.IsControl(r) && r != '\n' && r != '\t' || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}
