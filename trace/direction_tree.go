package trace

import (
	"math"

	"halfstop/geom"
)

// directionTree is a density over the sphere of directions, learned from weighted directions: a
// quadtree over the equal-area map of height and azimuth, fine where the weight is. Source: Müller,
// Gross and Novák 2017, 'Practical path guiding'. Check: TestDirectionTree.
type directionTree struct{ nodes []treeNode }

// treeNode is one cell of the map cut into four: what each holds of the cell's weight, and its node
// (0: not cut further).
type treeNode struct {
	share [4]float32
	child [4]int32
}

// guideSample is one direction by which light came, and how much.
type guideSample struct {
	u, v, weight float32
}

const (
	treeLeaf  = 12 // samples under which a cell is not cut
	treeDepth = 14 // cuts, at most: cells of 5e-8 sr
	treeLeast = 8  // samples under which nothing is learned
	weightCap = 20 // times the mean, at which a sample's weight is cut: one firefly must not draw all paths
)

// mapDirection gives the place of a unit direction on the map, both numbers in [0, 1).
func mapDirection(d geom.Vec) (u, v float64) {
	u = min(math.Nextafter(1, 0), max(0, (d.Z+1)/2))
	v = math.Atan2(d.Y, d.X) / (2 * math.Pi)
	if v < 0 {
		v++
	}
	return u, min(math.Nextafter(1, 0), v)
}

func unmapDirection(u, v float64) geom.Vec {
	z := 2*u - 1
	s, c := math.Sincos(2 * math.Pi * v)
	r := math.Sqrt(max(0, 1-z*z))
	return geom.V(r*c, r*s, z)
}

// newDirectionTree learns from samples, which it reorders; nil where they are too few.
func newDirectionTree(samples []guideSample) *directionTree {
	if len(samples) < treeLeast {
		return nil
	}
	mean := 0.0
	for i := range samples {
		mean += float64(samples[i].weight)
	}
	mean /= float64(len(samples))
	if !(mean > 0) || math.IsInf(mean, 0) {
		return nil
	}
	for i := range samples {
		samples[i].weight = min(samples[i].weight, float32(weightCap*mean))
	}
	t := &directionTree{}
	t.grow(samples, 0, 0, 1, 0)
	return t
}

// grow adds the node of a cell and returns its number.
func (t *directionTree) grow(s []guideSample, u0, v0, size float32, depth int) int32 {
	id := int32(len(t.nodes))
	t.nodes = append(t.nodes, treeNode{})
	half := size / 2
	// Sort into the four parts: lower and upper u, then lower and upper v in each.
	split := func(s []guideSample, upper func(*guideSample) bool) int {
		k := 0
		for i := range s {
			if !upper(&s[i]) {
				s[i], s[k] = s[k], s[i]
				k++
			}
		}
		return k
	}
	k := split(s, func(g *guideSample) bool { return g.u >= u0+half })
	var parts [4][]guideSample
	for h, part := range [2][]guideSample{s[:k], s[k:]} {
		j := split(part, func(g *guideSample) bool { return g.v >= v0+half })
		parts[2*h], parts[2*h+1] = part[:j], part[j:]
	}
	var sum [4]float64
	total := 0.0
	for q, part := range parts {
		for i := range part {
			sum[q] += float64(part[i].weight)
		}
		total += sum[q]
	}
	for q, part := range parts {
		share := 0.25
		if total > 0 {
			// One sample more, of the mean weight, shared evenly: what was not seen is not
			// impossible.
			n := float64(len(s))
			share = (sum[q]/total + 0.25/n) / (1 + 1/n)
		}
		t.nodes[id].share[q] = float32(share)
		if len(part) >= treeLeaf && depth+1 < treeDepth {
			c := t.grow(part, u0+half*float32(q/2), v0+half*float32(q%2), half, depth+1)
			t.nodes[id].child[q] = c
		}
	}
	return id
}

// sample draws a direction; u and v in (0, 1) keep their spread over it.
func (t *directionTree) sample(u, v float64) geom.Vec {
	x, y, size := 0.0, 0.0, 1.0
	for id := int32(0); ; {
		n := &t.nodes[id]
		lower := float64(n.share[0] + n.share[1])
		whole := lower + float64(n.share[2]+n.share[3])
		q := 0
		size /= 2
		if u *= whole; u < lower {
			u /= lower
		} else {
			u = (u - lower) / (whole - lower)
			q, x = 2, x+size
		}
		left := float64(n.share[q])
		pair := left + float64(n.share[q+1])
		if v *= pair; v < left {
			v /= left
		} else {
			v = (v - left) / (pair - left)
			q, y = q+1, y+size
		}
		if n.child[q] == 0 {
			return unmapDirection(x+size*min(1, u), y+size*min(1, v))
		}
		id = n.child[q]
	}
}

// pdf is the density of sample, per steradian.
func (t *directionTree) pdf(d geom.Vec) float64 {
	u, v := mapDirection(d)
	p := 1 / (4 * math.Pi)
	for id := int32(0); ; {
		n := &t.nodes[id]
		q := 0
		if u *= 2; u >= 1 {
			q, u = 2, u-1
		}
		if v *= 2; v >= 1 {
			q, v = q+1, v-1
		}
		p *= 4 * float64(n.share[q]) / float64(n.share[0]+n.share[1]+n.share[2]+n.share[3])
		if n.child[q] == 0 {
			return p
		}
		id = n.child[q]
	}
}
