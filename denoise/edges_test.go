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
	if err := ReconstructEdges(context.Background(), s, [][][3]float32{c}, []*Airlight{nil}, raw, tracer); err != nil {
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
