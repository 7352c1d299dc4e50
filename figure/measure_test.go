package figure

import (
	_ "embed"
	"math"
	"strconv"
	"strings"
	"testing"

	"halfstop/geom"
	"halfstop/quantity"
)

// back takes a scene point to millimetres in drawing axes, relative to the eye line.
func back(p geom.Vec, eye float64) vec { return vec{-p.X * 1000, (p.Z - eye) * 1000, p.Y * 1000} }

func isSkin(p Part) bool { return p == Skin || p == Lip }

// skinBox is the extent of skin vertices that pass keep.
func skinBox(m *Mesh, eye float64, keep func(vec) bool) (lo, hi vec) {
	lo, hi = vec{1e9, 1e9, 1e9}, vec{-1e9, -1e9, -1e9}
	for i, t := range m.Tri {
		if !isSkin(m.Part[i]) {
			continue
		}
		for _, k := range t {
			p := back(wide(m.Pos[k]), eye)
			if !keep(p) {
				continue
			}
			lo = vec{math.Min(lo.X, p.X), math.Min(lo.Y, p.Y), math.Min(lo.Z, p.Z)}
			hi = vec{math.Max(hi.X, p.X), math.Max(hi.Y, p.Y), math.Max(hi.Z, p.Z)}
		}
	}
	return
}

// measure gives asked and built lengths in mm, taken on the finished mesh.
func measure(p Params) map[string][2]float64 {
	p.headOnly, p.Hair, p.Asymmetry = true, NoHair, 0
	m := Build(p)
	l := m.Landmarks
	eye := l["eyes"].At.Z
	at := func(n string) vec { return back(l[n].At, eye) }
	h := newHead(p.worn())
	r := map[string][2]float64{}
	span := func(keep func(vec) bool) vec { lo, hi := skinBox(m, eye, keep); return hi.sub(lo) }
	zo := 52.0 // the hips, which stand over the origin, lie this far behind the ear canals
	r["head breadth"] = [2]float64{p.HeadBreadth, span(func(q vec) bool { return q.Y > 40 }).X}
	lo, _ := skinBox(m, eye, func(q vec) bool { return q.Y > -10 && q.Y < 70 })
	_, hi := skinBox(m, eye, func(q vec) bool { return q.Y > 8 && q.Y < 40 && math.Abs(q.X) < 3 })
	r["head length"] = [2]float64{p.HeadLength, hi.Z - lo.Z}
	_, top := skinBox(m, eye, func(q vec) bool { return q.Y > 0 })
	chin, _ := skinBox(m, eye, func(q vec) bool { return q.Z-zo > h.menZ-3 && math.Abs(q.X) < 4 })
	r["head height"] = [2]float64{p.HeadHeight, top.Y - chin.Y}
	r["face height"] = [2]float64{p.FaceHeight, at("sellion").Y - chin.Y}
	r["bizygomatic"] = [2]float64{p.Bizygomatic, span(func(q vec) bool {
		return q.Y > -32 && q.Y < -4 && q.Z-zo > 16 &&
			q.Z-zo < 60
	}).X}
	r["bigonial"] = [2]float64{p.Bigonial + 2*jawFlesh, span(func(q vec) bool {
		return math.Abs(q.Y-h.gonY) < 4 &&
			q.Z-zo > 2 && q.Z-zo < 30
	}).X}
	// the eyes converge on GazeTo, which brings the corneas together by twice corneaApex times half
	// the distance over GazeTo
	r["interpupillary"] = [2]float64{p.Interpupillary * (1 - corneaApex/(float64(p.GazeTo)*1000)),
		at("eye left").X - at("eye right").X}
	r["nose protrusion"] = [2]float64{p.NoseProtrusion, at("nose tip").Z - at("subnasale").Z}
	r["nose height"] = [2]float64{p.NoseHeight, at("sellion").Y - at("subnasale").Y}
	// nose breadth: where the wing falls away steepest toward the cheek
	depth := func(x float64) float64 {
		t, _ := ray(m, geom.V(-x/1000, 0.35, eye+(h.subnY+6)/1000), geom.V(0, -1, 0), isSkin)
		return 350 - t*1000
	}
	x, steep, last := 0.0, 0.0, depth(11)
	for q := 11.5; q < 27; q += 0.5 {
		d := depth(q)
		if last-d > steep {
			steep, x = last-d, q-0.25
		}
		last = d
	}
	r["nose breadth"] = [2]float64{p.NoseBreadth, 2 * x}
	lw := 0.0
	for i, t := range m.Tri {
		if m.Part[i] == Lip {
			for _, k := range t {
				if q := back(wide(m.Pos[k]), eye); q.Y < h.subnY {
					lw = math.Max(lw, math.Abs(q.X))
				}
			}
		}
	}
	r["lip width"] = [2]float64{p.LipWidth, 2 * lw}
	// neck: round the column at right angles to its axis, under the larynx; asked is what the
	// breadth says for a column of the drawing's shape
	bd := newBody(h)
	seat, ax := vec{0, bd.base + 22, -36 * h.sz}, vec{0, 0.93, 0.36}.unit()
	c, fz, girth, last2 := seat.add(ax.mul(38)), vec{0, -ax.Z, ax.Y}, 0.0, vec{}
	for i := 0; i <= 72; i++ {
		sn, cs := math.Sincos(float64(i) * 5 * math.Pi / 180)
		d := vec{1, 0, 0}.mul(cs).add(fz.mul(sn))
		o := c.add(d.mul(250))
		q, _ := strike(func(q vec) float64 { return h.neck(q, q.abs()) }, o, d.mul(-1), 260)
		if i > 0 {
			girth += q.sub(last2).len()
		}
		last2 = q
	}
	r["neck"] = [2]float64{girth, girth}
	ear := func(keep func(vec) bool) vec {
		lo, hi := skinBox(m, eye, func(q vec) bool {
			return q.X > p.HeadBreadth/2+1 && q.Y < 45 && q.Y > -70 &&
				keep(q)
		})
		return hi.sub(lo)
	}
	tragion := h.ear.out(vec{7.5, 1, 3.6}.mul(p.EarLength / 63)) // the notch over the tragus
	r["tragion to top"] = [2]float64{h.top - tragion.Y, h.top - tragion.Y}
	r["ear"] = [2]float64{p.EarLength, ear(func(vec) bool { return true }).Y}
	return r
}

// tol is how far, in mm, a built length may lie from the asked one and from the survey's mean:
// about half a standard deviation of the survey for the head (7.0 and 5.5 mm), neck (26) and ear
// (4.9; the lobe's edge hangs by a cell), under one for the tragion (6.7: the drawing sets ears a
// little high), two cells for small features, and what a calliper leaves open for the jaw.
var tol = map[string]float64{"head breadth": 2.8, "head length": 3.5, "head height": 3, "face height": 2.5,
	"bizygomatic": 4, "bigonial": 4,
	"interpupillary": 0.1, "neck": 15, "ear": 5, "tragion to top": 6, "nose protrusion": 1.5, "nose height": 2.5,
	"nose breadth": 3, "lip width": 3}

//go:embed data/ansur2.csv
var surveyFile string

// survey is one column of ANSUR II, mm; a missing figure is 0.
type survey struct{ men, sdMen, women, sdWomen, all, sdAll float64 }

func surveyed(t *testing.T) map[string]survey {
	t.Helper()
	r := map[string]survey{}
	for _, line := range strings.Split(surveyFile, "\n") {
		f := strings.Split(line, "|")
		if len(f) != 7 || f[0] == "column" {
			continue
		}
		v := make([]float64, 6)
		for i := range v {
			if f[i+1] == "" {
				continue
			}
			x, err := strconv.ParseFloat(f[i+1], 64)
			if err != nil {
				t.Fatal(err)
			}
			v[i] = x
		}
		r[f[0]] = survey{v[0], v[1], v[2], v[3], v[4], v[5]}
	}
	if len(r) < 20 {
		t.Fatalf("%d columns", len(r))
	}
	return r
}

// The table agrees with itself: the mean of all 6,068 is that of 4,082 men and 1,986 women (the
// three were computed by different hands), within their rounding. And the drawing asks for its
// figures.
func TestSurvey(t *testing.T) {
	s := surveyed(t)
	for k, v := range s {
		if v.men == 0 || v.all == 0 {
			continue
		}
		if all := (4082*v.men + 1986*v.women) / 6068; math.Abs(all-v.all) > 0.1 {
			t.Errorf("%s: men and women make %.2f, all are %.2f", k, all, v.all)
		}
	}
	man, woman := Man(), Woman()
	for k, v := range map[string][2]float64{
		"headlength": {man.HeadLength, woman.HeadLength}, "headbreadth": {man.HeadBreadth, woman.HeadBreadth},
		"mentonsellionlength": {man.FaceHeight, woman.FaceHeight}, "bizygomaticbreadth": {man.Bizygomatic,
			woman.Bizygomatic},
		"interpupillarybreadth": {man.Interpupillary, woman.Interpupillary}, "earlength": {man.EarLength,
			woman.EarLength},
		"biacromialbreadth": {man.Biacromial, woman.Biacromial}, "chestdepth": {man.ChestDepth, woman.ChestDepth},
		"hipbreadth": {man.HipBreadth, woman.HipBreadth}, "stature": {float64(man.Stature) * 1000,
			float64(woman.Stature) * 1000},
	} {
		if math.Abs(v[0]-s[k].men) > 0.05 || math.Abs(v[1]-s[k].women) > 0.05 {
			t.Errorf("%s: drawn for %.1f and %.1f, surveyed %.1f and %.1f", k, v[0], v[1], s[k].men, s[k].women)
		}
	}
}

// mean says which surveyed column a measured length is.
var mean = map[string]string{"head length": "headlength", "head breadth": "headbreadth",
	"face height": "mentonsellionlength",
	"bizygomatic": "bizygomaticbreadth", "neck": "neckcircumference", "ear": "earlength",
	"tragion to top": "tragiontopofhead"}

func TestAnthropometry(t *testing.T) {
	broad := Man()
	broad.HeadBreadth, broad.Bizygomatic, broad.NoseBreadth, broad.NoseProtrusion, broad.LipWidth = 160, 150, 42, 17, 58
	s := surveyed(t)
	for n, p := range map[string]Params{"man": Man(), "woman": Woman(), "broad": broad} {
		for k, v := range measure(p) {
			d := v[1] - v[0]
			t.Logf("%-6s %-16s asked %6.1f built %6.1f (%+.1f)", n, k, v[0], v[1], d)
			if math.Abs(d) > tol[k] {
				t.Errorf("%s: %s off by %.1f mm (allowed %.1f)", n, k, d, tol[k])
			}
			want := s[mean[k]].men
			if n == "woman" {
				want = s[mean[k]].women
			}
			if _, ok := mean[k]; ok && n != "broad" && math.Abs(v[1]-want) > tol[k] {
				t.Errorf("%s: %s built %.1f mm, survey mean %.1f", n, k, v[1], want)
			}
		}
	}
}

// Drawing-school rule, no source: the eyes lie half way up the head.
func TestEyesHalfWay(t *testing.T) {
	for _, p := range []Params{Man(), Woman()} {
		h := newHead(p.worn())
		if f := h.top / p.HeadHeight; f < 0.48 || f > 0.52 {
			t.Errorf("eye line at %.3f of the head's height from the crown", f)
		}
	}
}

// Segments of the body against ANSUR II's means over its mean stature, both sexes together
// (data/ansur2.csv): mid-patella 0.277, acromion 0.820, wrist less hand (the fingertip of a
// straight arm) 0.374, sitting height 0.524. Within the spread of men about their own shares (SD of
// a ratio some 0.01 to 0.014) and, for the fingertip, the bend of the arm. A head goes seven to
// eight times into the stature (drawing-school rule).
func TestSegments(t *testing.T) {
	for n, p := range map[string]Params{"man": Man(), "woman": Woman(), "tall": {Form: Man().Form, Stature: 1.95,
		Seat: 0.45}, "short": {Form: Woman().Form, Stature: 1.50}} {
		p.Detail, p.Hair, p.Clothes = Shadow, NoHair, Jumper
		S := float64(p.Stature)
		m := Build(p)
		l := m.Landmarks
		near := func(what string, got, want, tol float64) {
			if math.Abs(got-want) > tol {
				t.Errorf("%s: %s %.3f of stature, want %.3f within %.3f", n, what, got, want, tol)
			}
		}
		// a coarse cell may cut 3 mm off the crown
		near("top", m.Bounds().Hi.Z/S, 1, 0.003)
		near("knee", l["knee left"].At.Z/S, 0.277, 0.015)
		near("shoulder", l["shoulder left"].At.Z/S, 0.82, 0.02)
		low := math.Inf(1)
		for i, tr := range m.Tri {
			if p := wide(m.Pos[tr[0]]); isSkin(m.Part[i]) && p.Z < 0.6*S {
				low = math.Min(low, p.Z)
			}
		}
		near("fingertip", low/S, 0.374, 0.03)
		heads := S / (p.HeadHeight / 1000)
		if heads < 6.8 || heads > 8.6 {
			t.Errorf("%s is %.1f heads tall", n, heads)
		}
		p.Pose, p.Seat = Seated, 0.45
		near("sitting height", (Build(p).Bounds().Hi.Z-0.45)/S, 0.524, 0.02)
	}
}

// FuzzBuild checks that no figures make Build panic, hang or give anything but finite numbers.
func FuzzBuild(f *testing.F) {
	f.Add(1.75, 0.45, 0.0, 0.0, 0.0, 64.0, 36.0, 0.0, uint8(0), uint8(1), uint8(0), true)
	f.Add(math.NaN(), math.Inf(1), -1e300, 90.0, -90.0, 0.0, -5.0, 7.0, uint8(1), uint8(2), uint8(1), false)
	f.Add(1.4, 0.9, -75.0, 40.0, 30.0, 76.0, 48.0, 1.0, uint8(1), uint8(3), uint8(2), true)
	f.Add(2.1, 0.25, 75.0, -35.0, -30.0, 52.0, 26.0, -1.0, uint8(1), uint8(0), uint8(3), true)
	f.Add(1.5, 0.3, 10.0, 5.0, 5.0, 60.0, 30.0, 1.0, uint8(2), uint8(200), uint8(4), true)
	f.Fuzz(func(t *testing.T, stature, seat, turn, tilt, roll, ipd, nose, girth float64, pose, hair, clothes uint8,
		glasses bool) {
		p := Woman()
		if pose&8 != 0 {
			p = Man()
		}
		p.Detail = Shadow
		*(*float64)(&p.Stature), *(*float64)(&p.Seat) = stature, seat
		*(*float64)(&p.Turn), *(*float64)(&p.Tilt), *(*float64)(&p.Roll) = turn, tilt, roll
		p.Interpupillary, p.NoseBreadth, p.Girth = ipd, nose, girth
		p.Pose, p.Hair, p.Clothes, p.Glasses = Pose(pose&7), Hair(hair), Clothes(clothes), glasses
		m := Build(p)
		if len(m.Tri) < 4000 {
			t.Fatalf("%d triangles", len(m.Tri))
		}
		for _, v := range m.Pos {
			if q := wide(v); !q.Finite() || q.Len() > 3.2 {
				t.Fatalf("vertex at %v", v)
			}
		}
		for n, l := range m.Landmarks {
			if !l.At.Finite() || math.Abs(l.Normal.Len()-1) > 1e-6 {
				t.Fatalf("%s: %v", n, l)
			}
		}
	})
}

func TestClamp(t *testing.T) {
	p := Man()
	p.Stature, p.HeadLength, p.Girth, p.Clothes = 9, math.NaN(), -3, 77
	q := p.Clamped()
	if q.Stature != 2.10 || q.HeadLength != 197.5 || q.Girth != -1 || q.Clothes != TShirt {
		t.Errorf("clamped to %v %v %v %v", q.Stature, q.HeadLength, q.Girth, q.Clothes)
	}
	if m := Man(); m.Clamped() != m {
		t.Error("the default is out of its own range")
	}
	if w := Woman(); w.Clamped() != w {
		t.Error("the default is out of its own range")
	}
}

func TestWords(t *testing.T) {
	if h, ok := HairNamed("tied back"); !ok || h != TiedBack {
		t.Error("tied back")
	}
	if c, ok := ClothesNamed("none"); !ok || c != Bare {
		t.Error("none")
	}
	if p, ok := PoseNamed("leaning"); !ok || p != Leaning {
		t.Error("leaning")
	}
	if g, ok := GirthNamed("heavy"); !ok || g != Heavy {
		t.Error("heavy")
	}
	if _, ok := PoseNamed("floating"); ok {
		t.Error("a pose that does not exist")
	}
}

// A seated sitter's thighs lie on the seat: looking up from the floor under a hip joint, the first
// thing met is at its height.
func TestOnTheSeat(t *testing.T) {
	for _, seat := range []float64{0.30, 0.45, 0.60, 0.80} {
		for name, c := range map[string]Clothes{"shirt": Shirt, "coat": Coat, "dress": Dress} {
			p := Woman()
			p.Detail, p.Pose, p.Seat, p.Clothes = Shadow, Seated, quantity.Metres(seat), c
			d, hit := ray(Build(p), geom.V(-0.08, 0.01, 0), geom.V(0, 0, 1), nil)
			// cells of 34 mm round the edge; the flat itself is met within a few millimetres
			if hit < 0 || math.Abs(d-seat) > 0.012 {
				t.Errorf("%s on a seat of %.2f m: met at %.3f m", name, seat, d)
			}
		}
	}
}
