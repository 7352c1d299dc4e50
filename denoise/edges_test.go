package denoise

import (
	"context"
	"math"
	"testing"

	"halfstop/trace"
)

// TestReconstructEdges: a dark post half a pixel wide before a bright wall. Its pixels' own samples
// have found no light, some see the post turned another way: each still gets half the wall's light
// and half the post's, and a highlight beside one does not leak into it.
func TestReconstructEdges(t *testing.T) {
	const w, h, post = 24, 24, 12
	s := &Features{W: w, H: h, Albedo: make([]float32, w*h), Normal: make([][3]float32, w*h),
		Depth: make([]float32, w*h), ID: make([]uint32, w*h)}
	c := make([][3]float32, w*h)
	for i := range c {
		s.Albedo[i], s.Normal[i], s.Depth[i], s.ID[i] = 0.5, [3]float32{0, 0, 1}, 4, 1
		c[i] = [3]float32{1, 1, 1}
		if i%w == post {
			// Every third pixel's sample hit the post, at a place turned to the left.
			if i/w%3 == 0 {
				s.Normal[i], s.Depth[i], s.ID[i] = [3]float32{-1, 0, 0}, 2, 5
				c[i] = [3]float32{0.1, 0.1, 0.1}
			} else {
				s.ID[i], c[i] = 7, [3]float32{} // its sample went between, into the dark
			}
		}
	}
	c[10*w+post+1] = [3]float32{500, 500, 500}
	before := append([][3]float32(nil), c...)
	raw := func(_, i int) (float32, float32) { return before[i][1], float32(math.Inf(1)) }
	tracer := func() func(x, y int, out []trace.Feature) {
		return func(x, _ int, out []trace.Feature) {
			for k := range out {
				out[k] = trace.Feature{Albedo: 0.5, Depth: 4, Normal: [3]float32{0, 0, 1}, ID: 1}
				if x == post && k%2 == 0 { // the post's front
					out[k] = trace.Feature{Albedo: 0.5, Depth: 2, Normal: [3]float32{0, 0, 1}, ID: 5}
				}
			}
		}
	}
	err := ReconstructEdges(context.Background(), s, 1, [][][3]float32{c}, []*Airlight{nil}, raw, tracer)
	if err != nil {
		t.Fatal(err)
	}
	for y := 3; y < h-3; y++ {
		// Half of 1 and half of 0.1; the highlight counts for no more than three times what most
		// have.
		if v := c[y*w+post][1]; !(v > 0.5 && v < 0.9) {
			t.Errorf("row %d: the post's pixel has %.3f, want about 0.55", y, v)
		}
	}
}

// TestReconstructUnseen: a tube a tenth of a pixel wide that shines 1,000 times as bright as the
// wall. A fifth of its pixels found it by their samples, twice as bright as they should be; others
// found less. All of its light stays, and each pixel has about its part.
func TestReconstructUnseen(t *testing.T) {
	const w, h, tube = 24, 40, 12
	s := &Features{W: w, H: h, Albedo: make([]float32, w*h), Normal: make([][3]float32, w*h),
		Depth: make([]float32, w*h), ID: make([]uint32, w*h)}
	c := make([][3]float32, w*h)
	before := float32(0)
	for i := range c {
		s.Albedo[i], s.Normal[i], s.Depth[i], s.ID[i] = 0.5, [3]float32{0, 0, 1}, 4, 1
		v := float32(1)
		if i%w == tube {
			s.ID[i], v = trace.MixedEmitterID, 75.9
			if i/w%5 == 0 {
				v = 200.9 // the five have 504.5 together, 100.9 each
			}
		}
		c[i] = [3]float32{v, v, v}
		before += v
	}
	raw := func(_, i int) (float32, float32) { return c[i][1], c[i][1] * c[i][1] }
	tracer := func() func(x, y int, out []trace.Feature) {
		return func(x, _ int, out []trace.Feature) {
			for k := range out {
				out[k] = trace.Feature{Albedo: 0.5, Depth: 4, Normal: [3]float32{0, 0, 1}, ID: 1}
				if x == tube && k%10 == 5 {
					out[k].ID = 3
				}
			}
		}
	}
	err := ReconstructEdges(context.Background(), s, 1, [][][3]float32{c}, []*Airlight{nil}, raw, tracer)
	if err != nil {
		t.Fatal(err)
	}
	after := float32(0)
	for i := range c {
		after += c[i][1]
		// Five pixels hold just one of the bright ones, but for the ends of the picture.
		if y := i / w; i%w == tube && y > 2 && y < h-3 && abs(c[i][1]-100.9) > 2 {
			t.Errorf("row %d: the tube's pixel has %.2f, want 100.9", y, c[i][1])
		}
	}
	if r := after / before; abs(r-1) > 0.01 { // the ends of the tube, where fewer than five are averaged
		t.Errorf("%.4f of the light is left", r)
	}
}

// TestReconstructBoard: a board with a bright front and a dark side of a third of a pixel before a
// wall. One row in sixteen has a pixel that shows the side alone: the others' pixels have as much
// of its dark as that one's, not the front's light in its place.
func TestReconstructBoard(t *testing.T) {
	const w, h, edge = 24, 48, 12
	s := &Features{W: w, H: h, Albedo: make([]float32, w*h), Normal: make([][3]float32, w*h),
		Depth: make([]float32, w*h), ID: make([]uint32, w*h)}
	front, side := [3]float32{0, 0, 1}, [3]float32{1, 0, 0}
	const ofFront, ofSide, ofWall = 8, 5, 3 // of sixteen rays
	const lit, dark, wall = 1, 0.05, 0.2
	const want = (ofFront*lit + ofSide*dark + ofWall*wall) / 16.
	c := make([][3]float32, w*h)
	for i := range c {
		s.Albedo[i], s.Normal[i], s.Depth[i], s.ID[i] = 0.5, front, 4, 5
		v := float32(lit)
		switch x, y := i%w, i/w; {
		case x > edge:
			s.Depth[i], s.ID[i], v = 6, 1, wall
		case x == edge && y%16 == 8:
			s.Normal[i], v = side, dark
		case x == edge:
			s.ID[i], v = trace.MixedID, want
		}
		c[i] = [3]float32{v, v, v}
	}
	raw := func(_, i int) (float32, float32) { return c[i][1], float32(math.Inf(1)) }
	tracer := func() func(x, y int, out []trace.Feature) {
		return func(x, _ int, out []trace.Feature) {
			for k := range out {
				out[k] = trace.Feature{Albedo: 0.5, Depth: 4, Normal: front, ID: 5}
				switch {
				case x > edge || x == edge && k < ofWall:
					out[k].Depth, out[k].ID = 6, 1
				case x == edge && k < ofWall+ofSide:
					out[k].Normal = side
				}
			}
		}
	}
	err := ReconstructEdges(context.Background(), s, 1, [][][3]float32{c}, []*Airlight{nil}, raw, tracer)
	if err != nil {
		t.Fatal(err)
	}
	for y := 3; y < h-3; y++ {
		if v := c[y*w+edge][1]; y%16 != 8 && abs(v/want-1) > 0.1 {
			t.Errorf("row %d: the edge's pixel has %.3f, want %.3f", y, v, want)
		}
	}
}

// TestReconstructLampEdge: the straight edge of a lamp a hundred times as bright as the wall runs
// less than a hundredth inside a column of pixels. One of 64 rays of every other pixel meets it: no
// dots, all of them have the mean.
func TestReconstructLampEdge(t *testing.T) {
	const w, h, edge, lamp, bright, rays = 24, 24, 12, 3, 100, emitterRays
	s := &Features{W: w, H: h, Albedo: make([]float32, w*h), Normal: make([][3]float32, w*h),
		Depth: make([]float32, w*h), ID: make([]uint32, w*h)}
	c := make([][3]float32, w*h)
	for i := range c {
		s.Albedo[i], s.Normal[i], s.Depth[i], s.ID[i] = 0.5, [3]float32{0, 0, 1}, 4, 1
		v := float32(1)
		if i%w < edge {
			s.ID[i], v = lamp, bright
		}
		c[i] = [3]float32{v, v, v}
	}
	raw := func(_, i int) (float32, float32) { return c[i][1], float32(math.Inf(1)) }
	tracer := func() func(x, y int, out []trace.Feature) {
		return func(x, y int, out []trace.Feature) {
			for k := range out {
				out[k] = trace.Feature{Albedo: 0.5, Depth: 4, Normal: [3]float32{0, 0, 1}, ID: 1}
				if x < edge || x == edge && y%2 == 0 && k == 7 {
					out[k].ID = lamp
				}
			}
		}
	}
	err := ReconstructEdges(context.Background(), s, 1, [][][3]float32{c}, []*Airlight{nil}, raw, tracer)
	if err != nil {
		t.Fatal(err)
	}
	// A window of five rows has two or three hits. Half a ray is known as what it is, not better.
	const want, half = 1 + (bright-1)*0.5/rays, (bright - 1) * 0.2 / rays
	for y := 2; y < h-2; y++ {
		if v := c[y*w+edge][1]; abs(v-want) > half {
			t.Errorf("row %d: the pixel at the lamp's edge has %.2f, want %.2f ± %.2f", y, v, want, half)
		}
	}
}
