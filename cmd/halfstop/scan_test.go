package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfstop/mesh"
)

// TestScanReadings: a scan with three balls of 14,000 triangles each is kept whole and made of at
// most 6,000: readings beside and behind them differ by less than 0.1 st.
func TestScanReadings(t *testing.T) {
	m := &mesh.Mesh{}
	grid := func(nu, nv int, at func(u, v float64) [3]float64) {
		base := uint32(len(m.Pos))
		for j := range nv + 1 {
			for i := range nu + 1 {
				p := at(float64(i)/float64(nu), float64(j)/float64(nv))
				m.Pos = append(m.Pos, [3]float32{float32(p[0]), float32(p[1]), float32(p[2])})
			}
		}
		for j := range nv {
			for i := range nu {
				p := base + uint32(j*(nu+1)+i)
				m.Tris = append(m.Tris, [3]uint32{p, p + 1, p + uint32(nu) + 1},
					[3]uint32{p + 1, p + uint32(nu) + 2, p + uint32(nu) + 1})
			}
		}
	}
	const w, d, h = 5.0, 4.0, 2.6
	for _, z := range []float64{0, h} {
		grid(20, 20, func(u, v float64) [3]float64 { return [3]float64{w * u, d * v, z} })
	}
	for _, y := range []float64{0, d} {
		grid(20, 10, func(u, v float64) [3]float64 { return [3]float64{w * u, y, h * v} })
	}
	for _, x := range []float64{0, w} {
		grid(20, 10, func(u, v float64) [3]float64 { return [3]float64{x, d * u, h * v} })
	}
	for _, c := range [][4]float64{{1.4, 1.3, 0.5, 0.4}, {3.6, 2.6, 0.5, 0.45}, {3.7, 1.0, 0.4, 0.3}} {
		grid(84, 84, func(u, v float64) [3]float64 {
			a, b := 2*math.Pi*u, math.Pi*v
			return [3]float64{c[0] + c[3]*math.Sin(b)*math.Cos(a), c[1] + c[3]*math.Sin(b)*math.Sin(a),
				c[2] + c[3]*math.Cos(b)}
		})
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "room.ply")
	if err := os.WriteFile(file, m.PLY("room"), 0o644); err != nil {
		t.Fatal(err)
	}
	read := func(most int) (lux []float64) {
		t.Helper()
		at := filepath.Join(dir, fmt.Sprint(most))
		run := func(args ...string) []byte {
			var out, errs bytes.Buffer
			if code := execute(context.Background(), args, strings.NewReader(""), &out, &errs); code != 0 {
				t.Fatalf("%v: %d %s", args, code, errs.String())
			}
			return out.Bytes()
		}
		run("scan", file, "--unit", "m", "--up", "z+", "--triangles", fmt.Sprint(most), "-o", at)
		text := `halfstop: 1
room:
  size: [5, 4, 2.6]
  surfaces: {walls: '0.5', floor: '0.25', ceiling: '0.8'}
  objects: [{name: scan, mesh: scan.ply, surface: mid grey}]
  practicals:
    - {name: lamp, emitter: {shape: sphere, size: [0.2 m], flux: 3000 lm}, at: [2.5, 2, 2.1], colour: 3000 K}
setups:
  - name: s
    points: [{name: beside, at: [1.9, 1.3, 0.5], facing: [1, 0, 0]}, {name: behind, at: [4.3, 3.0, 0.4],
      facing: [-1, 0, 0]}, {name: low, at: [2.5, 1.4, 0.2], facing: [1, 0, 0]}]
`
		if err := os.WriteFile(filepath.Join(at, "shoot.yaml"), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		var got struct {
			Setups []struct {
				Points []struct {
					Illuminance float64 `json:"lux"`
				}
			}
		}
		if err := json.Unmarshal(run("meter", at, "--json"), &got); err != nil {
			t.Fatal(err)
		}
		for _, p := range got.Setups[0].Points {
			lux = append(lux, p.Illuminance)
		}
		return lux
	}
	full, few := read(1_000_000), read(6_000)
	for i := range full {
		off := math.Log2(few[i] / full[i])
		t.Logf("point %d: %.1f lx, %+.3f st", i, full[i], off)
		if !(math.Abs(off) < 0.1) {
			t.Errorf("point %d: %.1f lx in the full scan, %.1f in the simplified one: %+.2f st", i, full[i],
				few[i], off)
		}
	}
}
