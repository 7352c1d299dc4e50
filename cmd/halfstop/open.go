package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"time"

	"github.com/spf13/cobra"

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
	var o openOptions
	c := &cobra.Command{
		Use:   "open [SHOOT]",
		Short: "the workbench in the browser",
		Long: `open serves the workbench to the browser of this machine, and to no other machine. Changes are saved to the shoot file as they
are made; the demonstration lives in memory until it is saved under a name. Ctrl-C ends it.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return e.open(c.Context(), &o, args) },
	}
	c.Flags().StringVar(&o.listen, "listen", "127.0.0.1:0", "address of this machine to serve on, like 127.0.0.1:8437; port 0 is any free one")
	c.Flags().BoolVar(&o.noBrowser, "no-browser", false, "do not open the browser")
	c.Flags().IntVar(&o.memory, "memory", 1024, "most memory for pictures, MiB")
	return c
}

func (e *env) open(ctx context.Context, o *openOptions, args []string) error {
	if o.memory < 64 || o.memory > 1<<16 {
		return badInput(fmt.Errorf("--memory %d: give 64 to 65536 MiB", o.memory))
	}
	so := server.Options{Listen: o.listen, Page: server.BuiltPage(), Memory: int64(o.memory) << 20, Version: version(), Log: e.err}
	if dir, err := os.UserCacheDir(); err == nil {
		so.Journals = filepath.Join(dir, "halfstop")
	}
	if len(args) == 0 {
		so.Shoot, so.Demo = &store.Shoot{Name: demo.Name, Src: demo.Shoot()}, true
		so.Files = func(name string) ([]byte, error) { return fs.ReadFile(demo.FS(), name) }
	} else {
		if args[0] == "-" {
			return badInput(errors.New("the workbench needs a file to keep changes in, not standard input"))
		}
		s, err := store.Read(args[0], e.in)
		if err != nil {
			return badInput(err)
		}
		so.Shoot = s
		so.Files = func(name string) ([]byte, error) { return s.ReadFile(name, mostFile) }
	}
	s, err := server.New(so)
	if err != nil {
		return badInput(err)
	}
	address := "http://" + s.Address + "/"
	fmt.Fprintf(e.out, "%s\n", address)
	if !o.noBrowser {
		if err := browse(address); err != nil {
			fmt.Fprintf(e.err, "halfstop: the browser was not opened (%v); open the address above yourself\n", err)
		}
	}
	if err := s.Serve(ctx); err != nil {
		return err
	}
	return nil
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
