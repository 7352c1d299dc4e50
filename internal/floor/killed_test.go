package floor

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"halfstop/answer"
	"halfstop/internal/daylog"
	"halfstop/internal/share"
)

// TestMain is the program that TestKilled kills, where its environment says so.
func TestMain(m *testing.M) {
	if dir := os.Getenv("HALFSTOP_TEST_FLOOR"); dir != "" {
		serveFloor(dir)
		return
	}
	os.Exit(m.Run())
}

// serveFloor serves the floor's routes on loopback until it is killed; who asks is in a header.
func serveFloor(dir string) {
	f := New(Options{Shoot: func() (*answer.Job, int) { return nil, 0 }, Dir: func() string { return dir }})
	mux := http.NewServeMux()
	for _, r := range f.Routes() {
		mux.HandleFunc(r.Method+" "+r.Path, func(w http.ResponseWriter, q *http.Request) {
			if err := r.Do(w, q, share.Device{ID: q.Header.Get("Phone"), Name: "Ann", Role: share.Lead}); err != nil {
				share.Fail(w, err)
			}
		})
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		panic(err)
	}
	fmt.Println(l.Addr())
	_ = http.Serve(l, mux)
}

// TestKilled kills the program at random instants while four phones log and tick, as the floor's
// page does: numbered, sent again after a lost answer. Every entry that was acknowledged is there
// once, in order, and the log is whole. 200 kills in the long form.
func TestKilled(t *testing.T) {
	rounds := 4
	if os.Getenv("HALFSTOP_LONG") != "" {
		rounds = 200
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	ctx, dir, rng := context.Background(), t.TempDir(), rand.New(rand.NewPCG(7, 7))
	const phones = 4
	var acked [phones]int64 // the highest number of each phone that was acknowledged
	for n := range rounds {
		cmd := exec.Command(exe)
		cmd.Env = append(os.Environ(), "HALFSTOP_TEST_FLOOR="+dir)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		in := bufio.NewScanner(out)
		if !in.Scan() {
			t.Fatalf("kill %d: the program said no address", n)
		}
		done := make(chan [2]int64, phones)
		first := make(chan bool, 1)
		for p := range phones {
			go func() {
				upto := acked[p]
				defer func() { done <- [2]int64{int64(p), upto} }()
				for {
					got, err := say(in.Text(), p, upto+1)
					if err != nil { // killed: what was not acknowledged is sent again
						return
					}
					upto = got
					select {
					case first <- true:
					default:
					}
				}
			}()
		}
		select {
		case <-first:
		case <-time.After(4 * time.Minute):
			t.Errorf("kill %d: nothing was ever acknowledged", n)
		}
		time.Sleep(time.Duration(rng.IntN(150)) * time.Millisecond)
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		for range phones {
			x := <-done
			acked[x[0]] = x[1]
		}
		l, err := daylog.Open(ctx, filepath.Join(dir, daylog.Name)) // checks that it is whole
		if err != nil {
			t.Fatalf("kill %d: %v", n, err)
		}
		list, err := l.List(ctx, daylog.Filter{All: true})
		if err != nil {
			t.Fatal(err)
		}
		l.Close()
		next := map[string]int64{}
		bySeq := map[int64]daylog.Entry{}
		most := int64(0)
		for _, e := range list {
			bySeq[e.Seq] = e
			most = max(most, e.Seq)
		}
		for seq := int64(1); seq <= most; seq++ {
			e, there := bySeq[seq]
			if !there {
				continue
			}
			if next[e.Client]++; e.Number != next[e.Client] {
				t.Fatalf("kill %d: %s has entry %d after %d", n, e.Client, e.Number, next[e.Client]-1)
			}
		}
		for p := range acked {
			if got := next[fmt.Sprint("phone-p", p)]; got < acked[p] || got > acked[p]+1 {
				t.Fatalf("kill %d: phone %d: %d acknowledged, %d there", n, p, acked[p], got)
			}
		}
	}
	t.Logf("%d kills; acknowledged and there: %v", rounds, acked)
}

// say logs a reading or a tick as a phone does, and gives up to which number it was taken.
func say(address string, phone int, number int64) (int64, error) {
	e := Entry{Number: number, Kind: "reading", Subject: "key", Value: num(4), Unit: "f",
		Said: 1_700_000_000_000 + number}
	if number%2 == 0 {
		e = Entry{Number: number, Kind: "tick", Subject: fmt.Sprint("task ", number), Said: e.Said}
	}
	b, _ := json.Marshal(Entries{Entries: []Entry{e}})
	q, err := http.NewRequest("POST", "http://"+address+"/api/say", bytes.NewReader(b))
	if err != nil {
		return 0, err
	}
	q.Header.Set("Content-Type", "application/json")
	q.Header.Set("Phone", fmt.Sprint("p", phone))
	res, err := http.DefaultClient.Do(q)
	if err != nil {
		return 0, err
	}
	defer res.Body.Close()
	var t Taken
	if err := json.NewDecoder(res.Body).Decode(&t); err != nil {
		return 0, err
	}
	if res.StatusCode != 200 || t.Upto != number {
		return 0, fmt.Errorf("status %d, up to %d", res.StatusCode, t.Upto)
	}
	return t.Upto, nil
}
