package optics

import (
	"math"
	"slices"

	"halfstop/geom"
	q "halfstop/quantity"
)

// Pattern is the trade's word for where the key stands to the face.
type Pattern struct {
	Name string // 'butterfly', 'loop', 'Rembrandt', 'split', 'rim', 'top', 'flat', 'under', 'back'
	Next string // the pattern on the other side of a border that is less than 5° away; empty when none is
	// which side of the sitter the key is on, the sitter's own: 'left', 'right', or '' within 5° of
	// the nose
	Side string
	// 'broad' when the key is on the camera's side of a turned head, 'short' on the far side, ''
	// for a straight one
	Cheek  string
	Around q.Degrees // from where the nose points, about the head's own upright axis; positive to the sitter's left
	Above  q.Degrees // above eye level, in the head's own frame
}

// straight is how far a head must be turned from the camera before it has a broad and a short side.
const straight = 10.0

// PatternOf names the pattern of a key at light for a face at face whose nose points along nose
// (any length), seen from camera; all in metres. Angles are from where the nose points, not from
// the camera.
//
// Source: lighting texts give 20–50° around and 25–60° above for loop, 'more and higher' for
// Rembrandt, 'about 90°' for split; the rest and the exact borders are common practice, no source.
// What the shadow does on this face is for the picture to show. Check: TestPatterns.
func PatternOf(face, nose, light, camera geom.Vec) Pattern {
	f := geom.UprightFrame(nose.Unit())
	l := f.In(light.Sub(face))
	deg := func(y, x float64) float64 { return math.Atan2(y, x) * 180 / math.Pi }
	// S is level and points to the left of one who looks along N: the sitter's left
	p := Pattern{Around: q.Degrees(deg(l.X, l.Z)), Above: q.Degrees(deg(l.Y, math.Hypot(l.X, l.Z)))}
	around, above := math.Abs(float64(p.Around)), float64(p.Above)
	p.Name = patternAt(around, above)
	for _, d := range [][2]float64{{5, 0}, {-5, 0}, {0, 5}, {0, -5}} {
		if n := patternAt(math.Abs(around+d[0]), above+d[1]); n != p.Name {
			p.Next = n
			break
		}
	}
	switch {
	case p.Around > 5:
		p.Side = "left"
	case p.Around < -5:
		p.Side = "right"
	}
	c := f.In(camera.Sub(face))
	turned := deg(c.X, c.Z)
	if math.Abs(turned) >= straight && p.Side != "" {
		p.Cheek = "short"
		if (turned > 0) == (p.Around > 0) {
			p.Cheek = "broad"
		}
	}
	return p
}

// patternAt draws the borders, in degrees around (0 to 180) and above. Up to 50° around, or 40°
// where it is high, the nose's shadow stays off the cheek's; past that they close round a triangle
// of light while the far cheek, which looks some 45° aside, still gets light; from 75° on it gets
// none.
func patternAt(around, above float64) string {
	switch {
	case above >= 70:
		return "top"
	case above < -15:
		return "under"
	case around > 160:
		return "back"
	case around >= 110:
		return "rim"
	case around >= 75 || around >= 55 && above < 15:
		return "split"
	case above < 20 && around < 20:
		return "flat"
	case around < 15:
		return "butterfly"
	case around >= 50 || around >= 40 && above >= 38:
		return "Rembrandt"
	}
	return "loop"
}

// patternOrder lists the patterns from the nose round to the back.
var patternOrder = []string{"flat", "butterfly", "loop", "Rembrandt", "split", "rim", "back", "top", "under"}

// Words names the pattern; near a border both it and the other: 'between loop and Rembrandt'.
func (p Pattern) Words() string {
	if p.Next == "" || p.Next == p.Name {
		return p.Name
	}
	a, b := p.Name, p.Next
	if slices.Index(patternOrder, b) < slices.Index(patternOrder, a) {
		a, b = b, a
	}
	return "between " + a + " and " + b
}

// corneaRadius is the radius of the front of the eye as a mirror, and irisRadius that of what shows
// coloured; textbook means, from memory.
const (
	corneaRadius = 0.0078
	irisRadius   = 0.0059
)

// Catchlight is where a light shows in an eye, as the camera sees it.
type Catchlight struct {
	Hour   float64  // on the clock, above 0 to 12; 12 is up, 3 the right of the picture. 12 when Offset is 0
	Offset q.Metres // from the middle of the cornea
	OnIris bool     // within the coloured part; farther out the lids and the flatter white take over
}

// CatchlightOf returns where a light at light mirrors in an eye whose corneal sphere has its centre
// at eye, seen from camera; metres. up is what is up in the picture. ok is false when the light
// stands so far behind that the camera sees no reflection.
//
// The cornea is a sphere of 7.8 mm radius; the mirror point is where its normal halves the angle
// between light and camera. Check: TestCatchlight.
func CatchlightOf(eye, light, camera, up geom.Vec) (c Catchlight, ok bool) {
	lv, cv := light.Sub(eye), camera.Sub(eye)
	if lv.Len() <= 2*corneaRadius || cv.Len() <= 2*corneaRadius || !lv.Finite() || !cv.Finite() {
		return c, false
	}
	n := cv.Unit().Add(lv.Unit())
	if n.Len() < 0.2 { // light and camera more than 168° apart
		return c, false
	}
	n = n.Unit()
	// the angles are taken at the surface, not at the centre: a few rounds settle it
	for range 8 {
		p := n.Mul(corneaRadius)
		n = lv.Sub(p).Unit().Add(cv.Sub(p).Unit()).Unit()
	}
	axis := cv.Unit()
	right := axis.Neg().Cross(up).Unit()
	if right.Len2() == 0 {
		return c, false
	}
	top := right.Cross(axis.Neg())
	x, y := n.Dot(right), n.Dot(top)
	c.Offset = q.Metres(corneaRadius * math.Hypot(x, y))
	c.Hour = 12
	if c.Offset > 1e-9 {
		c.Hour = math.Atan2(x, y) * 6 / math.Pi
		if c.Hour <= 0 {
			c.Hour += 12
		}
	}
	c.OnIris = c.Offset <= irisRadius
	return c, n.Dot(axis) > 0
}
