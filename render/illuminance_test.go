package render

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
	"halfstop/shoot"
	"halfstop/stage"
)

func mapAt(t *testing.T, src string, setup int, plane Plane, kind MapReceptor) (*stage.Stage, *IlluminanceMap) {
	t.Helper()
	f, doc, list := shoot.Parse("test", []byte(src), shoot.Options{})
	if list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	s, list := stage.Build(f, doc, setup, stage.Options{Detail: figure.Shadow, Empty: true})
	if s == nil {
		t.Fatal(list)
	}
	corners, _ := stage.Outline(&f.Room)
	began := time.Now()
	p, err := MapIlluminance(context.Background(), s, corners, plane, kind, 1)
	if err != nil || p == nil {
		t.Fatal(p, err)
	}
	t.Logf("%d × %d points, %d layers: %v", p.NX, p.NY, len(p.Layers), time.Since(began).Round(time.Millisecond))
	return s, p
}

// TestIlluminanceMapInverseSquare: a point of 1000 cd gives 1000/d² to a meter turned to it, and (1
// + cos)/2 of that to an ideal dome (check A8), wherever it stands; black surroundings.
func TestIlluminanceMapInverseSquare(t *testing.T) {
	j := `halfstop: 1
setups:
  - name: lamp
    camera: {at: [3, 0, 1], aim: [0, 0, 1]}
    lights:
      - {name: lamp, at: [0, 0, 2], emitter: {shape: point, intensity: 1000 cd}}
`
	_, p := mapAt(t, j, 0, Plane{At: 1}, TurnedToLight)
	_, c := mapAt(t, j, 0, Plane{At: 1}, DomeToCamera)
	worst := 0.0
	for k := range p.NY {
		for i := range p.NX {
			x, y := p.X0+float64(i)*p.DX, p.Y0+float64(k)*p.DY
			d2 := x*x + y*y + 1
			want := 1000 / d2
			tx, ty := 3-x, -y // towards the camera, which is at the same height
			dome := want * (1 + (tx*-x+ty*-y)/math.Hypot(tx, ty)/math.Sqrt(d2)) / 2
			n := k*p.NX + i
			worst = max(worst, math.Abs(math.Log2(p.Layers[0][n]/want)))
			if dome > 1 {
				worst = max(worst, math.Abs(math.Log2(c.Layers[0][n]/dome)))
			}
		}
	}
	if worst > 0.002 { // nothing is sampled here but the fold's table, 0.1 %
		t.Errorf("off by up to %.4f stop", worst)
	}
}

// TestIlluminanceMapUpright: the same point over an upright plane half a metre beside it, from the
// floor to a ceiling of 2.4 m.
func TestIlluminanceMapUpright(t *testing.T) {
	j := `halfstop: 1
room: {size: [4, 3, 2.4], surfaces: {all: 0}}
setups:
  - name: lamp
    lights:
      - {name: lamp, at: [1, 1, 2], emitter: {shape: point, intensity: 1000 cd}}
`
	_, p := mapAt(t, j, 0, Plane{Upright: true, At: 1.5, Top: 2.4}, TurnedToLight)
	if low, high := p.Y0-p.DY/2, p.Y0+(float64(p.NY)-0.5)*p.DY; math.Abs(low) > 1e-9 || math.Abs(high-2.4) > 1e-9 {
		t.Errorf("it goes from %g to %g m, want the floor to the ceiling", low, high)
	}
	for n, v := range p.Layers[0] {
		x, z := p.X0+float64(n%p.NX)*p.DX, p.Y0+float64(n/p.NX)*p.DY
		// the fold's table, 0.1 %
		if want := 1000 / ((x-1)*(x-1) + 0.5*0.5 + (z-2)*(z-2)); math.Abs(math.Log2(v/want)) > 0.002 {
			t.Fatalf("at x %.2f, height %.2f: %g lx, want %g", x, z, v, want)
		}
	}
}

// TestIlluminanceMapAgreesWithMeter: at places in the demonstration's rooms a dome towards the
// camera, measured by itself to 0.06 stop, reads what the mixed layers say, within a fifth of a
// stop on average: the bounce comes from a grid of 0.6 m, and next to a lit wall or a lamp that is
// coarse. The page says so beside its contours.
func TestIlluminanceMapAgreesWithMeter(t *testing.T) {
	src, err := os.ReadFile(filepath.Join("..", "internal", "demo", "launderette", "shoot.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for setup := range 3 {
		s, p := mapAt(t, string(src), setup, Plane{At: 1.5}, DomeToCamera)
		cam := meter.CameraOf(s)
		var cells []int
		s.Points = nil
		for k := 3; k < p.NY; k += 9 {
			for i := 5; i < p.NX; i += 11 {
				cells = append(cells, k*p.NX+i)
				s.Points = append(s.Points, p.DomeAt(s, i, k))
			}
		}
		m, err := meter.Measure(context.Background(), s, meter.Work{Seed: 7, Start: 16, Error: 0.06})
		if err != nil {
			t.Fatal(err)
		}
		sum, worst := 0.0, 0.0
		for n, r := range meter.Weigh(s, m, cam) {
			h := 0.0
			for l := range s.Layers {
				w := s.Layers[l].K * float64(cam.Shutter)
				if s.Layers[l].Flash {
					w = s.Layers[l].K * cam.Lit()
				}
				h += w * p.Layers[l][cells[n]]
			}
			d := math.Abs(math.Log2(h / r.Exposure))
			sum += d
			worst = max(worst, d)
		}
		t.Logf("%s: off by %.3f stop on average, %.3f at most, over %d places", s.Setup.Name, sum/float64(len(cells)),
			worst, len(cells))
		if mean := sum / float64(len(cells)); mean > 0.2 {
			t.Errorf("%s: off by %.3f stop on average", s.Setup.Name, mean)
		}
	}
}
