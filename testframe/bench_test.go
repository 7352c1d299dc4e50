package testframe_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"halfstop/testframe"
)

// BenchmarkFit explains a photograph of so many lights, of 120 × 80 pixels: what a test frame
// costs.
func BenchmarkFit(b *testing.B) {
	for _, n := range []int{3, 8, 17} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			r := rand.New(rand.NewPCG(1, 2))
			var layers []testframe.Layer
			var all []testframe.Image
			for i := range n {
				m := large(float64(i)/float64(n), 0.3/float64(n)+0.05*r.Float64(),
					[3]float64{1, 0.7 + 0.3*r.Float64(), 0.5 + 0.5*r.Float64()})
				layers = append(layers, testframe.Layer{Name: fmt.Sprint(i), Flash: i%2 == 0, House: i%2 == 1,
					SD: 0.3, Image: m})
				if i != 1 {
					all = append(all, m)
				}
			}
			photo := sum(all...)
			for b.Loop() {
				if _, err := testframe.Fit(b.Context(), &photo, layers, testframe.Work{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// large is scene at the size of a test frame.
func large(at, level float64, colour [3]float64) testframe.Image {
	s := scene(at, level, colour)
	m := testframe.Image{W: 120, H: 80}
	for y := range m.H {
		for x := range m.W {
			m.RGB = append(m.RGB, s.RGB[y*s.H/m.H*s.W+x*s.W/m.W])
		}
	}
	return m
}
