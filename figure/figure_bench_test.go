package figure

import "testing"

func bench(b *testing.B, p Params) {
	var m *Mesh
	for range b.N {
		m = Build(p)
	}
	b.ReportMetric(float64(len(m.Tri)), "triangles")
}

func whole(d Detail) Params {
	p := Man()
	p.Detail = d
	return p
}

func BenchmarkShadow(b *testing.B)   { bench(b, whole(Shadow)) }
func BenchmarkFar(b *testing.B)      { bench(b, whole(Far)) }
func BenchmarkPortrait(b *testing.B) { bench(b, whole(Portrait)) }
func BenchmarkClose(b *testing.B)    { bench(b, whole(Close)) }
