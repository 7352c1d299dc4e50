package share

import (
	"context"
	"crypto/tls"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"syscall"
	"time"

	"halfstop/internal/store"
)

// Options say how to open a door.
type Options struct {
	On    netip.AddrPort // the one address to be reachable on; port 0: that of the last time, else any free one
	Plain bool           // no TLS
	Keep  string         // file for certificate and devices, that a crash does not unpair phones; "": this run only
	Log   io.Writer      // what happens at the door; nil: nowhere
}

// Lacks says what plain HTTP lacks.
const Lacks = "Plain: everybody on this network can read what goes over it, and could take a phone's place. " +
	"Phones cannot keep the screen awake. Use it only on a network of your own."

// Door is open to the network until it is closed.
type Door struct {
	opt   Options
	net   net.Listener
	cert  tls.Certificate
	print string
	host  string // as requests must name it
	now   func() time.Time
	done  chan struct{}

	bodyTime, headTime time.Duration

	mu      sync.Mutex
	saved   saved
	devices []*Device
	codes   []Code
	tries   map[string]*try // by address
	wrong   int             // codes since the last one was made
	buckets map[string]*bucket
	server  *http.Server
}

// try counts wrong codes from one address.
type try struct {
	n     int
	until time.Time // no code is looked at before
}

// saved is what the file keeps: whoever reads it can be this machine to the phones.
type saved struct {
	Version int       `json:"version"`
	Port    uint16    `json:"port"`
	Cert    []byte    `json:"certificate,omitempty"`
	Key     []byte    `json:"key,omitempty"`
	Devices []*Device `json:"devices"`
}

// port is tried first where none is asked for.
const port = 8438

// Open takes the address and makes the certificate. Serve must follow, Close ends it.
func Open(o Options) (*Door, error) {
	ip := o.On.Addr().Unmap()
	if !ip.IsValid() || ip.IsUnspecified() || ip.IsMulticast() {
		return nil, fmt.Errorf("sharing needs one address of this machine to be reachable on, not %q", o.On.Addr())
	}
	d := &Door{opt: o, now: time.Now, done: make(chan struct{}), tries: map[string]*try{},
		buckets:  map[string]*bucket{},
		bodyTime: 10 * time.Second, headTime: 10 * time.Second}
	d.read()
	ports := []uint16{o.On.Port()}
	if o.On.Port() == 0 {
		ports = []uint16{port, 0}
		if d.saved.Port != 0 {
			ports = []uint16{d.saved.Port, port, 0}
		}
	}
	var err error
	for _, p := range ports {
		if d.net, err = net.Listen("tcp", netip.AddrPortFrom(ip, p).String()); err == nil {
			break
		}
	}
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, fmt.Errorf("%v: another program uses this port; give another with --share-on %v:PORT", o.On, ip)
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		return nil, fmt.Errorf("%v is no address of this machine", ip)
	case err != nil:
		return nil, fmt.Errorf("%v cannot be opened: %v", o.On, err)
	}
	d.host = d.net.Addr().String()
	_, p, _ := net.SplitHostPort(d.host)
	n, _ := strconv.Atoi(p)
	d.saved.Port = uint16(n)
	if !o.Plain {
		if d.cert, err = readCert(d.saved.Cert, d.saved.Key, ip, d.now()); err != nil {
			if d.saved.Cert, d.saved.Key, err = makeCert(ip, d.now()); err == nil {
				d.cert, err = readCert(d.saved.Cert, d.saved.Key, ip, d.now())
			}
			if err != nil {
				d.net.Close()
				return nil, fmt.Errorf("no certificate can be made: %v", err)
			}
		}
		d.print = fingerprint(d.cert)
	}
	if err := d.keep(); err != nil {
		d.say("phones must pair again after a crash: %v", err)
	}
	return d, nil
}

// read takes up what an earlier run kept; what cannot be used is left out.
func (d *Door) read() {
	b, err := os.ReadFile(d.opt.Keep)
	if d.opt.Keep == "" || err != nil {
		if d.opt.Keep != "" && !errors.Is(err, fs.ErrNotExist) {
			d.say("paired phones of the last run are not known: %v", err)
		}
		return
	}
	var s saved
	if json.Unmarshal(b, &s) != nil || s.Version != 1 {
		d.say("%s cannot be read: paired phones of the last run are not known", d.opt.Keep)
		return
	}
	for _, x := range s.Devices {
		if x != nil && x.Role.rank() > 0 && len(x.Cookie) == 32 && len(x.Half) == 32 &&
			d.now().Sub(x.Paired) < sessionTime {
			x.gone = make(chan struct{})
			d.devices = append(d.devices, x)
		}
	}
	d.saved = s
}

// keep writes what must outlive a crash; the caller has the lock, or is alone.
func (d *Door) keep() error {
	if d.opt.Keep == "" {
		return nil
	}
	d.saved.Version, d.saved.Devices = 1, d.devices
	b, err := json.Marshal(d.saved)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(d.opt.Keep), 0o700); err != nil {
		return err
	}
	// for this user only, before anything is in it
	f, err := os.OpenFile(d.opt.Keep, os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	f.Close()
	if err := os.Chmod(d.opt.Keep, 0o600); err != nil {
		return err
	}
	return store.WriteFile(d.opt.Keep, b)
}

func (d *Door) say(format string, args ...any) {
	if d.opt.Log != nil {
		fmt.Fprintf(d.opt.Log, "halfstop: sharing: "+format+"\n", args...)
	}
}

// URL is where phones find the page.
func (d *Door) URL() string {
	if d.opt.Plain {
		return "http://" + d.host + "/"
	}
	return "https://" + d.host + "/"
}

// PairURL is where a phone that reads it pairs: the code stands behind #, which is not sent.
func (d *Door) PairURL(c Code) string { return d.URL() + "#pair=" + c.Code }

// Plain reports whether there is no TLS.
func (d *Door) Plain() bool { return d.opt.Plain }

// Fingerprint is the certificate's SHA-256, as browsers show it; "" where there is none.
func (d *Door) Fingerprint() string { return d.print }

// Serve answers until ctx ends or Close is called.
func (d *Door) Serve(ctx context.Context, routes []Route, page http.Handler) error {
	h := &http.Server{Handler: d.Handler(routes, page), ReadHeaderTimeout: d.headTime, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 16 << 10, ErrorLog: nil, BaseContext: func(net.Listener) context.Context { return ctx }}
	h.ErrorLog = quiet()
	d.mu.Lock()
	d.server = h
	d.mu.Unlock()
	l := net.Listener(&few{Listener: d.net, most: mostConnections, by: map[string]int{}})
	if !d.opt.Plain {
		h.TLSConfig = &tls.Config{Certificates: []tls.Certificate{d.cert}, MinVersion: tls.VersionTLS12}
	}
	failed := make(chan error, 1)
	go func() {
		if d.opt.Plain {
			failed <- h.Serve(l)
		} else {
			failed <- h.ServeTLS(l, "", "")
		}
	}()
	var err error
	select {
	case <-ctx.Done():
	case <-d.done:
	case err = <-failed:
	}
	h.Close()
	if errors.Is(err, http.ErrServerClosed) || errors.Is(err, net.ErrClosed) {
		err = nil
	}
	return err
}

// Close ends sharing at once: nobody on the network reaches anything any more.
func (d *Door) Close() {
	d.mu.Lock()
	defer d.mu.Unlock()
	select {
	case <-d.done:
		return
	default:
	}
	close(d.done)
	d.net.Close()
	if d.server != nil {
		d.server.Close()
	}
}
