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
	"halfstop/internal/share"
	"halfstop/internal/store"
)

type openOptions struct {
	listen    string
	noBrowser bool
	memory    int
	share     string
	shareOn   string
	frames    string
	library   string
}

func openCommand(e *env) *cobra.Command {
	return command(e, words{use: "open [SHOOT]", most: 1, short: "the workbench in the browser",
		long: `open serves the workbench to the browser of this machine, and to no other machine. Changes are
saved to the shoot file as they are made; a folder without a shoot begins one; the demonstration
lives in memory until it is saved under a name. Ctrl-C ends it.

--share also opens the floor page, and nothing else, to the phones of a crew on the local network:
encrypted, with a certificate made on the spot whose fingerprint is printed. A phone pairs by a code
that works once. --share=plain does without encryption: everybody on the network can read along.
docs/floor.md tells how.

--frames watches a folder into which tethering software puts photographs. Each is held against its
prediction; nothing is written there.`}, &openOptions{})
}

func (o *openOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.listen, "listen", "127.0.0.1:0",
		"address of this machine to serve on, like 127.0.0.1:8437; port 0 is any free one")
	f.BoolVar(&o.noBrowser, "no-browser", false, "do not open the browser")
	f.StringVar(&o.share, "share", "", "open the floor page to phones: tls, or plain (not encrypted)")
	f.Lookup("share").NoOptDefVal = "tls"
	f.StringVar(&o.shareOn, "share-on", "",
		"the one address to share on, ADDRESS or ADDRESS:PORT; absent: the first of the local network")
	f.StringVar(&o.frames, "frames", "", "a folder to watch for test frames, where tethering software puts them")
	f.StringVar(&o.library, "library", "",
		"folder of shoots and records for the Library screen; absent: the shoot's own")
	f.IntVar(&o.memory, "memory", 1024, "most memory for pictures, MiB")
}

func (o *openOptions) run(ctx context.Context, e *env, args []string) error {
	if o.memory < 64 || o.memory > 1<<16 {
		return badInput(fmt.Errorf("--memory %d: give 64 to 65536 MiB", o.memory))
	}
	if o.share != "" && o.share != "tls" && o.share != "plain" {
		return badInput(fmt.Errorf("--share=%s: write --share, or --share=plain", o.share))
	}
	if o.shareOn != "" && o.share == "" {
		return badInput(errors.New("--share-on says where to share: add --share"))
	}
	if info, err := os.Stat(o.frames); o.frames != "" && (err != nil || !info.IsDir()) {
		return badInput(fmt.Errorf("--frames %s: there is no such folder", o.frames))
	}
	so := server.Options{Listen: o.listen, Frames: o.frames, Page: server.BuiltPage(), Memory: int64(o.memory) << 20,
		Version: version(),
		Log:     e.err}
	if o.library != "" {
		var err error
		if so.Library, err = filepath.Abs(o.library); err != nil {
			return badInput(err)
		}
		if info, err := os.Stat(so.Library); err != nil || !info.IsDir() {
			return badInput(fmt.Errorf("--library %s: there is no such folder", o.library))
		}
	}
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
	holding("the last change may not be in the shoot file; if so it is offered when the shoot is opened again")
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
	if o.share != "" {
		if err := o.open(e, s); err != nil {
			return badInput(errors.Join(err, s.Close()))
		}
	}
	o.show(e, s.Address)
	return s.Serve(ctx)
}

// open shares the floor and prints how the first phone pairs.
func (o *openOptions) open(e *env, s *server.Server) error {
	if err := s.Share(server.ShareSet{On: true, Plain: o.share == "plain", Address: o.shareOn}); err != nil {
		return err
	}
	c, err := s.NewCode(server.CodeAsk{Role: "lead"})
	if err != nil {
		return err
	}
	v := s.ShareState()
	fmt.Fprintf(e.out, "The floor is shared with phones of this network at %s\n", v.URL)
	if v.Plain {
		e.line(2, v.Lacks)
	} else {
		fmt.Fprintf(e.out, "The certificate is made here, so a phone asks whether to trust it. "+
			"Its fingerprint (SHA-256):\n  %s\n  %s\n",
			v.Fingerprint[:48], v.Fingerprint[48:])
	}
	if qr, err := share.QRText(c.URL); err == nil && e.screen != nil {
		fmt.Fprint(e.out, qr)
	}
	fmt.Fprintf(e.out, "Pair the first phone, as lead, within ten minutes: "+
		"open the address and give the code %s %s.\nMore codes: in the workbench press ?, type share.\n",
		c.Code[:5], c.Code[5:])
	return nil
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
