package main

import (
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync/atomic"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/internal/demo"
	"halfstop/internal/store"
)

// env is the outside world of a command.
type env struct {
	in       io.Reader
	out, err io.Writer // for text: control characters do not pass
	raw      *sink     // standard output for bytes, below out
	screen   io.Writer // a terminal for progress; nil where there is none
	columns  int       // most columns of a line of text
	said     map[string]bool
	at       string // --at: the time of day asked for; empty: each setup's own
}

func newEnv(in io.Reader, out, errs io.Writer) *env {
	e := &env{in: in, raw: &sink{w: out}, err: plainText{errs}, columns: columnsOf(out), said: map[string]bool{}}
	e.out = plainText{e.raw}
	if terminal(errs) {
		e.screen = errs
	}
	return e
}

// patient says that the running command is to be waited for when it is stopped.
var patient atomic.Bool

// mostFile is the largest photometric file or mesh that is read.
const mostFile = 256 << 20

// load reads and parses a shoot; args holds at most one path. Messages are printed; those of
// severity Error end the command.
func (e *env) load(args []string) (*answer.Job, diag.List, error) {
	if len(args) == 0 {
		s := &store.Shoot{Name: demo.Name, Src: demo.Shoot()}
		f, doc, list := s.Parse()
		job := &answer.Job{File: f, Doc: doc, Files: func(name string) ([]byte, error) {
			return fs.ReadFile(demo.FS(),
				name)
		}}
		return e.timed(job, list)
	}
	s, err := store.Read(args[0], e.in)
	if err != nil {
		return nil, nil, badInput(err)
	}
	f, doc, list := s.Parse()
	job := &answer.Job{File: f, Doc: doc, Files: func(name string) ([]byte, error) {
		return s.ReadFile(name,
			mostFile)
	}}
	return e.timed(job, list)
}

// shoot loads a shoot and prints what is found of it.
func (e *env) shoot(args []string) (*answer.Job, error) {
	job, list, err := e.load(args)
	if err == nil {
		e.warn(list)
	}
	return job, err
}

// chosen loads a shoot, with the numbers of the setups that --setup chooses, in the file's order.
func (e *env) chosen(args []string, setup string) (*answer.Job, []int, error) {
	job, err := e.shoot(args)
	if err != nil {
		return nil, nil, err
	}
	setups, err := job.Setups(setup)
	return job, setups, badInput(err)
}

// timed moves every setup to the hour of --at.
func (e *env) timed(job *answer.Job, list diag.List) (*answer.Job, diag.List, error) {
	if err := e.fail(list); err != nil || e.at == "" {
		return job, list, err
	}
	m, ok := answer.Minute(e.at)
	if !ok {
		return nil, nil, badInput(fmt.Errorf("--at %q: write a time of day like 17:30", e.at))
	}
	for i := range job.File.Setups {
		job = job.At(i, answer.ClockText(m))
	}
	return job, list, nil
}

// fail prints a list that holds an Error and returns exit code 2; else nil, printing nothing.
func (e *env) fail(list diag.List) error {
	if !list.Has(diag.Error) {
		return nil
	}
	e.messages(e.err, list)
	return &exitError{code: exitInput}
}

// warn prints messages, each once in a command: a wall's is the same in every setup.
func (e *env) warn(list diag.List) {
	e.messages(e.err, e.unsaid(list))
}

// excerpt is a line of a message that shows the file, or marks a place in it.
var excerpt = regexp.MustCompile(`^ +\d* \| `)

// excerptEdge is what stands beside the characters of an excerpt: indent, line number, bar and the
// signs of a cut.
const excerptEdge = 12

// messages prints messages in the width of the output; excerpts of the file are cut and not
// wrapped, so that marks stand under their characters.
func (e *env) messages(w io.Writer, list diag.List) {
	for line := range strings.Lines(list.TextIn(e.columns - excerptEdge)) {
		line = strings.TrimRight(line, "\n")
		if excerpt.MatchString(line) {
			fmt.Fprintln(w, line)
			continue
		}
		fmt.Fprint(w, wrap(line, e.columns, len(line)-len(strings.TrimLeft(line, " "))+2))
	}
}

// unsaid gives the messages that were not given before.
func (e *env) unsaid(list diag.List) (fresh diag.List) {
	for _, m := range list {
		if k := fmt.Sprint(m.Code, m.Pos, m.Text); !e.said[k] {
			e.said[k] = true
			fresh = append(fresh, m)
		}
	}
	return fresh
}

// json prints a value with two-space indent.
func (e *env) json(v any) error {
	enc := json.NewEncoder(e.out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// write puts data into a file, whole or not at all, or onto standard output for '-'. A file that is
// a shoot is written over only where force says so.
func (e *env) write(path string, data []byte, force bool) error {
	if path == "-" {
		_, err := e.raw.Write(data)
		return err
	}
	if err := place(path); err != nil {
		return err
	}
	if !force && store.IsShoot(path) {
		return badInput(fmt.Errorf("%s is a shoot and stays as it is; give another name, or --force to write over it",
			path))
	}
	if err := store.WriteFile(path, data); err != nil {
		return badInput(err)
	}
	return nil
}

// place reports, before any work is done, that a file could not be written for want of its folder.
func place(path string) error {
	if dir := filepath.Dir(path); path != "" && path != "-" && dir != "." {
		if info, err := os.Stat(dir); err != nil || !info.IsDir() {
			return badInput(fmt.Errorf("%s: the folder %s is not there; make it first", path, dir))
		}
	}
	return nil
}
