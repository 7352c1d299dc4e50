//go:build unix

package speed

import (
	"context"
	"encoding/binary"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"halfstop/geom"
	"halfstop/trace"
)

var room = flag.String("room", "",
	"folder into which TestWriteRoom of bvh wrote its room: time its picture as bvh/compare/cycles.py does")

// readMesh reads what TestWriteRoom writes: counts of corners and triangles, then both.
func readMesh(path string) (*trace.Mesh, error) {
	raw, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	word := func(i int) uint32 { return binary.LittleEndian.Uint32(raw[4*i:]) }
	nv, nf := int(word(0)), int(word(1))
	m := &trace.Mesh{}
	for i := range nv {
		m.Pos = append(m.Pos, [3]float32{math.Float32frombits(word(2 + 3*i)), math.Float32frombits(word(3 + 3*i)),
			math.Float32frombits(word(4 + 3*i))})
	}
	for i := range nf {
		at := 2 + 3*nv + 3*i
		m.Tris, m.Mat = append(m.Tris, [3]uint32{word(at), word(at + 1), word(at + 2)}), append(m.Mat, 0)
	}
	return m, nil
}

// TestRoomPicture times the picture that bvh/compare/cycles.py times, with each of its four lamps
// in a layer of its own: relative error from two seeds, as there. On cells both seeds share what
// the cells blur, which this does not see (about 1 % of the light, see docs/decisions/0006).
func TestRoomPicture(t *testing.T) {
	if *room == "" {
		t.Skip("run with -room FOLDER")
	}
	m, err := readMesh(filepath.Join(*room, "mesh.bin"))
	if err != nil {
		t.Fatal(err)
	}
	sc := trace.New()
	if _, err := sc.AddMaterial(trace.Material{Name: "grey", Diffuse: trace.Grey(0.5)}); err != nil {
		t.Fatal(err)
	}
	if err := sc.AddMesh(m); err != nil {
		t.Fatal(err)
	}
	for i, p := range [4][2]float64{{1.5, 1}, {4.5, 1}, {1.5, 3}, {4.5, 3}} {
		sc.AddEmitter(trace.Rectangle(i, geom.V(p[0], p[1], 2.6), geom.UprightFrame(geom.V(0, 0, -1)), 1, 1, 60/math.Pi,
			nil, false))
	}
	if err := sc.Prepare(); err != nil {
		t.Fatal(err)
	}
	const w, h, sensor = 640, 427, 0.036
	lens := trace.Lens{At: geom.V(3, 0.2, 1.5), Right: geom.V(1, 0, 0), Up: geom.V(0, 0, 1), Axis: geom.V(0, 1, 0),
		Width: sensor, Height: sensor * h / w, Image: sensor / 1.4, Focus: 3}
	picture := func(cells float64, n int, seed uint64) ([]float64, time.Duration) {
		f := trace.NewFilm(w, h, 4, lens)
		f.CacheCell = cells
		c := cpu()
		if err := sc.Expose(context.Background(), f, n, seed, nil, nil); err != nil {
			t.Fatal(err)
		}
		took := cpu() - c
		out := make([]float64, w*h)
		for i := range out {
			for l := range 4 {
				b := f.At(l, i%w, i/w)
				out[i] += float64(b[8])
			}
		}
		return out, took
	}
	for _, cells := range []float64{0, 0.2} {
		for _, n := range []int{4, 16, 64} {
			a, ta := picture(cells, n, 1)
			b, tb := picture(cells, n, 2)
			mean, sum := 0.0, 0.0
			for i := range a {
				mean += (a[i] + b[i]) / 2 / float64(len(a))
			}
			for i := range a {
				r := (a[i] + b[i]) / 2
				sum += (a[i] - b[i]) * (a[i] - b[i]) / 2 / (r*r + 1e-4*mean*mean) / float64(len(a))
			}
			fmt.Printf("cells %.1f m, %3d samples: %.1f s, relative error %.3f\n", cells, n, (ta+tb).Seconds()/4,
				math.Sqrt(sum))
		}
	}
}
