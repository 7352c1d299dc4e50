package trace

// speckled is by how many times a cell must outshine the second brightest of those beside it to be
// taken for one that a rare path found light in.
const outlierRatio = 3

// even spreads the light of cells that stand alone over those beside them, layer by layer: a few
// paths a cell know no better, and what all that is round about sees by way of it would be wrong
// together, which no number of samples mends. No light is lost. Values and lobes are of one layer,
// by cell. Cells in haze that owe most of it to lamps which they see stay: what is asked for
// straight is no rare find, and beside a lamp a beam is bright.
func (a *IrradianceCache) suppressOutliers(values []Band, lobes []cellLobes) {
	was := make([]float32, len(values))
	for c := range values {
		was[c] = meanBand(&values[c])
	}
	for c := range values {
		var first, second float32
		n := 0
		for _, q := range a.adjacent[c] {
			if q < 0 {
				continue
			}
			n++
			if v := was[q]; v > first {
				first, second = v, first
			} else if v > second {
				second = v
			}
		}
		if n < 3 || was[c] <= outlierRatio*second || a.list[c].haze && lobes[c].direct > 0.5 {
			continue
		}
		// It keeps as much as the second brightest has, or its part of all.
		keep := max(second/was[c], 1/float32(n+1))
		over := values[c]
		scaleBand(&values[c], keep)
		scaleBand(&over, (1-keep)/float32(n))
		one := Grey(1)
		for _, q := range a.adjacent[c] {
			if q >= 0 {
				addMul(&values[q], &one, &over, 1)
			}
		}
	}
}

// neighbours fills a.beside with the cells that touch each one: up to 8 on a surface, up to 6 in
// haze; -1 for none.
func (a *IrradianceCache) neighbours() {
	a.adjacent = make([][8]int32, len(a.list))

	steps := [3]uint64{1 << 40, 1 << 20, 1}
	for k, c := range a.cells {
		n := 0
		out := [8]int32{-1, -1, -1, -1, -1, -1, -1, -1}
		look := func(q uint64) {
			if i, ok := a.cells[q]; ok {
				out[n] = i
				n++
			}
		}
		switch face := k >> 60 & 7; face {
		case 0:
			for _, s := range steps {
				look(k - s)
				look(k + s)
			}
		default:
			across := int(face-1) / 2
			s, t := steps[(across+1)%3], steps[(across+2)%3]
			for i := range 3 {
				for j := range 3 {
					if i != 1 || j != 1 {
						look(k + uint64(i-1)*s + uint64(j-1)*t)
					}
				}
			}
		}
		a.adjacent[c] = out
	}
}
