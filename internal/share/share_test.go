package share

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"fmt"
	"image/png"
	"io"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// table is a route for each role, to knock at.
func table() []Route {
	var out []Route
	for _, r := range []Role{Look, Crew, Lead} {
		out = append(out, Route{"GET", "/api/" + string(r), r, func(w http.ResponseWriter, _ *http.Request,
			d Device) error {
			Give(w, d.Name)
			return nil
		}})
	}
	return append(out, Route{"POST", "/api/body", Look, func(w http.ResponseWriter, r *http.Request, _ Device) error {
		var v map[string]any
		if err := Take(w, r, &v); err != nil {
			return err
		}
		Give(w, len(v))
		return nil
	}}, Route{"GET", "/api/wait", Look, func(w http.ResponseWriter, r *http.Request, d Device) error {
		select {
		case <-d.Gone():
			return &Refusal{401, "unpaired", "taken out"}
		case <-r.Context().Done():
			return r.Context().Err()
		case <-time.After(10 * time.Second):
			Give(w, "waited")
			return nil
		}
	}})
}

type house struct {
	t *testing.T
	d *Door
	c *http.Client
}

func start(t *testing.T, o Options) *house {
	t.Helper()
	if !o.On.IsValid() {
		o.On = netip.MustParseAddrPort("127.0.0.1:0")
	}
	d, err := Open(o)
	if err != nil {
		t.Fatal(err)
	}
	d.bodyTime, d.headTime = 300*time.Millisecond, 300*time.Millisecond
	page := http.FileServerFS(os.DirFS(t.TempDir()))
	done := make(chan struct{})
	go func() { defer close(done); d.Serve(context.Background(), table(), page) }()
	t.Cleanup(func() { d.Close(); <-done })
	pool := x509.NewCertPool()
	if !o.Plain {
		pool.AppendCertsFromPEM(d.saved.Cert)
	}
	tr := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}, DisableKeepAlives: true}
	return &house{t, d, &http.Client{Transport: tr, Timeout: 5 * time.Second,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}}
}

// phone is a paired device.
type phone struct {
	h    *house
	jar  *http.Cookie
	half string
	id   string
}

func (h *house) pair(code, name string) (*phone, int) {
	h.t.Helper()
	b, _ := json.Marshal(pairing{code, name})
	res, err := h.c.Post(h.d.URL()+"api/pair", "application/json", bytes.NewReader(b))
	if err != nil {
		h.t.Fatal(err)
	}
	defer res.Body.Close()
	var p Paired
	if res.StatusCode != 200 {
		return nil, res.StatusCode
	}
	if err := json.NewDecoder(res.Body).Decode(&p); err != nil || len(res.Cookies()) != 1 {
		h.t.Fatal(err, res.Cookies())
	}
	return &phone{h, res.Cookies()[0], p.Half, p.ID}, 200
}

func (h *house) paired(r Role) *phone {
	h.t.Helper()
	c, err := h.d.NewCode(r, "")
	if err != nil {
		h.t.Fatal(err)
	}
	p, status := h.pair(c.Code, "Phone of "+string(r))
	if status != 200 {
		h.t.Fatal(status)
	}
	return p
}

// ask sends a request; change may alter it.
func (p *phone) ask(method, path, body string, change func(*http.Request)) (int, string) {
	p.h.t.Helper()
	r, _ := http.NewRequest(method, strings.TrimSuffix(p.h.d.URL(), "/")+path, strings.NewReader(body))
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	if p.jar != nil {
		r.AddCookie(p.jar)
	}
	if p.half != "" {
		r.Header.Set(HalfHeader, p.half)
	}
	if change != nil {
		change(r)
	}
	res, err := p.h.c.Do(r)
	if err != nil {
		return 0, err.Error()
	}
	defer res.Body.Close()
	b, _ := io.ReadAll(res.Body)
	return res.StatusCode, string(b)
}

// TestRoles: each role may do what it may, and no more; nobody may do anything.
func TestRoles(t *testing.T) {
	h := start(t, Options{})
	none := &phone{h: h}
	for _, least := range []Role{Look, Crew, Lead} {
		if s, _ := none.ask("GET", "/api/"+string(least), "", nil); s != 401 {
			t.Errorf("nobody may %s: %d", least, s)
		}
	}
	for _, r := range []Role{Look, Crew, Lead} {
		p := h.paired(r)
		for _, least := range []Role{Look, Crew, Lead} {
			want := 403
			if r.rank() >= least.rank() {
				want = 200
			}
			if s, b := p.ask("GET", "/api/"+string(least), "", nil); s != want {
				t.Errorf("%s at what asks for %s: %d %s", r, least, s, b)
			}
		}
	}
	if Role("boss").May(Look) || Look.May("boss") {
		t.Error("a role that does not exist may something")
	}
}

// TestKnocks is the list of what must not work, each with the status that it gets.
func TestKnocks(t *testing.T) {
	h := start(t, Options{})
	p := h.paired(Lead)
	host := h.d.host
	for _, k := range []struct {
		name         string
		method, path string
		body         string
		change       func(*http.Request)
		want         int
	}{
		{"as it should be", "GET", "/api/lead", "", nil, 200},
		{"its own origin", "POST", "/api/body", "{}",
			func(r *http.Request) { r.Header.Set("Origin", "https://"+host) }, 200},
		{"another Host (DNS rebinding)", "GET", "/api/lead", "",
			func(r *http.Request) { r.Host = "evil.example:8438" }, 421},
		{"the Host without its port", "GET", "/api/lead", "", func(r *http.Request) { r.Host = "127.0.0.1" }, 421},
		{"the page under another Host", "GET", "/", "", func(r *http.Request) { r.Host = "evil.example" }, 421},
		{"another origin", "POST", "/api/body", "{}",
			func(r *http.Request) { r.Header.Set("Origin", "https://evil.example") }, 403},
		{"its own origin without TLS", "POST", "/api/body", "{}",
			func(r *http.Request) { r.Header.Set("Origin", "http://"+host) }, 403},
		{"no origin at all (null)", "POST", "/api/body", "{}",
			func(r *http.Request) { r.Header.Set("Origin", "null") }, 403},
		{"a cross-site request", "GET", "/api/lead", "", func(r *http.Request) {
			r.Header.Set("Sec-Fetch-Site",
				"cross-site")
		}, 403},
		{"a request of another port", "GET", "/api/lead", "",
			func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-site") }, 403},
		{"a form of another site", "POST", "/api/body", "a=1", func(r *http.Request) {
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		}, 415},
		{"a form as text", "POST", "/api/body", "{}", func(r *http.Request) {
			r.Header.Set("Content-Type",
				"text/plain")
		}, 415},
		{"the cookie alone (a form cannot send the other half)", "GET", "/api/lead", "",
			func(r *http.Request) { r.Header.Del(HalfHeader) }, 401},
		{"the page's half alone", "GET", "/api/lead", "", func(r *http.Request) { r.Header.Del("Cookie") }, 401},
		{"a half of one's own making", "GET", "/api/lead", "",
			func(r *http.Request) { r.Header.Set(HalfHeader, "x") }, 401},
		{"up and out", "GET", "/../../etc/passwd", "", nil, 404},
		{"up and out, written otherwise", "GET", "/%2e%2e/%2e%2e/etc/passwd", "", nil, 404},
		{"up and out of the API", "GET", "/api/../../etc/passwd", "", nil, 404},
		{"the desk's own API", "GET", "/api/text", "", nil, 404},
		{"a method that is not there", "DELETE", "/api/lead", "", nil, 404},
		{"a body that is too large", "POST", "/api/body", `{"a":"` + strings.Repeat("x", mostBody) + `"}`, nil, 413},
		{"a body of two values", "POST", "/api/body", `{}{}`, nil, 400},
		{"a body that is no JSON", "POST", "/api/body", `{"a"`, nil, 400},
	} {
		s, b := p.ask(k.method, k.path, k.body, k.change)
		if k.want == 404 && (s == 301 || s == 307) { // a cleaned path, of this server
			s = 404
		}
		if s != k.want {
			t.Errorf("%s: %d, want %d: %s", k.name, s, k.want, b)
		}
		if strings.Contains(b, "root:") {
			t.Errorf("%s: a file of the machine comes out", k.name)
		}
	}
}

// TestCodes: a code holds once and for its time; wrong ones lock the address, then all codes.
func TestCodes(t *testing.T) {
	h := start(t, Options{})
	now := time.Now()
	h.d.now = func() time.Time { return now }
	c, _ := h.d.NewCode(Crew, "Ann")
	if _, s := h.pair(strings.ToLower(c.Code[:5])+" - "+c.Code[5:], "Ann"); s != 200 {
		t.Fatal("a code as a person types it: ", s)
	}
	if _, s := h.pair(c.Code, "Bob"); s != 403 {
		t.Error("a code held twice: ", s)
	}
	c, _ = h.d.NewCode(Crew, "")
	if _, s := h.pair(c.Code, "  "); s != 422 {
		t.Error("a phone without a name: ", s)
	}
	if _, s := h.pair(c.Code, "\x1b[2J"); s != 422 {
		t.Error("a name of control characters: ", s)
	}
	now = now.Add(codeTime + time.Second)
	if _, s := h.pair(c.Code, "late"); s != 403 {
		t.Error("a code held over its time: ", s)
	}
	c, _ = h.d.NewCode(Crew, "")
	last := 0
	for range wrongByAddress {
		_, last = h.pair("0000000000", "thief")
	}
	if last != 429 {
		t.Error("after wrong codes: ", last)
	}
	if _, s := h.pair(c.Code, "thief"); s != 429 {
		t.Error("a locked phone gets in: ", s)
	}
	now = now.Add(lockTime + time.Second)
	if _, s := h.pair(c.Code, "Ann"); s != 200 {
		t.Error("after the lock: ", s)
	}
	// From many addresses: after wrongInAll none holds any more.
	c, _ = h.d.NewCode(Crew, "")
	for i := range wrongInAll {
		h.d.pair(fmt.Sprint("address ", i), "0000000000", "x")
	}
	if _, _, _, err := h.d.pair("fresh", c.Code, "Ann"); err == nil {
		t.Error("a code holds after a storm of wrong ones")
	}
	for _, r := range []Role{"", "boss"} {
		if _, err := h.d.NewCode(r, ""); err == nil {
			t.Errorf("a code for %q", r)
		}
	}
}

// TestRevoke: a device that is taken out is out at once, waiting requests too; the others stay.
func TestRevoke(t *testing.T) {
	h := start(t, Options{})
	a, b := h.paired(Crew), h.paired(Crew)
	waits := make(chan int, 1)
	go func() { s, _ := a.ask("GET", "/api/wait", "", nil); waits <- s }()
	time.Sleep(100 * time.Millisecond)
	if err := h.d.Revoke(a.id); err != nil {
		t.Fatal(err)
	}
	select {
	case s := <-waits:
		if s != 401 {
			t.Error("who waited: ", s)
		}
	case <-time.After(3 * time.Second):
		t.Error("who waited, waits on")
	}
	if s, _ := a.ask("GET", "/api/look", "", nil); s != 401 {
		t.Error("revoked: ", s)
	}
	if s, _ := b.ask("GET", "/api/look", "", nil); s != 200 {
		t.Error("the other: ", s)
	}
	if h.d.Revoke(a.id) == nil || len(h.d.Devices()) != 1 {
		t.Error("it is still listed")
	}
}

// TestKept: after a crash the certificate, the port and the devices are those of before; the file
// is this user's alone, and no session can be made of what it holds.
func TestKept(t *testing.T) {
	file := filepath.Join(t.TempDir(), "share", "floor.json")
	h := start(t, Options{Keep: file})
	p := h.paired(Crew)
	url, print := h.d.URL(), h.d.Fingerprint()
	h.d.Close()
	b, err := os.ReadFile(file)
	if err != nil || strings.Contains(string(b), p.half) || strings.Contains(string(b), p.jar.Value) {
		t.Fatal("the file: ", err)
	}
	if info, _ := os.Stat(file); info.Mode().Perm() != 0o600 {
		t.Error(info.Mode())
	}
	h2 := start(t, Options{Keep: file})
	if h2.d.URL() != url || h2.d.Fingerprint() != print {
		t.Error("another address or certificate: ", h2.d.URL())
	}
	p.h = h2
	if s, _ := p.ask("GET", "/api/crew", "", nil); s != 200 {
		t.Error("the phone of before: ", s)
	}
	h2.d.now = func() time.Time { return time.Now().Add(sessionTime + time.Minute) }
	if s, _ := p.ask("GET", "/api/crew", "", nil); s != 401 {
		t.Error("a day later: ", s)
	}
	h2.d.Close()
	if err := os.WriteFile(file, []byte("{half"), 0o600); err != nil {
		t.Fatal(err)
	}
	if h3 := start(t, Options{Keep: file}); len(h3.d.Devices()) != 0 {
		t.Error("devices of a broken file")
	}
}

// TestSlowAndMany: a body or a header that does not come is cut, one address cannot take all
// connections, and too many requests wait.
func TestSlowAndMany(t *testing.T) {
	h := start(t, Options{Plain: true})
	slow := func(text string) time.Duration {
		c, err := net.Dial("tcp", h.d.host)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		at := time.Now()
		fmt.Fprint(c, text)
		c.SetReadDeadline(time.Now().Add(5 * time.Second))
		io.Copy(io.Discard, c)
		return time.Since(at)
	}
	for name, text := range map[string]string{"headers": "GET / HTTP/1.1\r\nHost: x\r\n",
		"a body": "POST /api/pair HTTP/1.1\r\nHost: " + h.d.host +
			"\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{"} {
		if d := slow(text); d > 4*time.Second {
			t.Errorf("%s that do not come are waited for %v", name, d)
		}
	}
	var held []net.Conn
	for range mostOfAddress + 5 {
		c, err := net.Dial("tcp", h.d.host)
		if err != nil {
			break
		}
		held = append(held, c)
	}
	closed := 0
	for _, c := range held {
		c.SetReadDeadline(time.Now().Add(50 * time.Millisecond))
		if _, err := c.Read(make([]byte, 1)); err == io.EOF || strings.Contains(fmt.Sprint(err), "reset") {
			closed++
		}
		c.Close()
	}
	if closed < 4 {
		t.Errorf("of %d connections of one address %d were closed", len(held), closed)
	}
	now := time.Now()
	h.d.mu.Lock()
	h.d.now = func() time.Time { return now }
	clear(h.d.buckets)
	h.d.mu.Unlock()
	for n := range burst + 1 {
		if h.d.allow("10.0.0.9") != (n < burst) {
			t.Fatalf("request %d of a burst", n)
		}
	}
	now = now.Add(time.Second)
	if !h.d.allow("10.0.0.9") || !h.d.allow("10.0.0.8") {
		t.Error("who waited, or another, is refused")
	}
}

// TestCertificate: it is of this address only, and its fingerprint is what a client sees.
func TestCertificate(t *testing.T) {
	h := start(t, Options{})
	c, err := tls.Dial("tcp", h.d.host, &tls.Config{RootCAs: h.c.Transport.(*http.Transport).TLSClientConfig.RootCAs})
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	seen := c.ConnectionState().PeerCertificates[0]
	if f := fingerprint(tls.Certificate{Certificate: [][]byte{seen.Raw}}); f != h.d.Fingerprint() ||
		len(f) != 32*3-1 {
		t.Error(f)
	}
	if seen.VerifyHostname("127.0.0.2") == nil || seen.IsCA {
		t.Error("it holds for more than this address")
	}
	if _, err := tls.Dial("tcp", h.d.host, &tls.Config{MaxVersion: tls.VersionTLS11,
		InsecureSkipVerify: true}); err == nil {
		t.Error("TLS 1.1 is spoken")
	}
}

// TestAddresses: what cannot be shared on is refused with what to do.
func TestAddresses(t *testing.T) {
	// 192.0.2.0/24 is nobody's (RFC 5737)
	for _, a := range []string{"0.0.0.0:0", "[::]:0", "224.0.0.1:0", "192.0.2.77:0"} {
		if d, err := Open(Options{On: netip.MustParseAddrPort(a)}); err == nil {
			d.Close()
			t.Errorf("%s was opened", a)
		}
	}
	h := start(t, Options{})
	if _, err := Open(Options{On: netip.MustParseAddrPort(h.d.host)}); err == nil ||
		!strings.Contains(err.Error(), "another program") {
		t.Error(err)
	}
	if p, err := Choose("192.0.2.5:8000"); err != nil || p.String() != "192.0.2.5:8000" {
		t.Error(p, err)
	}
	if _, err := Choose("the kitchen"); err == nil {
		t.Error("a kitchen is no address")
	}
}

// TestQR: the drawing is a PNG of whole modules; a reader of its own is used in internal/e2e.
func TestQR(t *testing.T) {
	b, err := QR("https://192.0.2.5:8438/#pair=ABCDEFGHJK", 300)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil || img.Bounds().Dx() < 200 || img.Bounds().Dx() > 300 {
		t.Error(err, img.Bounds())
	}
	if s, err := QRText("x"); err != nil || len(strings.Split(s, "\n")) != 14 {
		t.Errorf("%v\n%s", err, s)
	}
}

func FuzzPair(f *testing.F) {
	f.Add(`{"code":"ABC","name":"Ann"}`)
	f.Add(`{"code":"","name":"\u0000"}`)
	d := &Door{now: time.Now, tries: map[string]*try{}, buckets: map[string]*bucket{}, host: "h",
		opt: Options{Plain: true}}
	c, _ := d.NewCode(Crew, "")
	f.Fuzz(func(t *testing.T, body string) {
		d.tries, d.buckets, d.wrong = map[string]*try{}, map[string]*bucket{}, 0
		r, _ := http.NewRequest("POST", "http://h/api/pair", strings.NewReader(body))
		r.Header.Set("Content-Type", "application/json")
		w := &recorder{h: http.Header{}}
		d.Handler(nil, http.NotFoundHandler()).ServeHTTP(w, r)
		if w.status == 200 && !strings.Contains(plainCode(body), c.Code) || w.status >= 500 {
			t.Fatalf("%d for %q", w.status, body)
		}
	})
}

type recorder struct {
	h      http.Header
	status int
}

func (r *recorder) Header() http.Header { return r.h }
func (r *recorder) WriteHeader(s int)   { r.status = s }
func (r *recorder) Write(b []byte) (int, error) {
	return len(b), nil
}

// ExampleOpen opens a door on this machine only, and pairs with a code.
func ExampleOpen() {
	d, err := Open(Options{On: netip.MustParseAddrPort("127.0.0.1:0"), Plain: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer d.Close()
	c, _ := d.NewCode(Crew, "Ann")
	fmt.Println(len(c.Code), c.Role, len(d.Devices()))
	// Output: 10 crew 0
}
