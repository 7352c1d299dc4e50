//go:build linux

package main

import (
	"bufio"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"halfstop/mesh"
)

// TestScanMillion: a million triangles of a room with noise of 1 cm and three hundred things in it
// are read, found, simplified and written in 5 s of processor time within 1 GiB: what the system
// says of the program as a process of its own, for a binary file and for text.
func TestScanMillion(t *testing.T) {
	if os.Getenv("HALFSTOP_LONG") == "" {
		t.Skip("=== LONG: A MILLION TRIANGLES ARE NOT READ; HALFSTOP_LONG=1 ===")
	}
	m := &mesh.Mesh{}
	r := rand.New(rand.NewPCG(1, 2))
	noise := func() float64 { return 0.005 * r.NormFloat64() }
	sheet := func(n int, at func(u, v float64) [3]float64) {
		base := uint32(len(m.Pos))
		for j := range n + 1 {
			for i := range n + 1 {
				p := at(float64(i)/float64(n), float64(j)/float64(n))
				for c := range p {
					p[c] += noise()
				}
				m.Pos = append(m.Pos, [3]float32{float32(p[0]), float32(p[1]), float32(p[2])})
			}
		}
		for j := range n {
			for i := range n {
				p := base + uint32(j*(n+1)+i)
				m.Tris = append(m.Tris, [3]uint32{p, p + 1, p + uint32(n) + 1},
					[3]uint32{p + 1, p + uint32(n) + 2, p + uint32(n) + 1})
			}
		}
	}
	const w, d, h = 8.0, 6.0, 3.0
	for _, z := range []float64{0, h} {
		sheet(240, func(u, v float64) [3]float64 { return [3]float64{w * u, d * v, z} })
	}
	for _, y := range []float64{0, d} {
		sheet(200, func(u, v float64) [3]float64 { return [3]float64{w * u, y, h * v} })
	}
	for _, x := range []float64{0, w} {
		sheet(200, func(u, v float64) [3]float64 { return [3]float64{x, d * u, h * v} })
	}
	for len(m.Tris) < 1_000_000 {
		x, y, z, s := 0.8+r.Float64()*(w-1.6), 0.8+r.Float64()*(d-1.6), 0.3+r.Float64(), 0.1+0.2*r.Float64()
		sheet(32, func(u, v float64) [3]float64 {
			a, b := 2*math.Pi*u, math.Pi*v
			return [3]float64{x + s*math.Sin(b)*math.Cos(a), y + s*math.Sin(b)*math.Sin(a), z + s*math.Cos(b)}
		})
	}
	dir := t.TempDir()
	ply, obj := filepath.Join(dir, "room.ply"), filepath.Join(dir, "room.obj")
	if err := os.WriteFile(ply, m.PLY("room"), 0o644); err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(obj)
	if err != nil {
		t.Fatal(err)
	}
	b := bufio.NewWriter(f)
	for _, p := range m.Pos {
		fmt.Fprintf(b, "v %.4f %.4f %.4f\n", p[0], p[1], p[2])
	}
	for _, k := range m.Tris {
		fmt.Fprintf(b, "f %d %d %d\n", k[0]+1, k[1]+1, k[2]+1)
	}
	if err := b.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	for _, file := range []string{ply, obj} {
		kind := filepath.Ext(file)
		c := exec.Command("halfstop", "scan", file, "--unit", "m", "--up", "z+", "-o", filepath.Join(dir, kind))
		out, err := c.CombinedOutput()
		if err != nil || !strings.Contains(string(out), "8.0") {
			t.Fatalf("%v\n%s", err, out)
		}
		took := c.ProcessState.UserTime() + c.ProcessState.SystemTime()
		usage, ok := c.ProcessState.SysUsage().(*syscall.Rusage)
		if !ok {
			t.Fatal("the system does not say what it used")
		}
		mib := usage.Maxrss / 1024 // KiB on Linux (getrusage(2))
		t.Logf("%s: %d triangles: %.1f s of processor time, %d MiB", kind, len(m.Tris), took.Seconds(), mib)
		if took > 5*time.Second || mib > 1024 {
			t.Errorf("%s: %v of processor time and %d MiB; 5 s and 1024 MiB are promised", kind, took, mib)
		}
	}
}
