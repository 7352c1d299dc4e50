package stage

import (
	"math"
	"strings"

	"halfstop/geom"
	"halfstop/kind"
)

// textureOf gives the pattern of a surface by the words of its name, at true scale: joints of tiles
// and bricks, boards, speckle, weave. It is a factor of the diffuse part with mean 1, so that it
// moves no reading that covers more than a few of its repeats; nil for none. The number is that of
// the pattern in web/src/gpu/texture.wgsl. Sizes are common practice, no source: tile 150 mm with 3
// mm joints, brick 225 × 75 mm with its joint, boards 120 mm. Check: TestTexturesKeepTheMean.
func textureOf(name string) (at func(p, n geom.Vec) float32, pattern int) {
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.Contains(name, w) {
				return true
			}
		}
		return false
	}
	switch {
	case has("tile"):
		return flat(func(u, v float64) float64 { return grid(u, v, 0.15, 0.15, 0.003, 0, 0.62, 0.03) }), 1
	case has("brick"):
		return flat(func(u, v float64) float64 {
			return grid(u, v, 0.225, 0.075, 0.010, 0.5, 1.25, 0.18) * (1 + 0.16*(value(u/0.006, v/0.006, 3)-0.5))
		}), 2
	case has("wood"):
		return flat(func(u, v float64) float64 {
			board := math.Floor(v / 0.12)
			x := u + 0.7*kind.Hash2(int64(board), 11)
			grain := value(x/0.25, v/0.004, 5)*0.6 + value(x/0.6, v/0.018, 6)*0.4
			f := 1 + 0.34*(grain-0.5) + 0.14*(kind.Hash2(int64(board), 4)-0.5)
			if d := v - board*0.12; d < 0.0015 {
				f *= 0.55
			}
			return f / 0.9944
		}), 3
	case has("lino", "concrete", "asphalt", "terrazzo"):
		return flat(func(u, v float64) float64 {
			return 1 + 0.13*(value(u/0.007, v/0.007, 1)-0.5) + 0.09*(value(u/0.05, v/0.05,
				2)-0.5) + 0.08*(value(u/0.6, v/0.6, 8)-0.5)
		}), 4
	case has("painted", "dyed"): // clouds of a brush, over the weave
		return flat(func(u, v float64) float64 {
			cloud := 0.55*(value(u/0.55, v/0.7, 21)-0.5) + 0.3*(value(u/0.21, v/0.26, 22)-0.5)
			return 1 + cloud + 0.12*(value(u/0.06, v/0.08, 23)-0.5) + 0.05*math.Sin(2*math.Pi*(u+v)/0.003)
		}), 5
	case has("wool", "flannel", "cotton", "denim", "shirt", "carpet", "canvas"):
		return flat(func(u, v float64) float64 {
			twill := math.Sin(2 * math.Pi * (u + v) / 0.0028)
			return 1 + 0.10*twill + 0.22*(value(u/0.0022, v/0.0022, 9)-0.5) + 0.10*(value(u/0.03, v/0.03, 10)-0.5)
		}), 6
	case has("emulsion", "plaster", "off-white gloss", "white gloss"):
		return flat(func(u, v float64) float64 {
			return 1 + 0.05*(value(u/0.35, v/0.35, 12)-0.5) + 0.03*(value(u/0.03, v/0.03, 13)-0.5)
		}), 7
	}
	return nil, 0
}

// flat lays a pattern on the plane that a face is nearest to: level ones by x and y, upright ones
// by the way along them and z.
func flat(f func(u, v float64) float64) func(p, n geom.Vec) float32 {
	return func(p, n geom.Vec) float32 {
		switch {
		case math.Abs(n.Z) > 0.7:
			return float32(f(p.X, p.Y))
		case math.Abs(n.Y) >= math.Abs(n.X):
			return float32(f(p.X, p.Z))
		}
		return float32(f(p.Y, p.Z))
	}
}

// grid is joints round pieces w × h, every other row shifted; joint is the joint's level beside the
// piece's, vary the spread from piece to piece.
func grid(u, v, w, h, gap, shift, joint, vary float64) float64 {
	row := math.Floor(v / h)
	if math.Mod(math.Abs(row), 2) == 1 {
		u += shift * w
	}
	col := math.Floor(u / w)
	du, dv := u-col*w, v-row*h
	part := 1 - (1-gap/w)*(1-gap/h)
	mean := 1 - part + part*joint
	if du < gap || dv < gap {
		return joint / mean
	}
	return (1 + vary*(kind.Hash2(int64(col), int64(row))-0.5)) / mean
}

// value is smooth value noise from 0 to 1, mean 1/2.
func value(x, y float64, seed int64) float64 {
	i, j := math.Floor(x), math.Floor(y)
	u, v := x-i, y-j
	u, v = u*u*(3-2*u), v*v*(3-2*v)
	a, b := int64(i), int64(j)+seed*7919
	return (kind.Hash2(a, b)*(1-u)+kind.Hash2(a+1, b)*u)*(1-v) + (kind.Hash2(a, b+1)*(1-u)+kind.Hash2(a+1, b+1)*u)*v
}
