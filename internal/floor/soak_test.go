package floor

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/netip"
	"os"
	"reflect"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"halfstop/internal/daylog"
	"halfstop/internal/share"
)

// soaked is one phone of the soak: it asks over loopback, as a phone does.
type soaked struct {
	c    http.Client
	url  string
	half string
}

// ask asks until it is answered; who asks too fast waits.
func (p *soaked) ask(ctx context.Context, method, path string, in, out any) error {
	body, err := json.Marshal(in)
	if err != nil {
		return err
	}
	for {
		r, err := http.NewRequestWithContext(ctx, method, p.url+path, bytes.NewReader(body))
		if err != nil {
			return err
		}
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set(share.HalfHeader, p.half)
		a, err := p.c.Do(r)
		if err != nil {
			return err
		}
		b, err := io.ReadAll(a.Body)
		a.Body.Close()
		switch {
		case err != nil:
			return err
		case a.StatusCode == http.StatusTooManyRequests:
			time.Sleep(200 * time.Millisecond)
			continue
		case a.StatusCode != http.StatusOK:
			return fmt.Errorf("%s: %d %s", path, a.StatusCode, b)
		}
		return json.Unmarshal(b, out)
	}
}

// TestSoak: eight phones over loopback, paired as phones are, say something each second (a note, a
// tick, a dial, now and then a reading), every other entry twice as after a lost answer, and
// follow what is shown. Each entry is there once and in order, in the end all phones see the same,
// and memory does not grow. HALFSTOP_SOAK=1h makes it last.
func TestSoak(t *testing.T) {
	most, pace := time.Second, 100*time.Millisecond
	if d, err := time.ParseDuration(os.Getenv("HALFSTOP_SOAK")); err == nil {
		most, pace = d, time.Second
	}
	ctx := t.Context()
	f := start(t, t.TempDir(), nil)
	v := until(t, f, "the first view", func(v *View) bool { return len(v.Tasks) > 0 && len(v.Setups) > 0 })
	on, task := v.Setups[max(0, v.Setup)].Name, v.Tasks[0].ID
	door, err := share.Open(share.Options{On: netip.MustParseAddrPort("127.0.0.1:0"), Plain: true})
	if err != nil {
		t.Fatal(err)
	}
	served := make(chan struct{})
	go func() { defer close(served); door.Serve(context.Background(), f.Routes(), http.NotFoundHandler()) }()
	defer func() { door.Close(); <-served }()
	var phones [8]*soaked
	for n := range phones {
		code, err := door.NewCode(share.Crew, "")
		if err != nil {
			t.Fatal(err)
		}
		jar, _ := cookiejar.New(nil)
		phones[n] = &soaked{c: http.Client{Jar: jar}, url: strings.TrimSuffix(door.URL(), "/")}
		var paired share.Paired
		err = phones[n].ask(ctx, "POST", "/api/pair", map[string]string{"code": code.Code,
			"name": fmt.Sprint("Phone ", n)}, &paired)
		if err != nil {
			t.Fatal(err)
		}
		phones[n].half = paired.Half
	}
	var said [8]atomic.Int64
	done := make(chan error, len(phones))
	begun := time.Now()
	for n, p := range phones {
		go func() {
			var v View
			for k := int64(1); time.Since(begun) < most; k++ {
				now := time.Now().UnixMilli()
				e := Entry{Number: k, Kind: "note", Text: fmt.Sprint("no. ", k), Said: now}
				switch {
				case k%60 == 30 && n == int(k/60)%8:
					f := 5.6 + float64(n)/20
					e = Entry{Number: k, Kind: "reading", Setup: on, Subject: "face key side", Value: &f, Unit: "f",
						Said: now}
				case k%7 == 3:
					e = Entry{Number: k, Kind: "tick", Setup: on, Subject: task, Said: now}
				case k%7 == 5:
					e = Entry{Number: k, Kind: "dial", Setup: on, Subject: "key", Text: "1/8", Said: now}
				}
				var taken Taken
				for range 1 + k%2 {
					err := p.ask(ctx, "POST", "/api/say", Entries{Sent: now, Entries: []Entry{e}}, &taken)
					if err == nil && (taken.Upto < k || len(taken.Refused) > 0) {
						err = fmt.Errorf("phone %d, entry %d: %+v", n, k, taken)
					}
					if err != nil {
						done <- err
						return
					}
				}
				said[n].Store(k)
				v = View{}
				if err := p.ask(ctx, "GET", "/api/floor", nil, &v); err != nil || v.Me.Next <= k {
					done <- fmt.Errorf("phone %d after entry %d: next is %d, %v", n, k, v.Me.Next, err)
					return
				}
				time.Sleep(pace)
			}
			done <- nil
		}()
	}
	// Memory in use after a collection, ten times over the run.
	heap := []uint64{}
	for left := len(phones); left > 0; {
		select {
		case err := <-done:
			if left--; err != nil {
				t.Fatal(err)
			}
		case <-time.After(most / 10):
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			heap = append(heap, m.HeapAlloc>>20)
		}
	}
	l, err := f.open(ctx)
	if err != nil {
		t.Fatal(err)
	}
	list, err := l.List(ctx, daylog.Filter{All: true})
	if err != nil {
		t.Fatal(err)
	}
	last := map[string]int64{}
	for i := range list {
		e := &list[i]
		if e.Number != last[e.Client]+1 {
			t.Fatalf("%s: entry %d after %d", e.Client, e.Number, last[e.Client])
		}
		last[e.Client] = e.Number
	}
	all := int64(0)
	for n := range said {
		all += said[n].Load()
	}
	if int64(len(list)) != all || all < 8 {
		t.Errorf("%d entries for %d said", len(list), all)
	}
	// What each phone shows, but for who it is and the clock, once nothing is worked out any more.
	until(t, f, "that all is worked in", func(v *View) bool {
		return v.Computing == "" && v.Proposal != nil && !v.Proposal.Old
	})
	alike := func() (first, other View) {
		for n, p := range phones {
			var v View
			if err := p.ask(ctx, "GET", "/api/floor", nil, &v); err != nil {
				t.Fatal(err)
			}
			v.Me, v.Now, v.Clock, v.Version = Me{}, 0, 0, 0
			for i := range v.Points {
				for k := range v.Points[i].Readings {
					v.Points[i].Readings[k].Mine = false
				}
			}
			if n == 0 {
				first = v
			} else if !reflect.DeepEqual(v, first) {
				return first, v
			}
		}
		return first, first
	}
	a, b := alike()
	for end := time.Now().Add(time.Minute); !reflect.DeepEqual(a, b) && time.Now().Before(end); {
		time.Sleep(100 * time.Millisecond) // a view between two looks at it
		a, b = alike()
	}
	if !reflect.DeepEqual(a, b) {
		x, _ := json.Marshal(a)
		y, _ := json.Marshal(b)
		t.Errorf("two phones see\n%s\nand\n%s", x, y)
	}
	t.Logf("%v, %d phones, %d entries, each there once; memory in use %v MiB", most, len(phones), all, heap)
	// A quarter and 8 MiB over what was in use a third of the way: the log itself.
	if n := len(heap); most >= time.Minute && n > 4 && heap[n-1] > heap[n/3]+heap[n/3]/4+8 {
		t.Errorf("memory in use grows: %v MiB", heap)
	}
}
