package scan

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"halfstop/mesh"
)

// Options tell what is known; zero values are found.
type Options struct {
	Unit string // 'm', 'cm', 'mm', 'ft', 'in'
	Up   string // 'x+', 'x-', 'y+', 'y-', 'z+', 'z-'
	// Cut takes away what lies inside these boxes: low corner and high corner, metres, in the
	// room's frame.
	Cut [][6]float64
	// Turn is by how much the room is turned more, degrees anticlockwise from above: 0, 90, 180,
	// 270. Without it the longer walls run along x.
	Turn int
	// Most is how many triangles to keep of what stands in the room; 0: 60,000.
	Most int
}

// Room is what was found. Lengths in metres, in the room's frame: the origin in a corner of the
// floor, z up, x along the longer walls.
type Room struct {
	Unit, Up     string
	UnitSure     bool
	UpSure       bool
	Outline      [][2]float64 // corners of the floor, anticlockwise
	Ceiling      float64      // height; 0: the scan has none
	Turned       float64      // degrees by which the scan was turned about the vertical
	Triangles    int          // of the scan
	Things       *mesh.Mesh   // what stands in the room, without floor, walls and ceiling; nil: nothing does
	ThingsBefore int          // its triangles before it was simplified
	Error        float64      // no corner of it was moved by more, metres
	FloorSeen    float64      // share of the floor that the scan covers, 0 to 1
	// Colours of 'floor', 'walls', 'ceiling', 'things': mean linear RGB as scanned; nil: none.
	Colours map[string][3]float64
	Left    []string // what of the file was left out
}

var units = []struct {
	word  string
	scale float64
}{{"m", 1}, {"cm", 0.01}, {"mm", 0.001}, {"ft", 0.3048}, {"in", 0.0254}}

// Errors of Find.
var (
	ErrUnit  = errors.New("no unit makes a room of it: say whether it is in m, cm, mm, ft or in")
	ErrFloor = errors.New("no floor was found: say which way is up: x+, x-, y+, y-, z+ or z-")
	ErrTurn  = errors.New("a room is turned by 0, 90, 180 or 270 degrees")
)

// tri is a triangle with its area and normal, in metres.
type tri struct {
	p      [3][3]float64
	v      [3]uint32 // its corners in the mesh
	n      [3]float64
	area   float64
	colour [3]float64
	bare   bool // it has no colour of its own
}

// Find finds the room in a mesh.
func Find(m *mesh.Mesh, o Options) (*Room, error) {
	r := &Room{Triangles: len(m.Tris), Left: m.Left}
	low, high := bounds(m.Pos)
	var err error
	scale := 0.0
	if r.Unit, scale, r.UnitSure, err = unit(low, high, o.Unit); err != nil {
		return nil, err
	}
	tris := triangles(m, scale)
	if r.Up, r.UpSure, err = up(tris, o.Up); err != nil {
		return nil, err
	}
	turnUp(tris, r.Up)
	floor, ceiling, ok := levels(tris)
	if !ok {
		return nil, ErrFloor
	}
	r.Ceiling = ceiling - floor
	angle := heading(tris)
	turn(tris, -angle, floor)
	x0, x1, y0, y1 := shell(tris, r.Ceiling)
	// The longer side along x.
	if y1-y0 > x1-x0 {
		turn(tris, -math.Pi/2, 0)
		x0, x1, y0, y1 = y0, y1, -x1, -x0
		angle += math.Pi / 2
	}
	if o.Turn%90 != 0 || o.Turn < 0 || o.Turn > 270 {
		return nil, ErrTurn
	}
	for range o.Turn / 90 {
		turn(tris, math.Pi/2, 0)
		x0, x1, y0, y1 = -y1, -y0, x0, x1
		angle -= math.Pi / 2
	}
	shift(tris, -x0, -y0)
	w, d := x1-x0, y1-y0
	r.Turned = math.Round(10*math.Remainder(-angle*180/math.Pi, 360))/10 + 0
	r.Outline, r.FloorSeen = outline(tris, w, d)
	lo := lowest(r.Outline)
	shift(tris, -lo[0], -lo[1])
	for i := range r.Outline {
		r.Outline[i][0] -= lo[0]
		r.Outline[i][1] -= lo[1]
	}
	tris = cut(tris, o.Cut)
	r.Colours = colours(tris, r)
	things := inside(tris, r)
	r.ThingsBefore = len(things)
	if len(things) > 0 {
		most := o.Most
		if most <= 0 {
			most = 60_000
		}
		r.Things, r.Error = simplify(things, most)
	}
	return r, nil
}

func bounds(pos [][3]float32) (lo, hi [3]float64) {
	for k := range 3 {
		lo[k], hi[k] = math.Inf(1), math.Inf(-1)
	}
	for _, p := range pos {
		for k := range 3 {
			lo[k], hi[k] = min(lo[k], float64(p[k])), max(hi[k], float64(p[k]))
		}
	}
	return lo, hi
}

// unit takes the unit that makes the middle extent a room's: between 1.5 and 60 m, and the
// smallest a height between 1.8 and 12 m. Metres are tried first: a phone writes metres.
func unit(lo, hi [3]float64, said string) (word string, scale float64, sure bool, err error) {
	e := []float64{hi[0] - lo[0], hi[1] - lo[1], hi[2] - lo[2]}
	slices.Sort(e)
	fits := 0
	for _, u := range units {
		if said != "" {
			if u.word == said {
				return u.word, u.scale, true, nil
			}
			continue
		}
		if h := e[0] * u.scale; h >= 1.8 && h <= 12 && e[1]*u.scale >= 1.5 && e[2]*u.scale <= 80 {
			if fits++; fits == 1 {
				word, scale = u.word, u.scale
			}
		}
	}
	if said != "" {
		return "", 0, false, fmt.Errorf("there is no unit %q: write m, cm, mm, ft or in", said)
	}
	if fits == 0 {
		return "", 0, false, ErrUnit
	}
	return word, scale, fits == 1 || word == "m", nil
}

func triangles(m *mesh.Mesh, scale float64) []tri {
	out := make([]tri, 0, len(m.Tris))
	for i, t := range m.Tris {
		r := tri{v: t, bare: m.Faces == nil && m.Colours == nil || m.Faces != nil && m.Faces[i][3] == 0}
		var face [4]uint8
		if m.Faces != nil {
			face = m.Faces[i]
		}
		for k, i := range t {
			for c := range 3 {
				r.p[k][c] = float64(m.Pos[i][c]) * scale
				switch {
				case m.Faces != nil:
					r.colour[c] = linear(face[c])
				case m.Colours != nil:
					r.colour[c] += linear(m.Colours[i][c]) / 3
				}
			}
		}
		if r.measure() {
			out = append(out, r)
		}
	}
	return out
}

// linear decodes sRGB (IEC 61966-2-1).
func linear(v uint8) float64 {
	x := float64(v) / 255
	if x <= 0.04045 {
		return x / 12.92
	}
	return math.Pow((x+0.055)/1.055, 2.4)
}

// measure sets area and normal; false for a triangle without area.
func (t *tri) measure() bool {
	var a, b [3]float64
	for c := range 3 {
		a[c], b[c] = t.p[1][c]-t.p[0][c], t.p[2][c]-t.p[0][c]
	}
	n := [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
	l := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])
	if !(l > 1e-12) {
		return false
	}
	t.area = l / 2
	t.n = [3]float64{n[0] / l, n[1] / l, n[2] / l}
	return true
}

// up finds the vertical: the axis along which flat ground and ceiling lie furthest apart in strong
// layers for the least height; and which end is the floor: furniture stands on it, so what is
// neither floor nor ceiling lies nearer to it.
func up(tris []tri, said string) (word string, sure bool, err error) {
	words := []string{"x+", "x-", "y+", "y-", "z+", "z-"}
	if said != "" {
		if !slices.Contains(words, said) {
			return "", false, fmt.Errorf("there is no direction %q: write x+, x-, y+, y-, z+ or z-", said)
		}
		return said, true, nil
	}
	best, second := -1.0, -1.0
	axis := 2
	for k := range 3 {
		lo, hi := math.Inf(1), math.Inf(-1)
		flat, all := 0.0, 0.0
		for i := range tris {
			t := &tris[i]
			all += t.area
			for c := range 3 {
				lo, hi = min(lo, t.p[c][k]), max(hi, t.p[c][k])
			}
			if math.Abs(t.n[k]) > 0.95 {
				flat += t.area
			}
		}
		// A room is wider than high: the flat area over the height squared is largest along the
		// vertical.
		s := flat / all / max(0.5, hi-lo)
		switch {
		case s > best:
			second, best, axis = best, s, k
		case s > second:
			second = s
		}
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range tris {
		for c := range 3 {
			lo, hi = min(lo, tris[i].p[c][axis]), max(hi, tris[i].p[c][axis])
		}
	}
	low, high := 0.0, 0.0
	for i := range tris {
		t := &tris[i]
		z := (t.p[0][axis]+t.p[1][axis]+t.p[2][axis])/3 - lo
		h := hi - lo
		// Tops of furniture: flat pieces between a tenth and half of the height, and the same from
		// above.
		if math.Abs(t.n[axis]) > 0.9 {
			if z > 0.1*h && z < 0.5*h {
				low += t.area
			} else if z > 0.5*h && z < 0.9*h {
				high += t.area
			}
		}
	}
	sign := "+"
	if high > low {
		sign = "-"
	}
	word = string("xyz"[axis]) + sign
	return word, best > 1.3*second && math.Abs(low-high) > 0.02*(low+high+1e-9), nil
}

// turnUp turns the mesh so that z is up, keeping its handedness.
func turnUp(tris []tri, word string) {
	var f func(p [3]float64) [3]float64
	switch word {
	case "z+":
		return
	case "z-":
		f = func(p [3]float64) [3]float64 { return [3]float64{p[0], -p[1], -p[2]} }
	case "y+":
		f = func(p [3]float64) [3]float64 { return [3]float64{p[0], -p[2], p[1]} }
	case "y-":
		f = func(p [3]float64) [3]float64 { return [3]float64{p[0], p[2], -p[1]} }
	case "x+":
		f = func(p [3]float64) [3]float64 { return [3]float64{p[1], p[2], p[0]} }
	default:
		f = func(p [3]float64) [3]float64 { return [3]float64{-p[1], p[2], -p[0]} }
	}
	for i := range tris {
		for k := range 3 {
			tris[i].p[k] = f(tris[i].p[k])
		}
		tris[i].n = f(tris[i].n)
	}
}

const bin = 0.02 // m, of the histograms

// layers is a histogram of places along an axis: of each bin the area in it, and the area times its
// place.
type layers map[int][2]float64

func (h layers) add(v, area float64) {
	x := h[int(math.Floor(v/bin))]
	h[int(math.Floor(v/bin))] = [2]float64{x[0] + area, x[1] + area*v}
}

// about is the area in a bin and in those beside it.
func (h layers) about(k int) float64 { return h[k-1][0] + h[k][0] + h[k+1][0] }

// peak gives the place of the heaviest layer between two places, as the mean about it.
func (h layers) peak(from, to float64) (at, area float64, ok bool) {
	best, where := 0.0, 0
	for k := range h {
		x := (float64(k) + 0.5) * bin
		if x < from || x > to {
			continue
		}
		if w := h.about(k); w > best || w == best && k < where {
			best, where = w, k
		}
	}
	if best <= 0 {
		return 0, 0, false
	}
	for k := where - 2; k <= where+2; k++ {
		area += h[k][0]
		at += h[k][1]
	}
	return at / area, area, true
}

// levels finds floor and ceiling: the heaviest flat layers in the lowest and the highest third.
// Without a ceiling it is the top of the scan.
func levels(tris []tri) (floor, ceiling float64, ok bool) {
	h := layers{}
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range tris {
		t := &tris[i]
		z := (t.p[0][2] + t.p[1][2] + t.p[2][2]) / 3
		lo, hi = min(lo, z), max(hi, z)
		if math.Abs(t.n[2]) > 0.95 {
			h.add(z, t.area)
		}
	}
	floor, area, ok := h.peak(lo-1, lo+(hi-lo)/3)
	if !ok {
		return 0, 0, false
	}
	ceiling, above, found := h.peak(hi-(hi-lo)/3, hi+1)
	if !found || above < area/10 {
		ceiling = hi
	}
	return floor, ceiling, true
}

// heading is the direction of the walls, radians, from -45 to 45 degrees: the heaviest angle of
// upright pieces' normals, modulo a right angle, then the mean direction about it.
func heading(tris []tri) float64 {
	const n = 360 // quarter degrees
	var h [n]float64
	for i := range tris {
		t := &tris[i]
		if math.Abs(t.n[2]) > 0.2 {
			continue
		}
		a := math.Mod(math.Atan2(t.n[1], t.n[0])*180/math.Pi+360, 90)
		h[int(a*4)%n] += t.area
	}
	best := 0
	smooth := func(k int) float64 { return h[(k+n-1)%n] + h[k%n] + h[(k+1)%n] }
	for k := range n {
		if smooth(k) > smooth(best) {
			best = k
		}
	}
	// The mean direction about the peak, on the circle of a right angle (Mardia 1972), of fewer and
	// fewer of its neighbours: a wall aslant shall not pull it.
	a := (float64(best) + 0.5) / 4
	var all, re, im float64
	for i := range tris {
		if t := &tris[i]; math.Abs(t.n[2]) <= 0.2 {
			x := 4 * math.Atan2(t.n[1], t.n[0])
			all, re, im = all+t.area, re+t.area*math.Cos(x), im+t.area*math.Sin(x)
		}
	}
	// Fine triangles with the noise of a scan point anywhere: their mean resultant is short. Then
	// it is told by their places.
	if math.Hypot(re, im) < 0.5*all {
		return sharpest(tris)
	}
	for _, width := range []float64{20, 12, 8, 8, 8} {
		var re, im float64
		for i := range tris {
			t := &tris[i]
			if math.Abs(t.n[2]) > 0.2 {
				continue
			}
			off := math.Remainder(math.Atan2(t.n[1], t.n[0])*180/math.Pi-a, 90)
			if math.Abs(off) < width {
				re += t.area * math.Cos(4*off*math.Pi/180)
				im += t.area * math.Sin(4*off*math.Pi/180)
			}
		}
		a += math.Atan2(im, re) / 4 * 180 / math.Pi
	}
	return math.Remainder(a, 90) * math.Pi / 180
}

// sharpest is the direction, radians from -45 to 45 degrees, along which upright pieces lie in the
// heaviest layers by their places: the sum of squares of the layers is largest.
func sharpest(tris []tri) float64 {
	const most = 20_000 // pieces that are looked at
	var at [][3]float64
	for i := range tris {
		if t := &tris[i]; math.Abs(t.n[2]) < 0.7 {
			at = append(at, [3]float64{(t.p[0][0] + t.p[1][0] + t.p[2][0]) / 3,
				(t.p[0][1] + t.p[1][1] + t.p[2][1]) / 3, t.area})
		}
	}
	step := 1 + len(at)/most
	var far float64
	for _, p := range at {
		far = max(far, math.Hypot(p[0], p[1]))
	}
	thick := max(2*bin, far/(1<<15)) // of a layer
	h := make([]float64, 2*int(far/thick)+3)
	score := func(deg float64) (sum float64) {
		sn, cs := math.Sincos(deg * math.Pi / 180)
		for k := range 2 {
			clear(h)
			for i := 0; i < len(at); i += step {
				v := at[i][0]*cs + at[i][1]*sn
				if k == 1 {
					v = at[i][1]*cs - at[i][0]*sn
				}
				h[len(h)/2+int(math.Floor(v/thick))] += at[i][2]
			}
			for _, area := range h {
				sum += area * area
			}
		}
		return sum
	}
	best := 0.0
	for _, by := range []float64{0.25, 0.05} {
		from, to := -45.0, 45.0
		if by < 0.1 {
			from, to = best-0.3, best+0.3
		}
		top := -1.0
		for deg := from; deg < to; deg += by {
			if s := score(deg); s > top {
				top, best = s, deg
			}
		}
	}
	return best * math.Pi / 180
}

// turn turns all about the vertical and lowers it by z0.
func turn(tris []tri, a, z0 float64) {
	c, s := math.Cos(a), math.Sin(a)
	for i := range tris {
		t := &tris[i]
		for k := range 3 {
			p := t.p[k]
			t.p[k] = [3]float64{p[0]*c - p[1]*s, p[0]*s + p[1]*c, p[2] - z0}
		}
		t.n = [3]float64{t.n[0]*c - t.n[1]*s, t.n[0]*s + t.n[1]*c, t.n[2]}
	}
}

func shift(tris []tri, x, y float64) {
	for i := range tris {
		for k := range 3 {
			tris[i].p[k][0] += x
			tris[i].p[k][1] += y
		}
	}
}

// shell finds the outermost walls: along each axis the outermost upright layers that have at least
// a quarter of the area of the heaviest one. Where floor or ceiling lies beyond such a layer, and
// it is no wall across half of the room, or most of them lies there, the walls run aslant: then it
// is how far floor and ceiling go.
func shell(tris []tri, high float64) (x0, x1, y0, y1 float64) {
	var out [4]float64
	for k := range 2 {
		h := layers{}
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := range tris {
			t := &tris[i]
			v := (t.p[0][k] + t.p[1][k] + t.p[2][k]) / 3
			lo, hi = min(lo, v), max(hi, v)
			if math.Abs(t.n[k]) > 0.95 {
				h.add(v, t.area)
			}
		}
		_, most, ok := h.peak(lo-1, hi+1)
		out[2*k], out[2*k+1] = lo, hi
		if !ok {
			continue
		}
		keys := make([]int, 0, len(h))
		for key := range h {
			keys = append(keys, key)
		}
		slices.Sort(keys)
		heavy := func(key int) bool { return h.about(key) >= most/4 }
		for _, key := range keys {
			if heavy(key) {
				out[2*k], _, _ = h.peak(float64(key-1)*bin, float64(key+5)*bin)
				break
			}
		}
		for _, key := range slices.Backward(keys) {
			if heavy(key) {
				out[2*k+1], _, _ = h.peak(float64(key-4)*bin, float64(key+2)*bin)
				break
			}
		}
		flat := reach(tris, k)
		across := reach(tris, 1-k)
		half := 0.5 * high * (across.to - across.from)
		about := func(v float64) float64 { _, a, _ := h.peak(v-0.01, v+0.01); return a }
		aslant := func(share, at float64) bool { return share > 0.5 || share > 0.03 && about(at) < half }
		if aslant(flat.share(lo-1, out[2*k]-0.1), out[2*k]) {
			out[2*k] = flat.from
		}
		if aslant(flat.share(out[2*k+1]+0.1, hi+1), out[2*k+1]) {
			out[2*k+1] = flat.to
		}
	}
	return out[0], out[1], out[2], out[3]
}

// extent is how floor and ceiling lie along an axis.
type extent struct {
	from, to float64 // all but a ten-thousandth of the area at each end
	h        layers
	all      float64
}

func reach(tris []tri, axis int) extent {
	x := extent{h: layers{}}
	for i := range tris {
		t := &tris[i]
		if math.Abs(t.n[2]) > 0.9 {
			// A large triangle lies in many layers: its area goes in parts to where it reaches.
			lo := min(t.p[0][axis], t.p[1][axis], t.p[2][axis])
			hi := max(t.p[0][axis], t.p[1][axis], t.p[2][axis])
			n := max(1, min(64, int((hi-lo)/0.1)))
			for k := range n {
				x.h.add(lo+(float64(k)+0.5)*(hi-lo)/float64(n), t.area/float64(n))
			}
			x.all += t.area
		}
	}
	keys := make([]int, 0, len(x.h))
	for k := range x.h {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	sum := 0.0
	for _, k := range keys {
		if sum <= x.all/1e4 {
			x.from = float64(k) * bin
		}
		if sum < x.all*(1-1e-4) {
			x.to = float64(k+1) * bin
		}
		sum += x.h[k][0]
	}
	return x
}

// share of the area that lies from one place to another.
func (x extent) share(from, to float64) float64 {
	sum := 0.0
	for k, v := range x.h {
		if at := (float64(k) + 0.5) * bin; at > from && at < to {
			sum += v[0]
		}
	}
	return sum / max(1e-9, x.all)
}
