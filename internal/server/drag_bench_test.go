//go:build unix

package server

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"halfstop/internal/demo"
	"halfstop/internal/store"
)

// dragged are the things that BenchmarkDrag takes hold of: a setup of a shoot and a place in it of
// two numbers.
var dragged = []struct{ room, path string }{
	{"", "setups[0].lights[0].at"}, {"", "setups[1].lights[0].at"}, {"", "setups[2].lights[1].at"},
	{"", "setups[0].sitter.at"}, {"", "setups[2].camera.at"}, {"", "setups[0].panels[0].at"},
	{"bar", "setups[0].lights[0].at"}, {"bar", "setups[0].sitter.at"},
	{"office", "setups[0].lights[0].at"}, {"stage-haze", "setups[0].lights[4].at"},
}

// BenchmarkDrag moves one thing about by centimetres, as a hand does, a new place as soon as the
// readings of the last one are there, over HTTP and the event stream. One turn is one change; p50
// and p95 are from the change sent to its readings received, cpu is processor time of program and
// client together. On a machine with other work compare cpu.
//
//	go test ./internal/server -run - -bench Drag -benchtime 60x
func BenchmarkDrag(b *testing.B) {
	for _, d := range dragged {
		name := d.room
		if name == "" {
			name = "demonstration"
		}
		b.Run(name+"/"+strings.NewReplacer("setups", "", ".", "_").Replace(d.path), func(b *testing.B) {
			src := demo.Shoot()
			if d.room != "" {
				var err error
				if src, err = os.ReadFile(filepath.Join("..", "..", "zoo", d.room+".yaml")); err != nil {
					b.Fatal(err)
				}
			}
			c := start(b, Options{Shoot: &store.Shoot{Name: "drag", Src: src}, Demo: true})
			in := c.events()
			index := int(d.path[len("setups[")] - '0')
			var places [][]float64
			v := ask[SetupView](c, 200, "GET", fmt.Sprintf("/api/setup/%d", index), nil)
			await(b, in, "first readings", func(e Event) bool { return e.Kind == "readings" && e.Index == index })
			x, y := placeOf(b, v, d.path)
			for i := range 12 {
				t := 2 * math.Pi * float64(i) / 12
				places = append(places, []float64{x + 0.06*math.Cos(t), y + 0.06*math.Sin(t)})
			}
			rev := c.state().Revision
			var took []float64
			size := 0
			began := cpuTime()
			for i := 0; b.Loop(); i++ {
				p := places[i%len(places)]
				c.do("GET", fmt.Sprintf("/api/setup/%d", index), nil) // somebody looks at it
				at := time.Now()
				_, body := c.do("POST", "/api/edit", Change{Revision: rev, Name: "move", Merge: "drag",
					Edits: []Edit{{Set: d.path, Value: fmt.Sprintf("[%.3f, %.3f]", p[0], p[1])}}})
				var st State
				if err := json.NewDecoder(bytes.NewReader(body)).Decode(&st); err != nil || st.Revision == 0 {
					b.Fatalf("%v in %.300s", err, body)
				}
				rev = st.Revision
				await(b, in, "readings",
					func(e Event) bool { return e.Kind == "readings" && e.Revision >= rev && e.Index == index })
				took = append(took, time.Since(at).Seconds()*1000)
				size += len(body)
			}
			n := len(took)
			b.ReportMetric((cpuTime()-began).Seconds()*1000/float64(n), "cpu-ms/change")
			slices.Sort(took)
			b.ReportMetric(took[n/2], "p50-ms")
			b.ReportMetric(took[n*95/100], "p95-ms")
			b.ReportMetric(0, "ns/op")
		})
	}
}

// placeOf finds where a thing stands.
func placeOf(b *testing.B, v SetupView, path string) (x, y float64) {
	switch {
	case strings.HasSuffix(path, "sitter.at"):
		return v.Sitter.At[0], v.Sitter.At[1]
	case strings.HasSuffix(path, "camera.at"):
		return v.Camera.At[0], v.Camera.At[1]
	}
	for _, l := range v.Lights {
		if l.Path+".at" == path {
			return l.At[0], l.At[1]
		}
	}
	for _, p := range v.Panels {
		if p.Path+".at" == path {
			return p.At[0], p.At[1]
		}
	}
	b.Fatalf("nothing stands at %s", path)
	return
}

func cpuTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
