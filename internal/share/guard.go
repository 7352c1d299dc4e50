package share

import (
	"encoding/json"
	"errors"
	"io"
	"log"
	"mime"
	"net"
	"net/http"
	"os"
	"strings"
	"sync"
	"time"
)

// Bounds of what comes in.
const (
	mostBody        = 256 << 10 // bytes
	mostConnections = 256       // in all
	mostOfAddress   = 24        // connections of one address
	perSecond       = 20        // requests of one address …
	burst           = 80        // … after so many at once
)

// HalfHeader is the header in which a page gives the half of its session that it keeps itself.
const HalfHeader = "Halfstop-Device"

// policy is the Content-Security-Policy of every answer.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; " +
	"font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// Paired is the answer to a phone that has paired.
type Paired struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Role Role   `json:"role" words:"look|crew|lead"`
	Half string `json:"half"` // goes into HalfHeader
}

// pairing is what a phone sends to pair.
type pairing struct {
	Code string `json:"code"`
	Name string `json:"name"`
}

// Problem is why a request was not done.
type Problem struct {
	Code  string `json:"code"`
	Error string `json:"error"`
}

// Handler serves the routes to paired devices and the page to all: whoever sees it sees a form
// for a code and nothing of the shoot.
func (d *Door) Handler(routes []Route, page http.Handler) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("POST /api/pair", func(w http.ResponseWriter, r *http.Request) {
		var p pairing
		if err := Take(w, r, &p); err != nil {
			Fail(w, err)
			return
		}
		dev, cookie, half, err := d.pair(addressOf(r), p.Code, p.Name)
		if err != nil {
			Fail(w, err)
			return
		}
		http.SetCookie(w, &http.Cookie{Name: d.cookieName(), Value: cookie, Path: "/",
			MaxAge:   int(sessionTime / time.Second),
			HttpOnly: true, Secure: !d.opt.Plain, SameSite: http.SameSiteStrictMode})
		d.say("%s is paired as %s", dev.Name, dev.Role)
		Give(w, Paired{dev.ID, dev.Name, dev.Role, half})
	})
	for _, r := range routes {
		mux.HandleFunc(r.Method+" "+r.Path, func(w http.ResponseWriter, req *http.Request) {
			dev := d.deviceOf(req)
			switch {
			case dev == nil:
				Fail(w, &Refusal{http.StatusUnauthorized, "unpaired",
					"this phone is not paired, or was taken out: ask the desk for a code"})
			case !dev.Role.May(r.Least):
				Fail(w, &Refusal{http.StatusForbidden, "role",
					"this asks for " + string(r.Least) + "; this phone was paired as " + string(dev.Role)})
			default:
				if err := r.Do(w, req, *dev); err != nil {
					Fail(w, err)
				}
			}
		})
	}
	mux.HandleFunc("/api/", func(w http.ResponseWriter, r *http.Request) {
		Fail(w, &Refusal{http.StatusNotFound, "not-there", "there is no " + r.Method + " " + r.URL.Path})
	})
	mux.Handle("/", page)
	scheme := "https://"
	if d.opt.Plain {
		scheme = "http://"
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
		if strings.HasPrefix(r.URL.Path, "/api/") {
			h.Set("Cache-Control", "no-store")
		}
		if !d.allow(addressOf(r)) {
			h.Set("Retry-After", "2")
			Fail(w, &Refusal{http.StatusTooManyRequests, "too-often",
				"too many requests came from this phone; it goes on by itself"})
			return
		}
		// A name that leads here by a foreign DNS (rebinding) is no name of this server.
		if !strings.EqualFold(r.Host, d.host) {
			Fail(w, &Refusal{http.StatusMisdirectedRequest, "forbidden",
				"this server answers to " + d.host + " only"})
			return
		}
		o, site := r.Header.Get("Origin"), r.Header.Get("Sec-Fetch-Site")
		foreign := o != "" && !strings.EqualFold(o, scheme+d.host)
		// A page that a link of another site leads to may be seen; nothing may be asked from there.
		foreign = foreign || strings.HasPrefix(r.URL.Path, "/api/") && (site == "cross-site" || site == "same-site")
		if foreign {
			Fail(w, &Refusal{http.StatusForbidden, "forbidden",
				"this request comes from another site; nothing was done"})
			return
		}
		if r.ContentLength != 0 {
			_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(d.bodyTime))
		}
		mux.ServeHTTP(w, r)
	})
}

// cookieName binds the cookie to this host and to TLS, where there is TLS (RFC 6265bis).
func (d *Door) cookieName() string {
	if d.opt.Plain {
		return "halfstop"
	}
	return "__Host-halfstop"
}

func (d *Door) deviceOf(r *http.Request) *Device {
	c, err := r.Cookie(d.cookieName())
	half := r.Header.Get(HalfHeader)
	if err != nil || c.Value == "" || half == "" || len(half) > 100 || len(c.Value) > 100 {
		return nil
	}
	return d.known(c.Value, half)
}

func addressOf(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// bucket is a token bucket.
type bucket struct {
	left float64
	at   time.Time
}

// allow takes one request of an address, or says that there were too many.
func (d *Door) allow(address string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.now()
	b := d.buckets[address]
	if b == nil {
		if len(d.buckets) > 1000 {
			clear(d.buckets)
		}
		b = &bucket{burst, now}
		d.buckets[address] = b
	}
	b.left = min(burst, b.left+perSecond*now.Sub(b.at).Seconds())
	b.at = now
	if b.left < 1 {
		return false
	}
	b.left--
	return true
}

// Take reads a JSON body into a shape: no unknown fields, one value, bounded in size and time.
func Take(w http.ResponseWriter, r *http.Request, into any) error {
	if t, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || t != "application/json" {
		return &Refusal{http.StatusUnsupportedMediaType, "not-understood",
			"send JSON with Content-Type: application/json"}
	}
	dec := json.NewDecoder(http.MaxBytesReader(w, r.Body, mostBody))
	dec.DisallowUnknownFields()
	err := dec.Decode(into)
	if err == nil {
		if _, end := dec.Token(); end != io.EOF {
			err = errors.New("there is something after its end")
		}
	}
	var big *http.MaxBytesError
	switch {
	case errors.As(err, &big):
		return &Refusal{http.StatusRequestEntityTooLarge, "too-large", "the request is over 256 KiB"}
	case errors.Is(err, os.ErrDeadlineExceeded):
		return &Refusal{http.StatusRequestTimeout, "too-slow", "the request did not come whole in time"}
	case err != nil:
		return &Refusal{http.StatusBadRequest, "not-understood", "the request is not understood: " + err.Error()}
	}
	_ = http.NewResponseController(w).SetReadDeadline(time.Time{})
	return nil
}

// Give answers with JSON.
func Give(w http.ResponseWriter, v any) { answer(w, http.StatusOK, v) }

// Fail answers with why a request was not done.
func Fail(w http.ResponseWriter, err error) {
	var x *Refusal
	if !errors.As(err, &x) {
		x = &Refusal{http.StatusUnprocessableEntity, "impossible", err.Error()}
	}
	answer(w, x.Status, Problem{x.Code, x.Text})
}

func answer(w http.ResponseWriter, status int, v any) {
	b, err := json.Marshal(v)
	if err != nil {
		status, b = http.StatusInternalServerError, []byte(`{"code":"fault","error":"the answer cannot be written"}`)
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(b)
}

// few is a listener that takes so many connections at once, and so many of one address.
type few struct {
	net.Listener
	most int

	mu  sync.Mutex
	all int
	by  map[string]int
}

// Accept takes the next connection; those that are too many are closed at once.
func (f *few) Accept() (net.Conn, error) {
	for {
		c, err := f.Listener.Accept()
		if err != nil {
			return nil, err
		}
		host, _, _ := net.SplitHostPort(c.RemoteAddr().String())
		f.mu.Lock()
		ok := f.all < f.most && f.by[host] < mostOfAddress
		if ok {
			f.all++
			f.by[host]++
		}
		f.mu.Unlock()
		if ok {
			return &counted{Conn: c, f: f, host: host}, nil
		}
		c.Close()
	}
}

// counted is a connection that is counted until it is closed.
type counted struct {
	net.Conn
	f    *few
	host string
	once sync.Once
}

func (c *counted) Close() error {
	c.once.Do(func() {
		c.f.mu.Lock()
		defer c.f.mu.Unlock()
		c.f.all--
		if c.f.by[c.host]--; c.f.by[c.host] <= 0 {
			delete(c.f.by, c.host)
		}
	})
	return c.Conn.Close()
}

// quiet drops what net/http logs of phones that do not trust a certificate yet.
func quiet() *log.Logger { return log.New(io.Discard, "", 0) }
