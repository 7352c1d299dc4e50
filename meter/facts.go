package meter

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/geom"
	"halfstop/optics"
	q "halfstop/quantity"
	"halfstop/stage"
)

// LightFacts is what follows for people from where a light stands.
type LightFacts struct {
	Name       string
	Distance   q.Metres // from its face, or the patch that it lights on a wall or a cloth, to the sitter's face
	Pattern    optics.Pattern
	Catchlight *optics.Catchlight // in the nearer eye; nil where the camera sees none
	Covers     q.Degrees          // the angle it covers, seen from the face
	Penumbra   q.Metres           // of the nose's shadow
	Softness   string
}

// Facts is what follows for the picture as a whole.
type Facts struct {
	Lights []LightFacts
	Ratio  *Ratio // nil without a sitter, or in the dark

	Distance   q.Metres    // camera to the near eye
	Near, Far  q.Metres    // what is sharp; Far may be +Inf
	Background q.Metres    // distance of what lies behind the sitter on the axis, 0 for nothing
	Blur       q.Metres    // of that background on the sensor
	BlurShare  float64     // the same as a share of the picture's height
	Framed     [2]q.Metres // width and height of what is framed at the sitter

	Clip, Floor q.Stops // ends of the sensor's range, to mid-grey; Floor at a signal of 1 to 1 noise
	Clean       q.Stops // where signal is ten times noise
	Lit         float64 // share of the frame that the flash reaches; under 1 beyond sync speed
	Flicker     []Flicker
}

// Ratio is the lighting ratio at the face in both conventions, each from readings of its own: the
// sides from all light on the lit and on the shadow side, key : fill from the key alone on its side
// and the fill alone where it fills, on the shadow side.
type Ratio struct {
	Sides        float64 // lit side : shadow side
	LitOverShade q.Stops // the same; negative where the side away from the key is the brighter
	Words        string  // how the sides read; common practice
	Lights       float64 // key : fill; 0 where it cannot be said
	Fill         string  // what fills, or why key : fill cannot be said
	Reaches      float64 // the key's straight light on the shadow side, share of all there
}

// reachesFrom is the share of the shadow side from which on the key's straight light is spoken of.
const reachesFrom = 0.3

// LightsSaid says key : fill with what fills, or why it cannot be said.
func (r *Ratio) LightsSaid() string {
	s := r.Fill
	switch {
	case r.Lights >= 100:
		s = "over 100:1 key : fill, by " + s
	case r.Lights >= 10:
		s = fmt.Sprintf("%.0f:1 key : fill, by %s", r.Lights, s)
	case r.Lights > 0:
		s = fmt.Sprintf("%.2g:1 key : fill, by %s", r.Lights, s)
	}
	if r.Lights > 0 && r.Reaches >= reachesFrom {
		s += fmt.Sprintf("; the key itself reaches the shadow side (%.0f %% of its light)", 100*r.Reaches)
	}
	return s
}

// Flicker is what a light that swings does at this shutter; lights of one kind are taken together.
type Flicker struct {
	Name   string
	Many   int         // lights taken together
	Share  float64     // most of it at any point, share of the exposure there
	Point  string      // where
	Swing  q.Stops     // worst change from frame to frame there, by the ripple of their kind
	Steady []q.Seconds // shutter speeds near by at which it does not show, shortest first
}

// FactsOf derives the facts of a stage from its geometry and its readings.
func FactsOf(s *stage.Stage, cam Camera, readings []Reading) Facts {
	var f Facts
	f.Clip, f.Floor, f.Clean = cam.Sensor.Clip(cam.ISO), cam.Sensor.Floor(cam.ISO, 1), cam.Sensor.Floor(cam.ISO, 10)
	f.Lit = cam.Lit()
	f.Flicker = flicker(s, cam, readings)
	if s.View != nil {
		v := s.View
		c := v.Format.Confusion()
		f.Distance = v.Focus
		f.Near, f.Far = optics.Sharp(v.Lens, cam.Aperture, c, v.Focus)
		f.Framed = [2]q.Metres{optics.Framed(v.Format.Width, v.Lens, v.Focus),
			optics.Framed(v.Format.Height, v.Lens, v.Focus)}
		if d := s.Behind(); d > float64(v.Focus) {
			f.Background = q.Metres(d)
			f.Blur = optics.Blur(v.Lens, cam.Aperture, v.Focus, f.Background)
			f.BlurShare = float64(f.Blur / v.Format.Height)
		}
	}
	if s.Sitter == nil {
		return f
	}
	face := s.Sitter.Landmarks["face"]
	camera := face.At.Add(face.Normal)
	up := geom.V(0, 0, 1)
	if s.View != nil {
		camera, up = s.View.Eye(), s.View.Up
	}
	eye := s.Sitter.Landmarks["eye left"]
	if r := s.Sitter.Landmarks["eye right"]; r.At.Sub(camera).Len2() < eye.At.Sub(camera).Len2() {
		eye = r
	}
	const corneaRadius = 0.0078 // textbook eye, from memory
	for _, l := range s.Layers {
		if len(l.Bodies) == 0 {
			continue
		}
		b := l.Bodies[0]
		lf := LightFacts{Name: l.Name, Distance: q.Metres(b.At.Sub(face.At).Len())}
		lf.Pattern = optics.PatternOf(face.At, face.Normal, b.At, camera)
		if c, ok := optics.CatchlightOf(eye.At.AddMul(eye.Normal, -corneaRadius), b.At, camera, up); ok {
			lf.Catchlight = &c
		}
		// The size it shows to the face: the mean of its two sides as the face sees them.
		w, h := b.Width, b.Height
		if b.Shape == "disc" || b.Shape == "sphere" {
			h = w
		}
		d := b.At.Sub(face.At).Unit()
		seen := func(axis geom.Vec, size float64) float64 {
			if b.Shape == "sphere" {
				return size
			}
			return size * math.Sqrt(max(0, 1-d.Dot(axis)*d.Dot(axis)))
		}
		size := q.Metres(math.Sqrt(seen(b.Frame.S, w) * seen(b.Frame.T, h)))
		if at, wide, ok := thrown(s, &l, face.At); ok {
			// Off a wall or through a cloth: what the face sees is the patch that is lit there.
			lf.Distance, size = q.Metres(at.Sub(face.At).Len()), q.Metres(wide)
			lf.Pattern = optics.PatternOf(face.At, face.Normal, at, camera)
			lf.Catchlight = nil
			if c, ok := optics.CatchlightOf(eye.At.AddMul(eye.Normal, -corneaRadius), at, camera, up); ok {
				lf.Catchlight = &c
			}
		}
		if size > 0 {
			lf.Covers = optics.Covers(size, lf.Distance)
			lf.Penumbra = optics.Penumbra(optics.NoseGap, size, lf.Distance)
			lf.Softness = optics.Softness(size, lf.Distance)
		} else {
			lf.Softness = "hard"
		}
		f.Lights = append(f.Lights, lf)
	}
	f.Ratio = ratioOf(s, readings)
	return f
}

// leastShare is the part of the light at a point under which a lamp is not worth a word.
const leastShare = 0.01

// flicker takes the lights that swing alike together and weighs them by what they give at the
// points.
func flicker(s *stage.Stage, cam Camera, readings []Reading) (out []Flicker) {
	for i := range s.Layers {
		l := &s.Layers[i]
		if l.Flicker.Hertz <= 0 || l.K == 0 {
			continue
		}
		first, many := true, 0
		share, point := 0.0, ""
		alike := func(k int) bool {
			return s.Layers[k].Flicker == l.Flicker && s.Layers[k].K != 0
		}
		for k := range s.Layers {
			if alike(k) {
				first = first && k >= i
				many++
			}
		}
		if !first {
			continue
		}
		for _, r := range readings {
			sum := 0.0
			for k := range r.Lights {
				if k < len(s.Layers) && alike(k) {
					sum += r.Lights[k].Share
				}
			}
			if sum > share {
				share, point = sum, r.Name
			}
		}
		if share < leastShare {
			continue
		}
		m := q.Share(share * l.Flicker.Ripple)
		if sw := optics.Swing(m, q.Hertz(l.Flicker.Hertz), cam.Shutter); sw > 0.05 {
			name := l.Name
			if many > 1 {
				name = fmt.Sprintf("%s and %d like it", l.Name, many-1)
			}
			out = append(out, Flicker{name, many, share, point, sw, optics.SteadySpeeds(m, q.Hertz(l.Flicker.Hertz),
				cam.Shutter)})
		}
	}
	return out
}

// accents are roles that light the edges and what is behind, not the face.
var accents = []string{"edge", "rim", "hair", "kicker", "background", "accent"}

// halfOf is the share of the shadow side from which on a light of the edges fills it.
const halfOf = 0.5

// filler is a light that fills, and its light on the shadow side.
type filler struct {
	name string
	by   float64
}

// fillersSaid names those that make a tenth of the fill, the strongest first, at most three.
func fillersSaid(who []filler, fill float64) string {
	slices.SortStableFunc(who, func(a, b filler) int { return cmp.Compare(b.by, a.by) })
	var names []string
	for _, f := range who {
		if f.by >= fill/10 && len(names) < 3 {
			names = append(names, f.name)
		}
	}
	if len(names) == 0 {
		return "many lights, each a little"
	}
	return strings.Join(names, ", ")
}

// ratioOf gives the ratio at the face.
func ratioOf(s *stage.Stage, readings []Reading) *Ratio {
	var lit, shade *Reading
	for i := range readings {
		switch readings[i].Name {
		case "face key side":
			lit = &readings[i]
		case "face shadow side":
			shade = &readings[i]
		}
	}
	if lit == nil || shade == nil || lit.Exposure <= 0 || shade.Exposure <= 0 {
		return nil
	}
	r := &Ratio{Sides: lit.Exposure / shade.Exposure, LitOverShade: q.Stops(math.Log2(lit.Exposure / shade.Exposure))}
	over := math.Inf(-1)
	if k, ok := optics.RatioFromSides(r.Sides); ok {
		over = float64(k.KeyOverFill)
		r.Words = k.Words()
	}
	switch {
	case float64(r.LitOverShade) < -0.15:
		r.Words = "inverted, the side away from the key is the brighter"
	case over < -3.2: // both sides within 0.15 stops
		r.Words = "even"
	}
	key := s.LayerNamed("key")
	if key < 0 || s.Layers[key].Light < 0 || key >= len(lit.Lights) {
		r.Fill = "no light has the role key, so key : fill cannot be said"
		return r
	}
	// Key alone at the key side; a fill alone where it fills, at the shadow side.
	k, fill := lit.Lights[key].Share*lit.Exposure, 0.0
	var who []filler
	for i := range shade.Lights {
		if i == key || i >= len(s.Layers) || slices.Contains(accents, strings.ToLower(s.Layers[i].Role)) {
			continue
		}
		x := shade.Lights[i].Share * shade.Exposure
		fill, who = fill+x, append(who, filler{s.Layers[i].Name, x})
	}
	for i, x := range shade.Lights {
		if i < len(s.Layers) && x.Share > halfOf && slices.Contains(accents, strings.ToLower(s.Layers[i].Role)) {
			r.Fill = fmt.Sprintf("%s, which is no fill, gives %.0f %% of the shadow side, so key : fill cannot be said",
				s.Layers[i].Name, 100*x.Share)
			return r
		}
	}
	split := func(r *Reading) (straight, round float64) { // of the key's own light
		x := &r.Lights[key]
		if sum := x.Direct + x.Bounced; sum > 0 {
			return x.Share * r.Exposure * x.Direct / sum, x.Share * r.Exposure * x.Bounced / sum
		}
		return 0, 0
	}
	straight, round := split(lit)
	across, back := split(shade)
	r.Reaches = across / shade.Exposure
	least := leastShare * shade.Exposure
	switch {
	case k < leastShare*lit.Exposure:
		r.Fill = "the key gives under 1 % at its own side of the face, so key : fill cannot be said"
	case fill >= least && fill >= back:
		r.Lights, r.Fill = k/fill, fillersSaid(who, fill)
	case round > straight: // off a wall or board, or through cloth
		r.Fill = "no other light fills, and the key comes off a surface, as the room's fill does, " +
			"so key : fill cannot be said"
	case back >= least: // what fills more than all other lights do is the key's own light, off the room
		r.Lights, r.Fill = straight/(back+fill), "the room, with the key's own light"
		if fill > back/4 {
			r.Fill += ", and " + fillersSaid(who, fill)
		}
	default:
		r.Fill = "nothing fills, so key : fill cannot be said"
	}
	return r
}
