package balance

import (
	"context"
	"fmt"
	"testing"

	q "halfstop/quantity"
)

// BenchmarkSolve is the size that the requirement names: 12 lights × 20 targets × 8 options each,
// 50 ms.
func BenchmarkSolve(b *testing.B) {
	for _, free := range []bool{false, true} {
		b.Run(fmt.Sprintf("camera free %v", free), func(b *testing.B) {
			d := dice(11)
			var list []Problem
			for range 12 {
				p := d.problem(10, 12, 20, 1, 0.1, free)
				for g := range p.Lights {
					l := &p.Lights[g]
					o := l.Options[0]
					for len(l.Options) < 8 {
						tint := [3]float64{d.in(0.6, 1.5), 1, d.in(0.2, 1.6)}
						n := Option{Cost: 0.5}
						loss := d.in(0.2, 1)
						for _, c := range o.At {
							c.Flash *= q.LuxSeconds(loss)
							c.Continuous *= q.Lux(loss)
							for i := range tint {
								c.FlashXYZ[i] *= loss * tint[i]
								c.ContinuousXYZ[i] *= loss * tint[i]
							}
							n.At = append(n.At, c)
						}
						l.MayOption = append(l.MayOption, len(l.Options))
						l.Options = append(l.Options, n)
					}
				}
				list = append(list, p)
			}
			for i := 0; b.Loop(); i++ {
				if _, err := Solve(context.Background(), list[i%len(list)]); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
