package main

import (
	"errors"
	"fmt"

	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/internal/store"
	"halfstop/yamltext"
)

// solving are the options of a command that solves for the look and may write the result into the
// shoot file.
type solving struct {
	work
	json, write bool
}

func (o *solving) flags(f *pflag.FlagSet, write string) {
	o.work.flags(f)
	flagJSON(f, &o.json)
	f.BoolVar(&o.write, "write", false, write)
}

// open reads the shoot. disk is nil unless it is to be written.
func (o *solving) open(e *env, args []string) (job *answer.Job, disk *store.Shoot, err error) {
	if err := o.check(); err != nil {
		return nil, nil, err
	}
	if o.write {
		if disk, err = e.onDisk(args); err != nil {
			return nil, nil, err
		}
	}
	job, err = e.shoot(args)
	return job, disk, err
}

// findings is exit code 1 where targets are missed.
func findings(missed int) error {
	if missed > 0 {
		return &exitError{code: exitFindings}
	}
	return nil
}

// onDisk reads a shoot that may be written back. Error: it is the demonstration or standard input.
func (e *env) onDisk(args []string) (*store.Shoot, error) {
	if len(args) == 0 {
		return nil, badInput(
			errors.New("the built-in demonstration cannot be written to; save it as a file of your own and name that"))
	}
	if args[0] == "-" {
		return nil, badInput(errors.New("a shoot from standard input cannot be written back; give a file"))
	}
	s, err := store.Read(args[0], e.in)
	return s, badInput(err)
}

// rewrite changes the text of a shoot on disk and keeps the old text beside it. changed is false
// where edit leaves the text as it is; then nothing is written.
func (e *env) rewrite(s *store.Shoot, edit func(*yamltext.Doc) ([]byte, error)) (changed bool, err error) {
	doc, list := yamltext.Parse(s.Name, s.Src)
	if doc == nil {
		return false, e.fail(list)
	}
	src, err := edit(doc)
	if err != nil {
		return false, badInput(fmt.Errorf("%s cannot be edited in place: %w", s.Name, err))
	}
	if string(src) == string(s.Src) {
		return false, nil
	}
	return true, badInput(s.Write(src))
}
