package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"syscall"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/internal/demo"
	"halfstop/internal/server"
	"halfstop/internal/store"
)

type openOptions struct {
	listen    string
	noBrowser bool
	memory    int
}

func openCommand(e *env) *cobra.Command {
	return command(e, words{use: "open [SHOOT]", most: 1, short: "the workbench in the browser",
		long: `open serves the workbench to the browser of this machine, and to no other machine. Changes are
saved to the shoot file as they are made; a folder without a shoot begins one; the demonstration
lives in memory until it is saved under a name. Ctrl-C ends it.`}, &openOptions{})
}

func (o *openOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.listen, "listen", "127.0.0.1:0",
		"address of this machine to serve on, like 127.0.0.1:8437; port 0 is any free one")
	f.BoolVar(&o.noBrowser, "no-browser", false, "do not open the browser")
	f.IntVar(&o.memory, "memory", 1024, "most memory for pictures, MiB")
}

func (o *openOptions) run(ctx context.Context, e *env, args []string) error {
	if o.memory < 64 || o.memory > 1<<16 {
		return badInput(fmt.Errorf("--memory %d: give 64 to 65536 MiB", o.memory))
	}
	so := server.Options{Listen: o.listen, Page: server.BuiltPage(), Memory: int64(o.memory) << 20, Version: version(),
		Log: e.err}
	if dir, err := os.UserCacheDir(); err == nil {
		so.Journals = filepath.Join(dir, "halfstop")
	} else {
		so.Reason = "no cache folder is known: " + err.Error()
	}
	if len(args) == 0 {
		so.Shoot, so.Demo = &store.Shoot{Name: demo.Name, Src: demo.Shoot()}, true
		so.Files = func(name string) ([]byte, error) { return fs.ReadFile(demo.FS(), name) }
	} else {
		if args[0] == "-" {
			return badInput(errors.New("the workbench needs a file to keep changes in, not standard input"))
		}
		s, err := store.Read(args[0], e.in)
		if errors.Is(err, fs.ErrNotExist) {
			if kept := server.Unsaved(so.Journals, args[0]); kept != nil {
				s, err = kept, nil // the page offers to write it back
			}
		}
		// the page asks for a room, a camera, a sitter and a light
		if folder := emptyFolder(args[0]); err != nil && folder != "" {
			s, err = &store.Shoot{Name: store.PlanName}, nil
			so.Demo, so.Begin, so.Example = true, folder, demo.Shoot()
		}
		if err != nil {
			return badInput(err)
		}
		so.Shoot = s
		so.Files = func(name string) ([]byte, error) { return s.ReadFile(name, mostFile) }
		if so.Begin != "" {
			so.Files = func(name string) ([]byte, error) { return fs.ReadFile(demo.FS(), name) }
		}
	}
	patient.Store(true)
	signal.Ignore(syscall.SIGPIPE) // who reads what is printed may go; the workbench stays
	s, err := server.New(so)
	var open *server.AlreadyOpen
	if errors.As(err, &open) && open.Answers { // its page is as good as one of our own
		fmt.Fprintf(e.err, "halfstop: %v\n", open)
		o.show(e, open.Address)
		return nil
	}
	if err != nil {
		return badInput(err)
	}
	o.show(e, s.Address)
	return s.Serve(ctx)
}

// emptyFolder gives a folder's full name where it is there and holds no shoot; else nothing.
func emptyFolder(path string) string {
	info, err := os.Stat(path)
	if err != nil || !info.IsDir() {
		return ""
	}
	if _, err := os.Lstat(filepath.Join(path, store.PlanName)); !errors.Is(err, fs.ErrNotExist) {
		return ""
	}
	abs, err := filepath.Abs(path)
	if err != nil {
		return ""
	}
	return abs
}

// show prints the page's address and opens the browser there.
func (o *openOptions) show(e *env, address string) {
	address = "http://" + address + "/"
	fmt.Fprintf(e.out, "%s\n", address)
	if !o.noBrowser {
		if err := browse(address); err != nil {
			fmt.Fprintf(e.err, "halfstop: the browser was not opened (%v); open the address above yourself\n", err)
		}
	}
}

// browse opens an address in the person's browser.
func browse(address string) error {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	default:
		if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
			return errors.New("there is no display")
		}
	}
	c := exec.Command(name, args...)
	if err := c.Start(); err != nil {
		return err
	}
	failed := make(chan error, 1)
	go func() { failed <- c.Wait() }()
	select {
	case err := <-failed:
		return err
	case <-time.After(300 * time.Millisecond):
		return nil
	}
}
